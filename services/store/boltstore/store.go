package boltstore

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"go.etcd.io/bbolt"
	bolterrors "go.etcd.io/bbolt/errors"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/services/store/record"
)

var _ job.Store = (*Store)(nil)

// schema names the layout of buckets. A file of another schema is refused.
const schema = "1"

var (
	metaBucket    = []byte("meta")
	schemaKey     = []byte("schema")
	regionsBucket = []byte("regions")

	jobs        = []byte("jobs")
	technicians = []byte("technicians")
	warehouses  = []byte("warehouses")
	requests    = []byte("requests")
	urgent      = []byte("urgent")
)

// Options say how to open a file.
type Options struct {
	// Path of the file; made, readable by its owner only, when missing.
	Path string
	// Timeout for the file lock; zero means one second.
	Timeout time.Duration
}

// Store is a job.Store in one file.
type Store struct {
	db *bbolt.DB
}

// Open opens or makes the file. Errors: job.ErrUnavailable when another process
// has it, job.ErrFormat when it is not such a file or of another schema, else
// the operating system's.
func Open(o Options) (*Store, error) {
	if o.Timeout <= 0 {
		o.Timeout = time.Second
	}
	db, err := bbolt.Open(o.Path, 0o600, &bbolt.Options{Timeout: o.Timeout, FreelistType: bbolt.FreelistMapType})
	switch {
	case errors.Is(err, bolterrors.ErrTimeout):
		return nil, fmt.Errorf("%w: another process has the file open", job.ErrUnavailable)
	case errors.Is(err, bolterrors.ErrInvalid), errors.Is(err, bolterrors.ErrChecksum), errors.Is(err, bolterrors.ErrVersionMismatch):
		return nil, fmt.Errorf("%w: not a data file: %w", job.ErrFormat, err)
	case err != nil:
		return nil, fmt.Errorf("boltstore: open: %w", err)
	}
	s := &Store{db: db}
	if err := s.prepare(); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return s, nil
}

func (s *Store) prepare() error {
	return s.db.Update(func(tx *bbolt.Tx) error {
		if meta := tx.Bucket(metaBucket); meta != nil {
			if got := string(meta.Get(schemaKey)); got != schema {
				return fmt.Errorf("%w: file schema %.20q, this version reads %q", job.ErrFormat, got, schema)
			}
			return nil
		}
		meta, err := tx.CreateBucket(metaBucket)
		if err != nil {
			return err
		}
		if err := meta.Put(schemaKey, []byte(schema)); err != nil {
			return err
		}
		_, err = tx.CreateBucketIfNotExists(regionsBucket)
		return err
	})
}

// Close closes the file, after the transactions that are running.
func (s *Store) Close() error { return s.db.Close() }

// Ping reads the schema.
func (s *Store) Ping(ctx context.Context) error {
	return s.view(ctx, func(tx *bbolt.Tx) error {
		if tx.Bucket(metaBucket) == nil {
			return fmt.Errorf("%w: no schema", job.ErrFormat)
		}
		return nil
	})
}

func (s *Store) view(ctx context.Context, read func(*bbolt.Tx) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return translate(s.db.View(read))
}

// translate turns the library's errors into the port's.
func translate(err error) error {
	if errors.Is(err, bolterrors.ErrDatabaseNotOpen) {
		return fmt.Errorf("%w: %w", job.ErrClosed, err)
	}
	var path *os.PathError
	if errors.As(err, &path) { // disk full, disk gone
		return fmt.Errorf("%w: %w", job.ErrUnavailable, err)
	}
	return err
}

// bucket returns a region's bucket of a kind, nil when nothing was written yet.
func bucket(tx *bbolt.Tx, region string, kind []byte) *bbolt.Bucket {
	r := tx.Bucket(regionsBucket).Bucket([]byte(region))
	if r == nil {
		return nil
	}
	return r.Bucket(kind)
}

// get reads one record.
func get[T record.Value](ctx context.Context, s *Store, region, id string, kind []byte) (v T, err error) {
	if err := job.CheckName(region, id); err != nil {
		return v, err
	}
	err = s.view(ctx, func(tx *bbolt.Tx) error {
		b := bucket(tx, region, kind)
		if b == nil {
			return job.ErrNotFound
		}
		data := b.Get([]byte(id))
		if data == nil {
			return job.ErrNotFound
		}
		// Decode copies; data is the file's own memory and goes with the
		// transaction.
		v, err = record.Decode[T](data)
		return err
	})
	return v, err
}

// Job implements job.Store.
func (s *Store) Job(ctx context.Context, region, id string) (job.Job, error) {
	return get[job.Job](ctx, s, region, id, jobs)
}

// Technician implements job.Store.
func (s *Store) Technician(ctx context.Context, region, id string) (fleet.Technician, error) {
	return get[fleet.Technician](ctx, s, region, id, technicians)
}

// Warehouse implements job.Store.
func (s *Store) Warehouse(ctx context.Context, region, id string) (fleet.Warehouse, error) {
	return get[fleet.Warehouse](ctx, s, region, id, warehouses)
}

// JobByRequest implements job.Store.
func (s *Store) JobByRequest(ctx context.Context, region, requestID string) (j job.Job, err error) {
	if err := job.CheckName(region, requestID); err != nil {
		return j, err
	}
	err = s.view(ctx, func(tx *bbolt.Tx) error {
		b := bucket(tx, region, requests)
		if b == nil {
			return job.ErrNotFound
		}
		id := b.Get([]byte(requestID))
		if id == nil {
			return job.ErrNotFound
		}
		data := bucket(tx, region, jobs).Get(id)
		if data == nil {
			return job.ErrNotFound // deleted since
		}
		j, err = record.Decode[job.Job](data)
		return err
	})
	return j, err
}
