package boltstore

import (
	"context"
	"fmt"

	"go.etcd.io/bbolt"

	"onevisit/dispatch/job"
	"onevisit/services/store/record"
)

// Commit implements job.Store. It is one write transaction: bbolt syncs the
// file before Update returns, and a failed function leaves no trace.
func (s *Store) Commit(ctx context.Context, region string, c job.Change) (int64, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	if err := c.Validate(region); err != nil {
		return 0, err
	}
	// Encode before taking the only write lock there is.
	writes, err := prepare(c)
	if err != nil {
		return 0, err
	}
	var version int64
	err = s.db.Update(func(tx *bbolt.Tx) error {
		// The wait for the lock may have been long.
		if err := ctx.Err(); err != nil {
			return err
		}
		version, err = commit(tx, region, c, writes)
		return err
	})
	if err != nil {
		return 0, translate(err)
	}
	return version, nil
}

// write is one record to be written.
type write struct {
	kind     []byte
	id       []byte
	expect   int64
	document []byte // nil deletes
	urgent   bool   // an urgent job nobody is sent to
}

func prepare(c job.Change) (out []write, err error) {
	for _, w := range c.Jobs {
		if out, err = add(out, jobs, w.Value.ID, w, w.Value.Urgent() && w.Value.Open()); err != nil {
			return nil, err
		}
	}
	for _, w := range c.Technicians {
		if out, err = add(out, technicians, w.Value.ID, w, false); err != nil {
			return nil, err
		}
	}
	for _, w := range c.Warehouses {
		if out, err = add(out, warehouses, w.Value.ID, w, false); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func add[T record.Value](out []write, kind []byte, id string, w job.Write[T], isUrgent bool) ([]write, error) {
	n := write{kind: kind, id: []byte(id), expect: w.Expect, urgent: isUrgent && !w.Delete}
	if !w.Delete {
		var err error
		if n.document, err = record.Document(w.Value); err != nil {
			return nil, err
		}
	}
	return append(out, n), nil
}

func commit(tx *bbolt.Tx, region string, c job.Change, writes []write) (int64, error) {
	r, err := tx.Bucket(regionsBucket).CreateBucketIfNotExists([]byte(region))
	if err != nil {
		return 0, err
	}
	in := map[string]*bbolt.Bucket{}
	for _, kind := range [][]byte{jobs, technicians, warehouses, requests, urgent} {
		if in[string(kind)], err = r.CreateBucketIfNotExists(kind); err != nil {
			return 0, err
		}
	}
	if c.RequestID != "" {
		if earlier := in[string(requests)].Get([]byte(c.RequestID)); earlier != nil {
			return 0, &job.DuplicateRequest{JobID: string(earlier)}
		}
	}
	for _, w := range writes {
		have := int64(0)
		if data := in[string(w.kind)].Get(w.id); data != nil {
			if have, err = record.Version(data); err != nil {
				return 0, err
			}
		}
		if have != w.expect {
			return 0, fmt.Errorf("%w: %s %s", job.ErrStale, w.kind, w.id)
		}
	}
	next, err := r.NextSequence()
	if err != nil {
		return 0, err
	}
	version := int64(next)
	for _, w := range writes {
		if err := apply(in, w, version); err != nil {
			return 0, err
		}
	}
	if c.RequestID != "" {
		return version, in[string(requests)].Put([]byte(c.RequestID), []byte(c.RequestJobID))
	}
	return version, nil
}

func apply(in map[string]*bbolt.Bucket, w write, version int64) error {
	var err error
	if w.document == nil {
		err = in[string(w.kind)].Delete(w.id)
	} else {
		err = in[string(w.kind)].Put(w.id, record.Join(version, w.document))
	}
	if err != nil || string(w.kind) != string(jobs) {
		return err
	}
	if w.urgent {
		return in[string(urgent)].Put(w.id, []byte{})
	}
	return in[string(urgent)].Delete(w.id)
}
