package offer

import (
	"fmt"
	"slices"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

// MaxCandidates is how many candidates are kept with a job; a region may have
// thousands and the ones at the end explain nothing.
const MaxCandidates = 25

// Book turns a decision on r into the Change that makes it true: for assign the
// parts promised, the day changed, the job assigned; else the job waiting with
// what was decided. The expectations are the versions in r. A job never stored
// (Version 0) is created, and its RequestID bound.
//
// Errors wrap job.ErrWrongState, job.ErrHolder, fleet.ErrNotEnough, or
// ErrRequest when the decision names a technician or warehouse not in r.
func Book(d Decision, r Request) (job.Change, error) {
	j := r.Job
	if j.State == "" {
		j.State = job.Created
	}
	if j.CreatedAt.IsZero() {
		j.CreatedAt = r.Now
	}
	j.Action, j.NeedsPerson, j.Advice = d.Action, d.NeedsPerson, d.Advice
	j.Because = slices.Clone(d.Because)
	j.Candidates = slices.Clone(d.Candidates[:min(len(d.Candidates), MaxCandidates)])

	var change job.Change
	if d.Action == job.ActionAssign {
		h, err := holders(*d.Assignment, r)
		if err != nil {
			return job.Change{}, err
		}
		if change, err = job.Assign(j, *d.Assignment, d.Day, h, r.Now); err != nil {
			return job.Change{}, err
		}
	} else {
		waiting, err := job.Transition(j, job.Waiting, r.Now)
		if err != nil {
			return job.Change{}, err
		}
		change.Jobs = []job.Write[job.Job]{{Value: waiting, Expect: j.Version}}
	}
	if j.Version == 0 && j.RequestID != "" {
		change.RequestID, change.RequestJobID = j.RequestID, j.ID
	}
	return change, nil
}

func holders(a job.Assignment, r Request) (job.Holders, error) {
	var h job.Holders
	for i := range r.Technicians {
		if r.Technicians[i].ID == a.TechnicianID {
			h.Technician = &r.Technicians[i]
		}
	}
	if h.Technician == nil {
		return h, fmt.Errorf("%w: technician %s is not given", ErrRequest, a.TechnicianID)
	}
	if a.WarehouseID == "" {
		return h, nil
	}
	for i := range r.Warehouses {
		if r.Warehouses[i].ID == a.WarehouseID {
			h.Warehouse = &r.Warehouses[i]
		}
	}
	if h.Warehouse == nil {
		return h, fmt.Errorf("%w: warehouse %s is not given", ErrRequest, a.WarehouseID)
	}
	return h, nil
}

// Reassign takes an assigned job from its technician and chooses again, leaving
// out the technicians named in exclude. The Change does both at once: promises
// taken back where they were, made where they are now; if nobody can go, the job
// waits. r.Technicians and r.Warehouses must hold the present holders, excluded
// or not. A job without an assignment is simply chosen for.
//
// Errors are those of Choose, Book and job.Release.
func Reassign(r Request, exclude ...string) (Decision, job.Change, error) {
	var released job.Change
	r.Technicians, r.Warehouses = slices.Clone(r.Technicians), slices.Clone(r.Warehouses)
	if a := r.Job.Assignment; a != nil {
		h, err := holders(*a, r)
		if err != nil {
			return Decision{}, job.Change{}, err
		}
		if released, err = job.Release(r.Job, h, r.Now); err != nil {
			return Decision{}, job.Change{}, err
		}
		r.Job = released.Jobs[0].Value
		for _, w := range released.Technicians {
			replace(r.Technicians, w.Value, func(t fleet.Technician) string { return t.ID })
		}
		for _, w := range released.Warehouses {
			replace(r.Warehouses, w.Value, func(t fleet.Warehouse) string { return t.ID })
		}
	}
	r.Technicians = slices.DeleteFunc(r.Technicians, func(t fleet.Technician) bool { return slices.Contains(exclude, t.ID) })
	d, err := Choose(r)
	if err != nil {
		return Decision{}, job.Change{}, err
	}
	change, err := Book(d, r)
	if err != nil {
		return Decision{}, job.Change{}, err
	}
	change.Technicians = join(change.Technicians, released.Technicians, func(t fleet.Technician) string { return t.ID })
	change.Warehouses = join(change.Warehouses, released.Warehouses, func(t fleet.Warehouse) string { return t.ID })
	return d, change, nil
}

func replace[T any](list []T, with T, id func(T) string) {
	for i := range list {
		if id(list[i]) == id(with) {
			list[i] = with
		}
	}
}

// join adds the writes of more whose record is not among writes yet.
func join[T any](writes, more []job.Write[T], id func(T) string) []job.Write[T] {
	for _, w := range more {
		if !slices.ContainsFunc(writes, func(have job.Write[T]) bool { return id(have.Value) == id(w.Value) }) {
			writes = append(writes, w)
		}
	}
	return writes
}
