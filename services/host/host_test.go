package host_test

import (
	"context"
	"errors"
	"net"
	"strings"
	"testing"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"go.uber.org/zap/zaptest/observer"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	reflectionpb "google.golang.org/grpc/reflection/grpc_reflection_v1"
	"google.golang.org/grpc/status"

	commonv1 "onevisit/proto/onevisit/common/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/host"
	"onevisit/services/refuse"
)

// stub answers Assess with whatever the test wants.
type stub struct {
	triagev1.UnimplementedTriageServiceServer
	assess func(context.Context, *triagev1.AssessRequest) (*triagev1.AssessResponse, error)
}

func (s stub) Assess(ctx context.Context, r *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
	return s.assess(ctx, r)
}

var errKnown = errors.New("stub: known")

// start runs a host with the stub on a free port and returns a client, the log
// and a function that ends the server.
func start(t *testing.T, c host.Config, s stub, ready func(context.Context) error) (*grpc.ClientConn, *observer.ObservedLogs, func(context.Context) error) {
	t.Helper()
	core, logs := observer.New(zapcore.DebugLevel)
	c.Log = zap.New(core)
	server, err := host.New(c, host.Service{
		Name:     triagev1.TriageService_ServiceDesc.ServiceName,
		Register: func(r grpc.ServiceRegistrar) { triagev1.RegisterTriageServiceServer(r, s) },
		Errors:   refuse.Table{{Is: errKnown, Code: codes.FailedPrecondition, Reason: "KNOWN"}},
		Ready:    ready,
	})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	conn, err := host.Dial(l.Addr().String(), nil)
	if err != nil {
		t.Fatal(err)
	}
	ended := false
	end := func(ctx context.Context) error {
		if ended {
			return nil
		}
		ended = true
		err := server.Close(ctx)
		return errors.Join(err, <-done)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		_ = end(ctx)
		conn.Close()
	})
	return conn, logs, end
}

func good() *triagev1.AssessRequest {
	return &triagev1.AssessRequest{Appliance: &commonv1.Appliance{Family: "tumble_dryer"}, Text: "private words"}
}

func ok(context.Context, *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
	return &triagev1.AssessResponse{}, nil
}

func TestRequestIDTravels(t *testing.T) {
	for name, tc := range map[string]struct{ sent, want string }{
		"given":        {"abc-123", "abc-123"},
		"missing":      {"", ""},
		"with a space": {"a b", ""},
		"too long":     {strings.Repeat("x", 65), ""},
	} {
		t.Run(name, func(t *testing.T) {
			var inside string
			conn, logs, _ := start(t, host.Config{}, stub{assess: func(ctx context.Context, _ *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
				inside = host.RequestID(ctx)
				return &triagev1.AssessResponse{}, nil
			}}, nil)
			ctx := context.Background()
			if tc.sent != "" {
				ctx = metadata.AppendToOutgoingContext(ctx, host.RequestIDKey, tc.sent)
			}
			var header metadata.MD
			if _, err := triagev1.NewTriageServiceClient(conn).Assess(ctx, good(), grpc.Header(&header)); err != nil {
				t.Fatal(err)
			}
			if tc.want != "" && inside != tc.want || inside == "" {
				t.Errorf("the service saw id %q, want %q or a fresh one", inside, tc.want)
			}
			if got := header.Get(host.RequestIDKey); len(got) != 1 || got[0] != inside {
				t.Errorf("header says %v, the service saw %q", got, inside)
			}
			if got := logs.FilterField(zap.String("request_id", inside)).Len(); got != 1 {
				t.Errorf("%d log lines with the id, want 1", got)
			}
		})
	}
}

