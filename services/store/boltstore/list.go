package boltstore

import (
	"bytes"
	"context"

	"go.etcd.io/bbolt"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/services/store/record"
)

// list reads records in order of id after after, up to limit that pass keep,
// and tells whether there are more. A limit of zero means all.
func list[T record.Value](ctx context.Context, s *Store, region string, kind []byte, after string, limit int, keep func(T) bool) (out []T, more bool, err error) {
	if err := job.CheckName(region); err != nil {
		return nil, false, err
	}
	err = s.view(ctx, func(tx *bbolt.Tx) error {
		b := bucket(tx, region, kind)
		if b == nil {
			return nil
		}
		c := b.Cursor()
		k, data := c.First()
		if after != "" {
			if k, data = c.Seek([]byte(after)); bytes.Equal(k, []byte(after)) {
				k, data = c.Next()
			}
		}
		for ; k != nil; k, data = c.Next() {
			if err := ctx.Err(); err != nil {
				return err // a long list must not outlive its caller
			}
			v, err := record.Decode[T](data)
			if err != nil {
				return err
			}
			if !keep(v) {
				continue
			}
			if limit > 0 && len(out) == limit {
				more = true
				return nil
			}
			out = append(out, v)
		}
		return nil
	})
	if err != nil {
		return nil, false, err
	}
	return out, more, nil
}

func all[T any](T) bool { return true }

// Jobs implements job.Store.
func (s *Store) Jobs(ctx context.Context, region string, filter job.Filter, page job.Page) ([]job.Job, string, error) {
	out, more, err := list(ctx, s, region, jobs, page.After, page.Limit(), filter.Matches)
	if err != nil || !more {
		return out, "", err
	}
	return out, out[len(out)-1].ID, nil
}

// Technicians implements job.Store.
func (s *Store) Technicians(ctx context.Context, region string, page job.Page) ([]fleet.Technician, string, error) {
	out, more, err := list(ctx, s, region, technicians, page.After, page.Limit(), all[fleet.Technician])
	if err != nil || !more {
		return out, "", err
	}
	return out, out[len(out)-1].ID, nil
}

// Warehouses implements job.Store.
func (s *Store) Warehouses(ctx context.Context, region string) ([]fleet.Warehouse, error) {
	out, _, err := list(ctx, s, region, warehouses, "", 0, all[fleet.Warehouse])
	return out, err
}

// Snapshot implements job.Store: one read transaction, so one moment.
func (s *Store) Snapshot(ctx context.Context, region string) (job.Snapshot, error) {
	if err := job.CheckName(region); err != nil {
		return job.Snapshot{}, err
	}
	var out job.Snapshot
	err := s.view(ctx, func(tx *bbolt.Tx) (err error) {
		if bucket(tx, region, jobs) == nil {
			return nil
		}
		if out.Technicians, err = decodeAll[fleet.Technician](bucket(tx, region, technicians)); err != nil {
			return err
		}
		if out.Warehouses, err = decodeAll[fleet.Warehouse](bucket(tx, region, warehouses)); err != nil {
			return err
		}
		js := bucket(tx, region, jobs)
		return bucket(tx, region, urgent).ForEach(func(id, _ []byte) error {
			j, err := record.Decode[job.Job](js.Get(id))
			out.Urgent = append(out.Urgent, j)
			return err
		})
	})
	if err != nil {
		return job.Snapshot{}, err
	}
	return out, nil
}

func decodeAll[T record.Value](b *bbolt.Bucket) (out []T, err error) {
	err = b.ForEach(func(_, data []byte) error {
		v, err := record.Decode[T](data)
		out = append(out, v)
		return err
	})
	return out, err
}
