package storetest

import (
	"context"
	"fmt"
	"sync/atomic"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

// Failing is a store whose At-th call, counted from 1 over all methods but
// Close, fails with job.ErrUnavailable. With After the call is done first and
// only the answer is lost, as when a connection breaks.
type Failing struct {
	job.Store
	At    int
	After bool
	calls atomic.Int64
}

var _ job.Store = (*Failing)(nil)

// Calls counts the calls so far.
func (f *Failing) Calls() int { return int(f.calls.Load()) }

func through[T any](f *Failing, call func() (T, error)) (T, error) {
	var none T
	fails := int(f.calls.Add(1)) == f.At
	if fails && !f.After {
		return none, fmt.Errorf("%w: failed on purpose before call %d", job.ErrUnavailable, f.At)
	}
	v, err := call()
	if fails {
		return none, fmt.Errorf("%w: failed on purpose after call %d", job.ErrUnavailable, f.At)
	}
	return v, err
}

// Commit implements job.Store.
func (f *Failing) Commit(ctx context.Context, region string, c job.Change) (int64, error) {
	return through(f, func() (int64, error) { return f.Store.Commit(ctx, region, c) })
}

// Job implements job.Store.
func (f *Failing) Job(ctx context.Context, region, id string) (job.Job, error) {
	return through(f, func() (job.Job, error) { return f.Store.Job(ctx, region, id) })
}

// Technician implements job.Store.
func (f *Failing) Technician(ctx context.Context, region, id string) (fleet.Technician, error) {
	return through(f, func() (fleet.Technician, error) { return f.Store.Technician(ctx, region, id) })
}

// Warehouse implements job.Store.
func (f *Failing) Warehouse(ctx context.Context, region, id string) (fleet.Warehouse, error) {
	return through(f, func() (fleet.Warehouse, error) { return f.Store.Warehouse(ctx, region, id) })
}

// JobByRequest implements job.Store.
func (f *Failing) JobByRequest(ctx context.Context, region, requestID string) (job.Job, error) {
	return through(f, func() (job.Job, error) { return f.Store.JobByRequest(ctx, region, requestID) })
}

// Jobs implements job.Store.
func (f *Failing) Jobs(ctx context.Context, region string, filter job.Filter, page job.Page) (list []job.Job, next string, err error) {
	list, err = through(f, func() (l []job.Job, err error) { l, next, err = f.Store.Jobs(ctx, region, filter, page); return l, err })
	return list, next, err
}

// Technicians implements job.Store.
func (f *Failing) Technicians(ctx context.Context, region string, page job.Page) (list []fleet.Technician, next string, err error) {
	list, err = through(f, func() (l []fleet.Technician, err error) {
		l, next, err = f.Store.Technicians(ctx, region, page)
		return l, err
	})
	return list, next, err
}

// Warehouses implements job.Store.
func (f *Failing) Warehouses(ctx context.Context, region string) ([]fleet.Warehouse, error) {
	return through(f, func() ([]fleet.Warehouse, error) { return f.Store.Warehouses(ctx, region) })
}

// Snapshot implements job.Store.
func (f *Failing) Snapshot(ctx context.Context, region string) (job.Snapshot, error) {
	return through(f, func() (job.Snapshot, error) { return f.Store.Snapshot(ctx, region) })
}

// Ping implements job.Store.
func (f *Failing) Ping(ctx context.Context) error {
	_, err := through(f, func() (struct{}, error) { return struct{}{}, f.Store.Ping(ctx) })
	return err
}
