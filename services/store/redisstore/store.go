package redisstore

import (
	"context"
	"crypto/tls"
	_ "embed"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"github.com/redis/go-redis/v9"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/services/store/record"
)

var _ job.Store = (*Store)(nil)

var (
	//go:embed commit.lua
	commitLua string
	//go:embed snapshot.lua
	snapshotLua string

	commitScript   = redis.NewScript(commitLua)
	snapshotScript = redis.NewScript(snapshotLua)
)

// Options say how to reach the server.
type Options struct {
	// Address is host:port.
	Address            string
	Username, Password string
	Database           int
	// TLS is nil for a plain connection.
	TLS *tls.Config
	// Prefix of all keys; empty means "onevisit".
	Prefix string
	// Replicas that must confirm a commit before it is acknowledged; zero for
	// none.
	Replicas int
	// ReplicaWait bounds that wait; zero means one second.
	ReplicaWait time.Duration
	// Timeout bounds each exchange when the caller's context does not; zero means
	// three seconds.
	Timeout time.Duration
	// Log gets the client library's remarks about connections. Nil drops them;
	// left alone the library writes to standard error.
	Log func(text string)
}

// Store is a job.Store in Redis.
type Store struct {
	client   *redis.Client
	prefix   string
	replicas int
	wait     time.Duration
	closed   atomic.Bool
}

// logger adapts Options.Log to the library, whose logger is global: the last
// Open with a Log gets the remarks.
type logger func(string)

func (l logger) Printf(_ context.Context, format string, v ...any) { l(fmt.Sprintf(format, v...)) }

func init() { redis.SetLogger(logger(func(string) {})) }

// Open connects and checks that the server answers. Errors: job.ErrUnavailable,
// or the context's.
func Open(ctx context.Context, o Options) (_ *Store, err error) {
	if o.Prefix == "" {
		o.Prefix = "onevisit"
	}
	if o.ReplicaWait <= 0 {
		o.ReplicaWait = time.Second
	}
	if o.Timeout <= 0 {
		o.Timeout = 3 * time.Second
	}
	if o.Log != nil {
		redis.SetLogger(logger(o.Log))
	}
	s := &Store{
		prefix: o.Prefix, replicas: o.Replicas, wait: o.ReplicaWait,
		client: redis.NewClient(&redis.Options{
			Addr: o.Address, Username: o.Username, Password: o.Password, DB: o.Database, TLSConfig: o.TLS,
			DialTimeout: o.Timeout, ReadTimeout: o.Timeout, WriteTimeout: o.Timeout, PoolTimeout: o.Timeout,
			ContextTimeoutEnabled: true,
			// A commit sent twice would see its own first half as somebody else's
			// and report stale. Whoever calls decides about trying again.
			MaxRetries: -1,
		}),
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, s.Close())
		}
	}()
	return s, s.Ping(ctx)
}

// Close closes all connections.
func (s *Store) Close() error {
	if s.closed.Swap(true) {
		return nil
	}
	return s.client.Close()
}

// Ping asks the server for an answer.
func (s *Store) Ping(ctx context.Context) error {
	if err := s.ready(ctx); err != nil {
		return err
	}
	return s.translate(ctx, s.client.Ping(ctx).Err())
}

// ready is checked before every exchange.
func (s *Store) ready(ctx context.Context) error {
	if s.closed.Load() {
		return job.ErrClosed
	}
	return ctx.Err()
}

// passing are the first words of server errors that pass by themselves or by an
// operator's hand, not by changing the request.
var passing = []string{"LOADING", "READONLY", "OOM", "MASTERDOWN", "CLUSTERDOWN", "TRYAGAIN", "BUSY", "NOREPLICAS", "MISCONF", "NOAUTH", "WRONGPASS", "NOPERM"}

// translate turns the library's errors into the port's.
func (s *Store) translate(ctx context.Context, err error) error {
	var answer redis.Error
	switch {
	case err == nil:
		return nil
	case errors.Is(err, redis.Nil):
		return job.ErrNotFound
	case errors.Is(err, redis.ErrClosed), s.closed.Load():
		return fmt.Errorf("%w: %w", job.ErrClosed, err)
	case ctx.Err() != nil:
		return fmt.Errorf("redisstore: %w", context.Cause(ctx))
	case overdue(ctx, err):
		return fmt.Errorf("redisstore: %w", context.DeadlineExceeded)
	case errors.As(err, &answer):
		word, _, _ := strings.Cut(answer.Error(), " ")
		for _, p := range passing {
			if word == p {
				return fmt.Errorf("%w: %w", job.ErrUnavailable, err)
			}
		}
		return fmt.Errorf("redisstore: %w", err)
	}
	return fmt.Errorf("%w: %w", job.ErrUnavailable, err)
}

