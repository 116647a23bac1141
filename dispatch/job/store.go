package job

import (
	"context"
	"errors"
	"fmt"

	"onevisit/dispatch/fleet"
)

var (
	// ErrNotFound: no such record in the region.
	ErrNotFound = errors.New("job: not found")
	// ErrStale: a record of the change is no longer at the version expected.
	// Nothing was written. Read again, decide again, try again.
	ErrStale = errors.New("job: version moved")
	// ErrDuplicateRequest: the request id is taken. The error is a
	// *DuplicateRequest, which names the earlier job.
	ErrDuplicateRequest = errors.New("job: request already served")
	// ErrClosed: the store was closed. Nothing was written.
	ErrClosed = errors.New("job: store is closed")
	// ErrUnavailable: the store cannot be reached or did not confirm in time.
	// A write may or may not have happened; a request id makes the retry safe.
	ErrUnavailable = errors.New("job: store is unavailable")
	// ErrBadName: a region or id that is empty, over 128 bytes, or holds
	// anything but letters, digits and - _ . : / (which keeps keys plain).
	ErrBadName = errors.New("job: bad region or id")
	// ErrFormat: a stored record this version cannot read.
	ErrFormat = errors.New("job: record format")
)

// DuplicateRequest is the error for a request id already served; it matches
// ErrDuplicateRequest under errors.Is.
type DuplicateRequest struct {
	// JobID is the job the earlier request made.
	JobID string
}

func (d *DuplicateRequest) Error() string {
	return fmt.Sprintf("%v: by job %s", ErrDuplicateRequest, d.JobID)
}

// Is matches ErrDuplicateRequest.
func (d *DuplicateRequest) Is(target error) bool { return target == ErrDuplicateRequest }

// Write is one record of a Change.
type Write[T any] struct {
	Value T
	// Expect is the version the record must be at: the Version it was read
	// with, or 0 when it must not exist yet.
	Expect int64
	// Delete removes the record instead; only the id of Value is read.
	Delete bool
}

// Change is a set of writes that happen all or not at all. Every record must
// carry the region of the Commit, and appear once.
type Change struct {
	Jobs        []Write[Job]
	Technicians []Write[fleet.Technician]
	Warehouses  []Write[fleet.Warehouse]
	// RequestID, when not empty, is bound to RequestJobID for ever; a second
	// Commit with the same id fails with ErrDuplicateRequest.
	RequestID    string
	RequestJobID string
}

// Filter narrows a list of jobs. Zero fields do not narrow.
type Filter struct {
	States       []State
	TechnicianID string
}

// Matches reports whether a job passes the filter.
func (f Filter) Matches(j Job) bool {
	if f.TechnicianID != "" && (j.Assignment == nil || j.Assignment.TechnicianID != f.TechnicianID) {
		return false
	}
	if len(f.States) == 0 {
		return true
	}
	for _, s := range f.States {
		if s == j.State {
			return true
		}
	}
	return false
}

// Page asks for a part of a list. Lists are ordered by id, byte by byte.
type Page struct {
	// After is the last id of the page before; empty for the first page.
	After string
	// Size is the most records wanted; 0 means DefaultPage, and no page is
	// longer than MaxPage.
	Size int
}

const (
	DefaultPage = 50
	MaxPage     = 1000
)

// Limit returns the size to use, 1 to MaxPage.
func (p Page) Limit() int {
	if p.Size <= 0 {
		return DefaultPage
	}
	return min(p.Size, MaxPage)
}

// Snapshot is a region at one moment: everything needed to choose.
type Snapshot struct {
	Technicians []fleet.Technician
	Warehouses  []fleet.Warehouse
	// Urgent are the urgent jobs that are created or waiting.
	Urgent []Job
}

// Store keeps jobs, technicians and warehouses, region by region.
//
// For the implementer. Regions never touch: the same id in two regions is two
// records. Every method is safe for concurrent use, returns the caller's own
// copies (a caller may write into them), and after Close returns ErrClosed. A
// context that is done before the work starts gives its error and no effect;
// one that ends during a Commit gives an error wrapping the context's, and the
// change may or may not have happened, but never half. Errors may be wrapped:
// compare with errors.Is. Nothing but ErrStale, ErrUnavailable and context
// errors is worth a retry.
type Store interface {
	// Commit writes all of change or nothing, and returns the version every
	// written record now has: a number that grows with each commit of the
	// region and is never given twice, so a record deleted and made again does
	// not look unchanged.
	//
	// Checks happen in this order: ErrBadName (names, wrong region, a record
	// twice, a request id without its job), ErrDuplicateRequest, ErrStale. When
	// Commit returns nil the change survives the death of the process and, as
	// far as the store is configured for it, of the machine. An empty change is
	// ErrBadName. Deleting what is not at the expected version is ErrStale.
	Commit(ctx context.Context, region string, change Change) (version int64, err error)

	// Job, Technician and Warehouse return one record, or ErrNotFound.
	Job(ctx context.Context, region, id string) (Job, error)
	Technician(ctx context.Context, region, id string) (fleet.Technician, error)
	Warehouse(ctx context.Context, region, id string) (fleet.Warehouse, error)

	// JobByRequest returns the job made by a request id, or ErrNotFound.
	JobByRequest(ctx context.Context, region, requestID string) (Job, error)

	// Jobs returns at most page.Limit() jobs that pass the filter, ordered by id
	// and after page.After, and the After of the next page, empty when there is
	// none. A record present during the whole listing is listed exactly once,
	// whatever is written meanwhile.
	Jobs(ctx context.Context, region string, filter Filter, page Page) (jobs []Job, next string, err error)

	// Technicians lists like Jobs.
	Technicians(ctx context.Context, region string, page Page) (technicians []fleet.Technician, next string, err error)

	// Warehouses returns all of the region, ordered by id.
	Warehouses(ctx context.Context, region string) ([]fleet.Warehouse, error)

	// Snapshot returns the region as it was at one moment, each list ordered by
	// id. An unknown region is an empty snapshot.
	Snapshot(ctx context.Context, region string) (Snapshot, error)

	// Ping returns nil when the store can serve; it is for health checks.
	Ping(ctx context.Context) error

	// Close releases everything. A second Close returns nil.
	Close() error
}
