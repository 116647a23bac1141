package dispatch

import (
	"context"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc"

	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	"onevisit/dispatch/travel"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/host"
)

// Config of a dispatch service. All fields are wanted.
type Config struct {
	Store  job.Store
	Triage triagev1.TriageServiceClient
	Parts  partsv1.PartsServiceClient
	Travel travel.Model
	Costs  offer.Costs
	// Now tells the time, in the zone whose midnights part one day from the next.
	Now func() time.Time
	// NewID makes ids for jobs that come without one.
	NewID func() string
	Log   *zap.Logger
}

// Server serves onevisit.dispatch.v1.DispatchService. It is safe for concurrent
// use; its state is in the store.
type Server struct {
	dispatchv1.UnimplementedDispatchServiceServer
	Config
}

var _ dispatchv1.DispatchServiceServer = (*Server)(nil)

// New returns a server.
func New(c Config) *Server { return &Server{Config: c} }

// Service describes the server to the house it lives in.
func (s *Server) Service() host.Service {
	return host.Service{
		Name:     dispatchv1.DispatchService_ServiceDesc.ServiceName,
		Register: func(r grpc.ServiceRegistrar) { dispatchv1.RegisterDispatchServiceServer(r, s) },
		Errors:   Errors,
		Ready:    func(ctx context.Context) error { return s.Store.Ping(ctx) },
	}
}
