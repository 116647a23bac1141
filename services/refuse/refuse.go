package refuse

import (
	"context"
	"errors"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/protoadapt"
	"google.golang.org/protobuf/types/known/durationpb"
)

// Domain is the ErrorInfo domain of every error of this project.
const Domain = "onevisit"

// RetryAfter is the hint given with UNAVAILABLE, ABORTED and
// RESOURCE_EXHAUSTED: long enough for a transaction in the way to end.
const RetryAfter = 200 * time.Millisecond

// Row says which code an error of the domain gets. Reason is the ErrorInfo
// reason, in UPPER_SNAKE_CASE (AIP-193).
type Row struct {
	Is     error
	Code   codes.Code
	Reason string
}

// Table lists the domain errors of one service. The first row that matches
// with errors.Is counts.
type Table []Row

// Status turns err into a status error. A nil err, and an err that is a status
// already, come back as they are; context errors become CANCELLED and
// DEADLINE_EXCEEDED; anything not in the table becomes INTERNAL with a fixed
// text and known false, so that the host can log the cause.
func (t Table) Status(err error) (out error, known bool) {
	if err == nil {
		return nil, true
	}
	if _, ok := status.FromError(err); ok {
		return err, true
	}
	for _, row := range t {
		if errors.Is(err, row.Is) {
			return With(row.Code, row.Reason, err.Error()), true
		}
	}
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return status.Error(codes.DeadlineExceeded, "the deadline passed before the answer was ready"), true
	case errors.Is(err, context.Canceled):
		return status.Error(codes.Canceled, "the caller went away"), true
	}
	return status.Error(codes.Internal, "internal error; the request id finds it in the log"), false
}

// With builds a status error with an ErrorInfo, and a RetryInfo for the codes
// that may be tried again.
func With(code codes.Code, reason, text string, more ...protoadapt.MessageV1) error {
	details := append([]protoadapt.MessageV1{&errdetails.ErrorInfo{Domain: Domain, Reason: reason}}, more...)
	switch code {
	case codes.Unavailable, codes.Aborted, codes.ResourceExhausted:
		details = append(details, &errdetails.RetryInfo{RetryDelay: durationpb.New(RetryAfter)})
	}
	st, err := status.New(code, text).WithDetails(details...)
	if err != nil { // only for an OK code, which no caller passes
		return status.Error(code, text)
	}
	return st.Err()
}

// Violation is one field that cannot be accepted. Field is its path in the
// request, such as "job.window.end_time".
type Violation struct {
	Field, Reason, Text string
}

// Fields refuses a request for its fields: INVALID_ARGUMENT with BadRequest.
func Fields(violations ...Violation) error {
	bad := &errdetails.BadRequest{}
	text := "invalid request"
	for i, v := range violations {
		if i == 0 {
			text = v.Field + ": " + v.Text
		}
		bad.FieldViolations = append(bad.FieldViolations, &errdetails.BadRequest_FieldViolation{
			Field: v.Field, Description: v.Text, Reason: v.Reason,
		})
	}
	return With(codes.InvalidArgument, "INVALID_FIELD", text, bad)
}

// Field refuses a request for one field.
func Field(field, reason, text string) error {
	return Fields(Violation{Field: field, Reason: reason, Text: text})
}

// Unknown refuses a request that names something that does not exist, such as
// a family that is not in the knowledge base: NOT_FOUND with the field.
func Unknown(field, text string) error {
	return With(codes.NotFound, "NOT_FOUND", field+": "+text,
		&errdetails.BadRequest{FieldViolations: []*errdetails.BadRequest_FieldViolation{
			{Field: field, Description: text, Reason: "NOT_FOUND"},
		}})
}
