package job

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"onevisit/dispatch/fleet"
)

// ErrHolder marks records that are not those the job's assignment names.
var ErrHolder = errors.New("job: records do not match the assignment")

// Holders are the records that keep promises for a job: the technician whose
// day and van it is, and the warehouse a part is fetched from, if any. They are
// given as read from the store; their Version becomes the expectation of the
// Change.
type Holders struct {
	Technician *fleet.Technician
	Warehouse  *fleet.Warehouse
}

// HolderIDs returns whose records are to be read before the functions below
// are called; empty strings mean none.
func (j Job) HolderIDs() (technicianID, warehouseID string) {
	if j.Assignment == nil {
		return "", ""
	}
	return j.Assignment.TechnicianID, j.Assignment.WarehouseID
}

// Assign returns the Change that gives the job to the technician of a: the job
// assigned, the parts of a.Reserved promised on van and shelf, and day as the
// technician's new day. The day must hold a stop for the job.
//
// Errors: ErrWrongState, ErrHolder, fleet.ErrNotEnough.
func Assign(j Job, a Assignment, day []fleet.Stop, h Holders, now time.Time) (Change, error) {
	if err := h.match(a); err != nil {
		return Change{}, err
	}
	if !slices.ContainsFunc(day, func(s fleet.Stop) bool { return s.JobID == j.ID }) {
		return Change{}, fmt.Errorf("%w: the day has no stop for job %s", ErrHolder, j.ID)
	}
	expect := j.Version
	j, err := Transition(j, Assigned, now)
	if err != nil {
		return Change{}, err
	}
	t := h.Technician.Clone()
	t.Day, t.UpdatedAt = slices.Clone(day), now
	var w fleet.Warehouse
	if h.Warehouse != nil {
		w = h.Warehouse.Clone()
		w.UpdatedAt = now
	}
	for _, r := range a.Reserved {
		stock := &t.Stock
		if r.WarehouseID != "" {
			if h.Warehouse == nil {
				return Change{}, fmt.Errorf("%w: no warehouse record", ErrHolder)
			}
			stock = &w.Stock
		}
		if *stock, err = stock.Reserve(j.ID, r.PartKind, r.Mark, r.Quantity); err != nil {
			return Change{}, err
		}
	}
	a.Reserved = slices.Clone(a.Reserved)
	j.Assignment, j.Action = &a, ActionAssign
	return change(j, expect, &t, h.Warehouse, &w), nil
}

// Begin returns the Change for a technician setting off: the job under way and
// its stop first in the day. Only the technician's record takes part. Errors:
// ErrWrongState, ErrHolder.
func Begin(j Job, h Holders, now time.Time) (Change, error) {
	if j.State != Assigned {
		return Change{}, fmt.Errorf("%w: job %s is %s, cannot begin", ErrWrongState, j.ID, j.State)
	}
	if h.Technician == nil || h.Technician.ID != j.Assignment.TechnicianID {
		return Change{}, fmt.Errorf("%w: technician %s is wanted", ErrHolder, j.Assignment.TechnicianID)
	}
	t := h.Technician.Clone()
	stop, _, ok := t.Stop(j.ID)
	if !ok {
		return Change{}, fmt.Errorf("%w: the day has no stop for job %s", ErrHolder, j.ID)
	}
	expect := j.Version
	j, err := Transition(j, UnderWay, now)
	if err != nil {
		return Change{}, err
	}
	stop.Started = true
	t = t.WithoutStop(j.ID)
	t.Day = append([]fleet.Stop{stop}, t.Day...)
	t.UpdatedAt = now
	return change(j, expect, &t, nil, nil), nil
}

// Release returns the Change that takes the job from its technician: promises
// taken back, the stop out of the day, the job waiting. A job that is waiting
// or created already only loses nothing. Errors: ErrWrongState, ErrHolder.
func Release(j Job, h Holders, now time.Time) (Change, error) { return leave(j, Waiting, h, now) }

// Cancel returns the Change that ends a job without a repair, promises taken
// back. A part of a warehouse counts as still on the shelf, even when under way:
// a part believed on a van and not there costs more than the other mistake.
// Errors: ErrWrongState, ErrHolder.
func Cancel(j Job, h Holders, now time.Time) (Change, error) { return leave(j, Cancelled, h, now) }