// overdue reports whether err is the connection keeping the context's deadline.
// The connection's clock may strike a moment before the context's own.
func overdue(ctx context.Context, err error) bool {
	var n net.Error
	deadline, ok := ctx.Deadline()
	return ok && errors.As(err, &n) && n.Timeout() && !time.Now().Before(deadline)
}

// Commit implements job.Store.
func (s *Store) Commit(ctx context.Context, region string, c job.Change) (version int64, err error) {
	if err := s.ready(ctx); err != nil {
		return 0, err
	}
	if err := c.Validate(region); err != nil {
		return 0, err
	}
	args, err := arguments(c)
	if err != nil {
		return 0, err
	}
	// WAIT speaks of the writes of its own connection, so both go over one.
	conn := s.client.Conn()
	defer func() { err = errors.Join(err, conn.Close()) }()
	answer, err := commitScript.Run(ctx, conn, s.keys(region), args...).StringSlice()
	if err != nil {
		return 0, s.translate(ctx, err)
	}
	switch {
	case len(answer) != 2:
		return 0, fmt.Errorf("%w: commit script answers %d values", job.ErrFormat, len(answer))
	case answer[0] == "duplicate":
		return 0, &job.DuplicateRequest{JobID: answer[1]}
	case answer[0] == "stale":
		return 0, fmt.Errorf("%w: %s", job.ErrStale, answer[1])
	}
	if version, err = strconv.ParseInt(answer[1], 10, 64); err != nil {
		return 0, fmt.Errorf("%w: commit script gives no version", job.ErrFormat)
	}
	return version, s.confirm(ctx, conn)
}

// confirm waits for the replicas asked for.
func (s *Store) confirm(ctx context.Context, conn *redis.Conn) error {
	if s.replicas == 0 {
		return nil
	}
	n, err := conn.Wait(ctx, s.replicas, s.wait).Result()
	if err != nil {
		return s.translate(ctx, err)
	}
	if int(n) < s.replicas {
		return fmt.Errorf("%w: %d of %d replicas confirmed", job.ErrUnavailable, n, s.replicas)
	}
	return nil
}

// arguments are those of commit.lua.
func arguments(c job.Change) ([]any, error) {
	args := []any{c.RequestID, c.RequestJobID}
	var err error
	for _, w := range c.Jobs {
		if args, err = addWrite(args, keyJobs, w.Value.ID, w, w.Value.Urgent() && w.Value.Open()); err != nil {
			return nil, err
		}
	}
	for _, w := range c.Technicians {
		if args, err = addWrite(args, keyTechnicians, w.Value.ID, w, false); err != nil {
			return nil, err
		}
	}
	for _, w := range c.Warehouses {
		if args, err = addWrite(args, keyWarehouses, w.Value.ID, w, false); err != nil {
			return nil, err
		}
	}
	return args, nil
}

func addWrite[T record.Value](args []any, key int, id string, w job.Write[T], urgent bool) ([]any, error) {
	document, flag := []byte{}, "0"
	if !w.Delete {
		var err error
		if document, err = record.Document(w.Value); err != nil {
			return nil, err
		}
		if urgent {
			flag = "1"
		}
	}
	return append(args, key+1, id, w.Expect, document, flag), nil // Lua counts from 1
}

// get reads one record.
func get[T record.Value](ctx context.Context, s *Store, region, id string, key int) (v T, err error) {
	if err := s.ready(ctx); err != nil {
		return v, err
	}
	if err := job.CheckName(region, id); err != nil {
		return v, err
	}
	data, err := s.client.HGet(ctx, s.keys(region)[key], id).Bytes()
	if err != nil {
		return v, s.translate(ctx, err)
	}
	return record.Decode[T](data)
}

// Job implements job.Store.
func (s *Store) Job(ctx context.Context, region, id string) (job.Job, error) {
	return get[job.Job](ctx, s, region, id, keyJobs)
}

// Technician implements job.Store.
func (s *Store) Technician(ctx context.Context, region, id string) (fleet.Technician, error) {
	return get[fleet.Technician](ctx, s, region, id, keyTechnicians)
}

// Warehouse implements job.Store.
func (s *Store) Warehouse(ctx context.Context, region, id string) (fleet.Warehouse, error) {
	return get[fleet.Warehouse](ctx, s, region, id, keyWarehouses)
}

// JobByRequest implements job.Store. Two exchanges suffice: a request id is
// bound for ever, so it cannot change between them.
func (s *Store) JobByRequest(ctx context.Context, region, requestID string) (job.Job, error) {
	if err := s.ready(ctx); err != nil {
		return job.Job{}, err
	}
	if err := job.CheckName(region, requestID); err != nil {
		return job.Job{}, err
	}
	id, err := s.client.HGet(ctx, s.keys(region)[keyRequests], requestID).Result()
	if err != nil {
		return job.Job{}, s.translate(ctx, err)
	}
	return s.Job(ctx, region, id)
}
