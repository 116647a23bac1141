package host

import (
	"context"
	"errors"
	"runtime/debug"
	"strings"
	"time"

	"buf.build/go/protovalidate"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"onevisit/services/refuse"
)

// shave is left for the answer to travel back: an onward call ends this much
// before its caller's deadline.
const shave = 50 * time.Millisecond

// logged writes one line per call: method, code, time taken, request id. Never
// message content.
func logged(log *zap.Logger) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
		if isPlumbing(info.FullMethod) {
			return next(ctx, req)
		}
		begin := time.Now()
		resp, err := next(ctx, req)
		code := status.Code(err)
		level := zapcore.InfoLevel
		switch code {
		case codes.OK:
		case codes.Internal, codes.Unknown, codes.DataLoss:
			level = zapcore.ErrorLevel
		case codes.Unavailable, codes.ResourceExhausted, codes.DeadlineExceeded:
			level = zapcore.WarnLevel
		}
		if line := log.Check(level, "call"); line != nil {
			line.Write(
				zap.String("method", info.FullMethod),
				zap.String("code", code.String()),
				zap.Duration("took", time.Since(begin)),
				zap.String("request_id", RequestID(ctx)),
			)
		}
		return resp, err
	}
}

func isPlumbing(method string) bool {
	return strings.HasPrefix(method, "/grpc.health.") || strings.HasPrefix(method, "/grpc.reflection.")
}

// bounded refuses what is beyond limit calls at once, and gives a deadline to a
// call that came without one.
func bounded(limit int, deadline time.Duration) grpc.UnaryServerInterceptor {
	room := make(chan struct{}, limit)
	return func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
		if isPlumbing(info.FullMethod) {
			return next(ctx, req)
		}
		select {
		case room <- struct{}{}:
			defer func() { <-room }()
		default:
			return nil, refuse.With(codes.ResourceExhausted, "OVERLOADED", "too many calls at once; try again")
		}
		if _, has := ctx.Deadline(); !has {
			var cancel context.CancelFunc
			ctx, cancel = context.WithTimeout(ctx, deadline)
			defer cancel()
		}
		return next(ctx, req)
	}
}

// translated turns domain errors into statuses by the table of the service and
// logs the cause of those no table knows.
func translated(log *zap.Logger, tables map[string]refuse.Table) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
		resp, err := next(ctx, req)
		if err == nil {
			return resp, nil
		}
		service, _, _ := strings.Cut(strings.TrimPrefix(info.FullMethod, "/"), "/")
		out, known := tables[service].Status(err)
		if !known {
			log.Error("cause", zap.String("method", info.FullMethod), zap.String("request_id", RequestID(ctx)), zap.Error(err))
		}
		return nil, out
	}
}

// recovered turns a panic into INTERNAL: one bad request must not end the
// process that serves the others.
func recovered(log *zap.Logger) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (resp any, err error) {
		defer func() {
			if p := recover(); p != nil {
				log.Error("panic", zap.String("method", info.FullMethod), zap.String("request_id", RequestID(ctx)),
					zap.Any("panic", p), zap.ByteString("stack", debug.Stack()))
				err = status.Error(codes.Internal, "internal error; the request id finds it in the log")
			}
		}()
		return next(ctx, req)
	}
}

// validated applies the field rules of the contract.
func validated(v protovalidate.Validator) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
		msg, ok := req.(proto.Message)
		if !ok || isPlumbing(info.FullMethod) {
			return next(ctx, req)
		}
		if err := Validate(v, msg); err != nil {
			return nil, err
		}
		return next(ctx, req)
	}
}

// Validate checks msg against the field rules of the contract. The error is
// INVALID_ARGUMENT with one BadRequest violation per field.
func Validate(v protovalidate.Validator, msg proto.Message) error {
	err := v.Validate(msg)
	if err == nil {
		return nil
	}
	var invalid *protovalidate.ValidationError
	if !errors.As(err, &invalid) {
		return err // a rule that cannot be compiled: a defect of ours, INTERNAL
	}
	out := make([]refuse.Violation, 0, len(invalid.Violations))
	for _, one := range invalid.Violations {
		out = append(out, refuse.Violation{
			Field:  protovalidate.FieldPathString(one.Proto.GetField()),
			Reason: reasonOf(one.Proto.GetRuleId()),
			Text:   one.Proto.GetMessage(),
		})
	}
	return refuse.Fields(out...)
}

// reasonOf makes an AIP-193 reason of a rule id: "string.max_len" becomes
// "STRING_MAX_LEN".
func reasonOf(rule string) string {
	return strings.ToUpper(strings.ReplaceAll(rule, ".", "_"))
}

// hurried ends an onward call a little before its caller's deadline.
func hurried(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, call grpc.UnaryInvoker, opts ...grpc.CallOption) error {
	if at, has := ctx.Deadline(); has {
		var cancel context.CancelFunc
		ctx, cancel = context.WithDeadline(ctx, at.Add(-shave))
		defer cancel()
	}
	return call(ctx, method, req, reply, cc, opts...)
}