func TestErrorsThroughARealConnection(t *testing.T) {
	for name, tc := range map[string]struct {
		err    error
		code   codes.Code
		reason string
		hidden string // must not reach the caller
	}{
		"known":      {errKnown, codes.FailedPrecondition, "KNOWN", ""},
		"wrapped":    {errors.Join(errors.New("cause"), errKnown), codes.FailedPrecondition, "KNOWN", ""},
		"unknown":    {errors.New("secret cause"), codes.Internal, "", "secret"},
		"status":     {refuse.Field("a.b", "BAD", "is wrong"), codes.InvalidArgument, "INVALID_FIELD", ""},
		"went away":  {context.Canceled, codes.Canceled, "", ""},
		"ran out":    {context.DeadlineExceeded, codes.DeadlineExceeded, "", ""},
		"not found":  {refuse.Unknown("appliance.family", "no such family"), codes.NotFound, "NOT_FOUND", ""},
		"try again":  {refuse.With(codes.Aborted, "STALE", "moved"), codes.Aborted, "STALE", ""},
		"in a panic": {nil, codes.Internal, "", "boom"},
	} {
		t.Run(name, func(t *testing.T) {
			conn, logs, _ := start(t, host.Config{}, stub{assess: func(context.Context, *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
				if tc.err == nil {
					panic("boom")
				}
				return nil, tc.err
			}}, nil)
			_, err := triagev1.NewTriageServiceClient(conn).Assess(context.Background(), good())
			st := status.Convert(err)
			if st.Code() != tc.code {
				t.Fatalf("code %v, want %v (%v)", st.Code(), tc.code, err)
			}
			if tc.hidden != "" && strings.Contains(st.Message(), tc.hidden) {
				t.Errorf("the caller reads the cause: %q", st.Message())
			}
			if tc.reason != "" {
				if got := detail[*errdetails.ErrorInfo](st); got == nil || got.Reason != tc.reason || got.Domain != refuse.Domain {
					t.Errorf("error info %v, want reason %s", got, tc.reason)
				}
			}
			if tc.code == codes.Aborted && detail[*errdetails.RetryInfo](st) == nil {
				t.Error("no retry hint")
			}
			for _, line := range logs.All() {
				for _, f := range line.Context {
					if strings.Contains(f.String, "private words") {
						t.Errorf("the customer's words are in the log: %v", line)
					}
				}
			}
		})
	}
}

func detail[T any](st *status.Status) T {
	var none T
	for _, d := range st.Details() {
		if one, ok := d.(T); ok {
			return one
		}
	}
	return none
}

func TestFieldRulesNameTheField(t *testing.T) {
	conn, _, _ := start(t, host.Config{}, stub{assess: ok}, nil)
	client := triagev1.NewTriageServiceClient(conn)
	age := -1.0
	for field, req := range map[string]*triagev1.AssessRequest{
		"appliance":           {},
		"appliance.family":    {Appliance: &commonv1.Appliance{Family: "Bad Family"}},
		"appliance.age_years": {Appliance: &commonv1.Appliance{Family: "x", AgeYears: &age}},
		"text":                {Appliance: &commonv1.Appliance{Family: "x"}, Text: strings.Repeat("a", 20001)},
		"answers[0].question": {Appliance: &commonv1.Appliance{Family: "x"}, Answers: []*triagev1.GivenAnswer{{Answer: "yes"}}},
		"max_faults":          {Appliance: &commonv1.Appliance{Family: "x"}, MaxFaults: 1000},
	} {
		t.Run(field, func(t *testing.T) {
			_, err := client.Assess(context.Background(), req)
			st := status.Convert(err)
			bad := detail[*errdetails.BadRequest](st)
			if st.Code() != codes.InvalidArgument || bad == nil {
				t.Fatalf("got %v, want INVALID_ARGUMENT with BadRequest", err)
			}
			if got := bad.FieldViolations[0]; got.Field != field || got.Description == "" || got.Reason == "" {
				t.Errorf("violation %v, want field %s with a description and a reason", got, field)
			}
		})
	}
}

