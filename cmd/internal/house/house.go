package house

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"fmt"
	"net"
	"strings"
	"sync"
	"time"

	"google.golang.org/grpc"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/test/bufconn"

	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	"onevisit/dispatch/travel"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/dispatch"
	"onevisit/services/host"
	"onevisit/services/parts"
	"onevisit/services/triage"
)

// House is a running process. Close it.
type House struct {
	Triage   triagev1.TriageServiceClient
	Parts    partsv1.PartsServiceClient
	Dispatch dispatchv1.DispatchServiceClient

	inner   *host.Server // for those who live here, through memory
	outer   *host.Server // for callers from outside; the same one unless they speak TLS
	conn    *grpc.ClientConn
	closers []func(context.Context) error
	serving sync.WaitGroup
	failed  chan error
}

// drain is how long calls under way may take to finish when the process ends.
const drain = 15 * time.Second

// Open starts the roles of c, reachable through the clients of the result and,
// after [House.Serve], from outside. On an error nothing is left running.
func Open(ctx context.Context, c Config) (_ *House, err error) {
	if err := c.validate(); err != nil {
		return nil, err
	}
	h := &House{failed: make(chan error, 8)}
	defer func() {
		if err != nil { // the named result: no inner := can hide it
			err = errors.Join(err, h.Close())
		}
	}()
	inside := bufconn.Listen(1 << 20)
	if h.conn, err = host.Dial("passthrough:///inside", nil, grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) {
		return inside.DialContext(ctx)
	})); err != nil {
		return nil, err
	}
	h.closers = append(h.closers, func(context.Context) error { return h.conn.Close() })
	if err := h.clients(c); err != nil {
		return nil, err
	}
	services, err := h.services(ctx, c)
	if err != nil {
		return nil, err
	}
	if h.inner, err = host.New(host.Config{Log: c.Log, Limit: c.Limit}, services...); err != nil {
		return nil, err
	}
	h.closers = append(h.closers, h.inner.Close)
	h.outer = h.inner
	if c.ServerTLS != nil {
		if h.outer, err = host.New(host.Config{Log: c.Log, Limit: c.Limit, TLS: c.ServerTLS}, services...); err != nil {
			return nil, err
		}
		h.closers = append(h.closers, h.outer.Close)
	}
	h.serve(h.inner, inside)
	// The first answer says that the server has begun; one that is closed before
	// would race with its own beginning.
	if _, err = healthpb.NewHealthClient(h.conn).Check(ctx, &healthpb.HealthCheckRequest{}, grpc.WaitForReady(true)); err != nil {
		return nil, fmt.Errorf("house: first call: %w", err)
	}
	return h, nil
}

// clients makes stubs for every role: through memory for those that run here,
// over the network for the others.
func (h *House) clients(c Config) error {
	to := func(role, address string) (*grpc.ClientConn, error) {
		if c.has(role) || address == "" {
			return h.conn, nil
		}
		conn, err := host.Dial(address, c.ClientTLS)
		if err == nil {
			h.closers = append(h.closers, func(context.Context) error { return conn.Close() })
		}
		return conn, err
	}
	t, err := to(Triage, c.TriageAddress)
	if err != nil {
		return err
	}
	p, err := to(Parts, c.PartsAddress)
	if err != nil {
		return err
	}
	h.Triage = triagev1.NewTriageServiceClient(t)
	h.Parts = partsv1.NewPartsServiceClient(p)
	h.Dispatch = dispatchv1.NewDispatchServiceClient(h.conn)
	return nil
}

func (h *House) services(ctx context.Context, c Config) ([]host.Service, error) {
	var out []host.Service
	if c.has(Triage) {
		s, err := triage.New(triage.Config{Knowledge: c.Knowledge})
		if err != nil {
			return nil, err
		}
		out = append(out, s.Service())
	}
	if c.has(Parts) {
		s, err := parts.New(parts.Config{Prices: c.Prices})
		if err != nil {
			return nil, err
		}
		out = append(out, s.Service())
	}
	if c.has(Dispatch) {
		store, err := h.store(ctx, c)
		if err != nil {
			return nil, err
		}
		s, err := h.dispatch(c, store)
		if err != nil {
			return nil, err
		}
		out = append(out, s.Service())
	}
	return out, nil
}

func (h *House) dispatch(c Config, store job.Store) (*dispatch.Server, error) {
	config := dispatch.Config{
		Store: store, Triage: h.Triage, Parts: h.Parts, Travel: c.Travel, Now: c.Now, NewID: newID, Log: c.Log,
	}
	if config.Travel.MinutesPerKm == 0 {
		config.Travel = travel.Default()
	}
	config.Costs = offer.DefaultCosts()
	if c.Costs != nil {
		config.Costs = *c.Costs
	}
	if config.Now == nil {
		zone := c.Zone
		if zone == nil {
			zone = time.UTC
		}
		config.Now = func() time.Time { return time.Now().In(zone) }
	}
	return dispatch.New(config), nil
}

// newID makes ids that sort by nothing and cannot be guessed: 16 letters and
// digits, 80 random bits.
func newID() string {
	var b [10]byte
	rand.Read(b[:]) // never fails since Go 1.24
	return strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
}

// Conn is the connection through memory to what runs here, for stubs the house
// has none of, such as health. It is closed with the house.
func (h *House) Conn() *grpc.ClientConn { return h.conn }

// Serve accepts calls on l too, until Close. Failures come out of Failed.
func (h *House) Serve(l net.Listener) { h.serve(h.outer, l) }

func (h *House) serve(s *host.Server, l net.Listener) {
	h.serving.Add(1)
	go func() {
		defer h.serving.Done()
		if err := s.Serve(l); err != nil {
			h.failed <- fmt.Errorf("house: listener: %w", err)
		}
	}()
}

// Failed yields the error of a listener that has stopped working.
func (h *House) Failed() <-chan error { return h.failed }

// Close ends gracefully, last opened first, and joins all errors.
func (h *House) Close() error {
	ctx, cancel := context.WithTimeout(context.Background(), drain)
	defer cancel()
	var all error
	for i := len(h.closers) - 1; i >= 0; i-- {
		all = errors.Join(all, h.closers[i](ctx))
	}
	h.closers = nil
	h.serving.Wait()
	return all
}
