package host

import (
	"context"
	"errors"
	"fmt"
	"net"
	"sync"
	"time"

	"buf.build/go/protovalidate"
	"go.uber.org/zap"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/reflection"

	"onevisit/services/refuse"
)

// Service is one gRPC service to house.
type Service struct {
	Name     string // full name, such as "onevisit.triage.v1.TriageService"
	Register func(grpc.ServiceRegistrar)
	Errors   refuse.Table
	// Ready reports whether the service can work now, for example whether its
	// store answers. Nil means always.
	Ready func(context.Context) error
}

// Config of a server. The zero value of each field but Log has a sensible
// meaning, said beside it.
type Config struct {
	Log      *zap.Logger
	TLS      credentials.TransportCredentials // nil: plain text
	Limit    int                              // calls at once; 0: 512
	Deadline time.Duration                    // for calls without one; 0: 10 s
	Watch    time.Duration                    // between readiness checks; 0: 2 s
}

// maxMessage lets a batch of 20,000 marks of 256 bytes through.
const maxMessage = 16 << 20

// Server is a running house of services.
type Server struct {
	grpc     *grpc.Server
	health   *health.Server
	services []Service
	log      *zap.Logger
	watch    time.Duration
	stop     chan struct{}
	once     sync.Once
	watching sync.WaitGroup
}

// New builds a server with the services registered, not yet listening.
func New(c Config, services ...Service) (*Server, error) {
	validator, err := protovalidate.New()
	if err != nil {
		return nil, fmt.Errorf("host: field rules: %w", err)
	}
	if c.Limit == 0 {
		c.Limit = 512
	}
	if c.Deadline == 0 {
		c.Deadline = 10 * time.Second
	}
	if c.Watch == 0 {
		c.Watch = 2 * time.Second
	}
	tables := make(map[string]refuse.Table, len(services))
	for _, s := range services {
		tables[s.Name] = s.Errors
	}
	options := []grpc.ServerOption{
		// Order: the id first, since all others name it; the log sees the final
		// code; a panic becomes an error before it is translated.
		grpc.ChainUnaryInterceptor(
			identify, logged(c.Log), bounded(c.Limit, c.Deadline),
			translated(c.Log, tables), recovered(c.Log), validated(validator),
		),
		grpc.MaxRecvMsgSize(maxMessage),
		grpc.MaxSendMsgSize(maxMessage),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 5 * time.Second, PermitWithoutStream: true}),
		grpc.KeepaliveParams(keepalive.ServerParameters{Time: time.Minute}),
	}
	if c.TLS != nil {
		options = append(options, grpc.Creds(c.TLS))
	}
	s := &Server{
		grpc:     grpc.NewServer(options...),
		health:   health.NewServer(),
		services: services,
		log:      c.Log,
		watch:    c.Watch,
		stop:     make(chan struct{}),
	}
	for _, one := range services {
		one.Register(s.grpc)
		s.health.SetServingStatus(one.Name, healthpb.HealthCheckResponse_NOT_SERVING)
	}
	healthpb.RegisterHealthServer(s.grpc, s.health)
	reflection.Register(s.grpc)
	return s, nil
}

// Serve accepts calls on l until [Server.Close]. It may be called for several
// listeners. It returns nil after Close.
func (s *Server) Serve(l net.Listener) error {
	s.once.Do(func() {
		s.look()
		s.watching.Add(1)
		go s.keepLooking()
	})
	err := s.grpc.Serve(l)
	if errors.Is(err, grpc.ErrServerStopped) {
		return nil
	}
	return err
}

// look sets the health of each service to what its Ready says, and the health
// of the whole server to that of the worst.
func (s *Server) look() {
	ctx, cancel := context.WithTimeout(context.Background(), s.watch)
	defer cancel()
	all := healthpb.HealthCheckResponse_SERVING
	for _, one := range s.services {
		now := healthpb.HealthCheckResponse_SERVING
		if one.Ready != nil {
			if err := one.Ready(ctx); err != nil {
				now, all = healthpb.HealthCheckResponse_NOT_SERVING, healthpb.HealthCheckResponse_NOT_SERVING
				s.log.Warn("not ready", zap.String("service", one.Name), zap.Error(err))
			}
		}
		s.health.SetServingStatus(one.Name, now)
	}
	s.health.SetServingStatus("", all)
}

func (s *Server) keepLooking() {
	defer s.watching.Done()
	tick := time.NewTicker(s.watch)
	defer tick.Stop()
	for {
		select {
		case <-s.stop:
			return
		case <-tick.C:
			s.look()
		}
	}
}

// Close ends gracefully: health turns to not serving, calls under way finish,
// and what has not finished when ctx ends is cut off. It may be called once.
func (s *Server) Close(ctx context.Context) error {
	s.once.Do(func() {}) // a Serve that comes later must not start to look
	close(s.stop)
	s.watching.Wait()
	s.health.Shutdown()
	done := make(chan struct{})
	go func() {
		s.grpc.GracefulStop()
		close(done)
	}()
	select {
	case <-done:
		return nil
	case <-ctx.Done():
		s.grpc.Stop()
		<-done
		return fmt.Errorf("host: calls were cut off: %w", ctx.Err())
	}
}

// retryPolicy is what a client does by itself: only UNAVAILABLE is tried again,
// since every method either changes nothing or is idempotent by request id.
const retryPolicy = `{
  "loadBalancingConfig": [{"round_robin": {}}],
  "methodConfig": [{
    "name": [{}],
    "retryPolicy": {
      "maxAttempts": 4,
      "initialBackoff": "0.05s",
      "maxBackoff": "1s",
      "backoffMultiplier": 3,
      "retryableStatusCodes": ["UNAVAILABLE"]
    }
  }]
}`

// Dial returns a connection that carries the request id on and retries what is
// unavailable. creds nil means plain text. It does not wait for the server.
func Dial(target string, creds credentials.TransportCredentials, more ...grpc.DialOption) (*grpc.ClientConn, error) {
	if creds == nil {
		creds = insecure.NewCredentials()
	}
	options := append([]grpc.DialOption{
		grpc.WithTransportCredentials(creds),
		grpc.WithDefaultServiceConfig(retryPolicy),
		grpc.WithChainUnaryInterceptor(passOn, hurried),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(maxMessage), grpc.MaxCallSendMsgSize(maxMessage)),
	}, more...)
	conn, err := grpc.NewClient(target, options...)
	if err != nil {
		return nil, fmt.Errorf("host: dial %s: %w", target, err)
	}
	return conn, nil
}