func TestOverloadIsRefusedEarlyWithAHint(t *testing.T) {
	enter, leave := make(chan struct{}), make(chan struct{})
	conn, _, _ := start(t, host.Config{Limit: 1}, stub{assess: func(context.Context, *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
		close(enter)
		<-leave
		return &triagev1.AssessResponse{}, nil
	}}, nil)
	client := triagev1.NewTriageServiceClient(conn)
	first := make(chan error, 1)
	go func() {
		_, err := client.Assess(context.Background(), good())
		first <- err
	}()
	<-enter
	_, err := client.Assess(context.Background(), good())
	st := status.Convert(err)
	if st.Code() != codes.ResourceExhausted || detail[*errdetails.RetryInfo](st) == nil {
		t.Errorf("second call got %v, want RESOURCE_EXHAUSTED with a retry hint", err)
	}
	close(leave)
	if err := <-first; err != nil {
		t.Errorf("first call: %v", err)
	}
}

func TestACallWithoutADeadlineGetsOne(t *testing.T) {
	conn, _, _ := start(t, host.Config{Deadline: 20 * time.Millisecond}, stub{assess: func(ctx context.Context, _ *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
		<-ctx.Done()
		return nil, ctx.Err()
	}}, nil)
	_, err := triagev1.NewTriageServiceClient(conn).Assess(context.Background(), good())
	if status.Code(err) != codes.DeadlineExceeded {
		t.Errorf("got %v, want DEADLINE_EXCEEDED", err)
	}
}

func TestCloseLetsCallsFinishAndTurnsHealthOff(t *testing.T) {
	enter, leave := make(chan struct{}), make(chan struct{})
	conn, _, end := start(t, host.Config{}, stub{assess: func(context.Context, *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
		close(enter)
		<-leave
		return &triagev1.AssessResponse{}, nil
	}}, nil)
	watch, err := healthpb.NewHealthClient(conn).Watch(context.Background(), &healthpb.HealthCheckRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := watch.Recv(); err != nil || got.Status != healthpb.HealthCheckResponse_SERVING {
		t.Fatalf("health %v %v, want SERVING", got, err)
	}
	first := make(chan error, 1)
	go func() {
		_, err := triagev1.NewTriageServiceClient(conn).Assess(context.Background(), good())
		first <- err
	}()
	<-enter
	closed := make(chan error, 1)
	go func() {
		// The watch above never ends by itself, so the drain is cut off at last;
		// the call under way must have finished by then.
		ctx, cancel := context.WithTimeout(context.Background(), 500*time.Millisecond)
		defer cancel()
		closed <- end(ctx)
	}()
	if got, err := watch.Recv(); err != nil || got.Status != healthpb.HealthCheckResponse_NOT_SERVING {
		t.Errorf("health %v %v, want NOT_SERVING", got, err)
	}
	close(leave)
	if err := <-first; err != nil {
		t.Errorf("the call under way was cut off: %v", err)
	}
	<-closed
}

func TestHealthFollowsReadiness(t *testing.T) {
	conn, _, _ := start(t, host.Config{}, stub{assess: ok}, func(context.Context) error { return errors.New("no store") })
	// The server looks before it accepts; asking waits for the first answer.
	got, err := healthpb.NewHealthClient(conn).Check(context.Background(), &healthpb.HealthCheckRequest{}, grpc.WaitForReady(true))
	if err != nil || got.Status != healthpb.HealthCheckResponse_NOT_SERVING {
		t.Errorf("health %v %v, want NOT_SERVING", got, err)
	}
}

func TestReflectionListsTheService(t *testing.T) {
	conn, _, _ := start(t, host.Config{}, stub{assess: ok}, nil)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	stream, err := reflectionpb.NewServerReflectionClient(conn).ServerReflectionInfo(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&reflectionpb.ServerReflectionRequest{MessageRequest: &reflectionpb.ServerReflectionRequest_ListServices{}}); err != nil {
		t.Fatal(err)
	}
	got, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, s := range got.GetListServicesResponse().GetService() {
		names[s.GetName()] = true
	}
	for _, want := range []string{triagev1.TriageService_ServiceDesc.ServiceName, "grpc.health.v1.Health"} {
		if !names[want] {
			t.Errorf("%s is not listed: %v", want, names)
		}
	}
}