func leave(j Job, to State, h Holders, now time.Time) (Change, error) {
	expect, a := j.Version, j.Assignment
	j, err := Transition(j, to, now)
	if err != nil {
		return Change{}, err
	}
	if a == nil {
		return change(j, expect, nil, nil, nil), nil
	}
	if err := h.match(*a); err != nil {
		return Change{}, err
	}
	t := h.Technician.WithoutStop(j.ID)
	t = t.Clone()
	t.Stock, t.UpdatedAt = t.Stock.Release(j.ID), now
	var w fleet.Warehouse
	if h.Warehouse != nil {
		w = h.Warehouse.Clone()
		w.Stock, w.UpdatedAt = w.Stock.Release(j.ID), now
	}
	return change(j, expect, &t, h.Warehouse, &w), nil
}

// Complete returns the Change that closes a visit: used parts leave the stock,
// other promises are taken back, the result is kept. Fixed ends the job; not
// fixed sends it back to waiting for another visit. Parts fetched from a
// warehouse and not used are on the van afterwards. A job waiting without an
// assignment (settled on the phone) can be completed too, if fixed.
//
// Errors: ErrWrongState; ErrHolder; fleet.ErrNotEnough when more was used than
// van and shelf have for this job, so the count must be put right first.
func Complete(j Job, r Result, h Holders, now time.Time) (Change, error) {
	to := Waiting
	if r.Fixed {
		to = Done
	}
	if j.State != UnderWay && !(j.State == Waiting && r.Fixed && len(r.Used) == 0) {
		return Change{}, fmt.Errorf("%w: job %s is %s, cannot be completed", ErrWrongState, j.ID, j.State)
	}
	expect, a := j.Version, j.Assignment
	j, err := Transition(j, to, now)
	if err != nil {
		return Change{}, err
	}
	r.Used, r.At = slices.Clone(r.Used), now
	j.Result, j.Action = &r, ActionNone
	if a == nil {
		return change(j, expect, nil, nil, nil), nil
	}
	if err := h.match(*a); err != nil {
		return Change{}, err
	}
	t := h.Technician.WithoutStop(j.ID)
	t = t.Clone()
	t.UpdatedAt, t.FreeAt = now, now
	var w fleet.Warehouse
	if h.Warehouse != nil {
		w = h.Warehouse.Clone()
		w.UpdatedAt = now
		if t.Stock, w.Stock, err = fetch(t.Stock, w.Stock, j.ID); err != nil {
			return Change{}, err
		}
	}
	for _, u := range r.Used {
		if t.Stock, err = t.Stock.Consume(j.ID, u.PartKind, u.Mark, u.Quantity); err != nil {
			return Change{}, err
		}
	}
	t.Stock = t.Stock.Release(j.ID)
	return change(j, expect, &t, h.Warehouse, &w), nil
}

// fetch moves what the shelf promised to the job onto the van, promised still.
func fetch(van, shelf fleet.Stock, jobID string) (fleet.Stock, fleet.Stock, error) {
	for _, l := range shelf {
		n := l.ReservedFor(jobID)
		if n == 0 {
			continue
		}
		var err error
		if shelf, err = shelf.Consume(jobID, l.PartKind, l.Mark, n); err != nil {
			return van, shelf, err
		}
		if van, err = van.Adjust(l.PartKind, l.Mark, n); err != nil {
			return van, shelf, err
		}
		if van, err = van.Reserve(jobID, l.PartKind, l.Mark, n); err != nil {
			return van, shelf, err
		}
	}
	return van, shelf, nil
}

func (h Holders) match(a Assignment) error {
	switch {
	case h.Technician == nil || h.Technician.ID != a.TechnicianID:
		return fmt.Errorf("%w: technician %s is wanted", ErrHolder, a.TechnicianID)
	case a.WarehouseID == "" && h.Warehouse != nil:
		return fmt.Errorf("%w: no warehouse is wanted", ErrHolder)
	case a.WarehouseID != "" && (h.Warehouse == nil || h.Warehouse.ID != a.WarehouseID):
		return fmt.Errorf("%w: warehouse %s is wanted", ErrHolder, a.WarehouseID)
	}
	return nil
}

// change gathers records into a Change; was is the warehouse as read, or nil
// when none takes part.
func change(j Job, expect int64, t *fleet.Technician, was, w *fleet.Warehouse) Change {
	c := Change{Jobs: []Write[Job]{{Value: j, Expect: expect}}}
	if t != nil {
		c.Technicians = []Write[fleet.Technician]{{Value: *t, Expect: t.Version}}
	}
	if was != nil {
		c.Warehouses = []Write[fleet.Warehouse]{{Value: *w, Expect: was.Version}}
	}
	return c
}
