package host

import (
	"context"
	"crypto/rand"
	"encoding/hex"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
)

// RequestIDKey is the metadata key that carries the request id from service to
// service and back to the caller.
const RequestIDKey = "x-request-id"

type requestIDKey struct{}

// RequestID returns the id of the request being served, or "".
func RequestID(ctx context.Context) string {
	id, _ := ctx.Value(requestIDKey{}).(string)
	return id
}

// WithRequestID returns a context whose outgoing calls carry id.
func WithRequestID(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, requestIDKey{}, id)
}

// NewRequestID returns a fresh random id of 16 hexadecimal digits.
func NewRequestID() string {
	var b [8]byte
	rand.Read(b[:]) // never fails since Go 1.24
	return hex.EncodeToString(b[:])
}

// acceptable keeps ids that come from outside short and printable, since they
// are written to the log.
func acceptable(id string) bool {
	if id == "" || len(id) > 64 {
		return false
	}
	for _, c := range []byte(id) {
		ok := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.' || c == ':'
		if !ok {
			return false
		}
	}
	return true
}

func identify(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	id := ""
	if md, ok := metadata.FromIncomingContext(ctx); ok {
		if got := md.Get(RequestIDKey); len(got) > 0 && acceptable(got[0]) {
			id = got[0]
		}
	}
	if id == "" {
		id = NewRequestID()
	}
	// The header is a courtesy: when it cannot be set the call still counts.
	_ = grpc.SetHeader(ctx, metadata.Pairs(RequestIDKey, id))
	return next(WithRequestID(ctx, id), req)
}

func passOn(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, call grpc.UnaryInvoker, opts ...grpc.CallOption) error {
	if id := RequestID(ctx); id != "" {
		ctx = metadata.AppendToOutgoingContext(ctx, RequestIDKey, id)
	}
	return call(ctx, method, req, reply, cc, opts...)
}
