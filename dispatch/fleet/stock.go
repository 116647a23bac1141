package fleet

import (
	"errors"
	"fmt"
	"slices"
)

var (
	// ErrNotEnough marks a wish for more parts than are free, or than exist.
	ErrNotEnough = errors.New("fleet: not enough parts")
	// ErrQuantity marks a quantity that makes no sense, such as a negative one.
	ErrQuantity = errors.New("fleet: bad quantity")
)

// Reservation is a number of parts promised to a job.
type Reservation struct {
	JobID    string
	Quantity int
}

// Line is one kind of part with one printed mark, and how many there are.
//
// Quantity counts the parts that are there, promised ones included, so it is
// never less than the sum of the reservations.
type Line struct {
	PartKind string
	// Mark is the rating as printed on the part, such as "8 µF 450 V"; empty
	// when the kind needs none or it is not known.
	Mark         string
	Quantity     int
	Reservations []Reservation
}

// Free returns how many parts of the line are not promised to any job.
func (l Line) Free() int {
	free := l.Quantity
	for _, r := range l.Reservations {
		free -= r.Quantity
	}
	return max(free, 0)
}

// ReservedFor returns how many parts of the line are promised to the job.
func (l Line) ReservedFor(jobID string) int {
	n := 0
	for _, r := range l.Reservations {
		if r.JobID == jobID {
			n += r.Quantity
		}
	}
	return n
}

// Stock is what a van or a shelf holds: at most one line for each pair of kind
// and mark. All methods return new values; none writes into the receiver.
type Stock []Line

// Available returns the number of unpromised parts of a kind, all marks.
func (s Stock) Available(partKind string) int {
	n := 0
	for _, l := range s {
		if l.PartKind == partKind {
			n += l.Free()
		}
	}
	return n
}

// Reserve promises parts of the line (partKind, mark as written in the line) to
// a job. Errors: ErrNotEnough when fewer are free, ErrQuantity below one.
func (s Stock) Reserve(jobID, partKind, mark string, quantity int) (Stock, error) {
	if quantity < 1 {
		return s, fmt.Errorf("%w: reserve %d of %s", ErrQuantity, quantity, partKind)
	}
	i := s.find(partKind, mark)
	if i < 0 || s[i].Free() < quantity {
		return s, fmt.Errorf("%w: reserve %d of %s %q", ErrNotEnough, quantity, partKind, mark)
	}
	out := s.Clone()
	for k := range out[i].Reservations {
		if out[i].Reservations[k].JobID == jobID {
			out[i].Reservations[k].Quantity += quantity
			return out, nil
		}
	}
	out[i].Reservations = append(out[i].Reservations, Reservation{JobID: jobID, Quantity: quantity})
	return out, nil
}

// Release takes back every promise made to a job; the parts stay. Releasing a
// job that holds nothing changes nothing.
func (s Stock) Release(jobID string) Stock {
	out := s.Clone()
	for i := range out {
		out[i].Reservations = slices.DeleteFunc(out[i].Reservations, func(r Reservation) bool { return r.JobID == jobID })
	}
	return out
}

// Consume takes parts out for good: first those promised to the job, then free
// ones. Never those promised to another job. Errors: ErrNotEnough, ErrQuantity.
func (s Stock) Consume(jobID, partKind, mark string, quantity int) (Stock, error) {
	if quantity < 1 {
		return s, fmt.Errorf("%w: consume %d of %s", ErrQuantity, quantity, partKind)
	}
	i := s.find(partKind, mark)
	if i < 0 || s[i].ReservedFor(jobID)+s[i].Free() < quantity {
		return s, fmt.Errorf("%w: consume %d of %s %q", ErrNotEnough, quantity, partKind, mark)
	}
	out := s.Clone()
	line := &out[i]
	line.Quantity -= quantity
	left := quantity
	for k := range line.Reservations {
		r := &line.Reservations[k]
		if r.JobID == jobID {
			take := min(left, r.Quantity)
			r.Quantity -= take
			left -= take
		}
	}
	line.Reservations = slices.DeleteFunc(line.Reservations, func(r Reservation) bool { return r.Quantity == 0 })
	return out, nil
}

// Adjust adds delta parts to the line (negative: takes away), opening the line
// if there is none. Promised parts cannot be adjusted away: ErrNotEnough. A
// line that reaches zero stays, so that "none left" can be told from "never
// carried".
func (s Stock) Adjust(partKind, mark string, delta int) (Stock, error) {
	if partKind == "" {
		return s, fmt.Errorf("%w: part kind is empty", ErrQuantity)
	}
	i := s.find(partKind, mark)
	if i < 0 {
		if delta < 0 {
			return s, fmt.Errorf("%w: adjust %s %q by %d", ErrNotEnough, partKind, mark, delta)
		}
		return append(s.Clone(), Line{PartKind: partKind, Mark: mark, Quantity: delta}), nil
	}
	if s[i].Free()+delta < 0 {
		return s, fmt.Errorf("%w: adjust %s %q by %d", ErrNotEnough, partKind, mark, delta)
	}
	out := s.Clone()
	out[i].Quantity += delta
	return out, nil
}

// Clone returns a copy that shares no memory with s. Nil stays nil.
func (s Stock) Clone() Stock {
	out := slices.Clone(s)
	for i := range out {
		out[i].Reservations = slices.Clone(out[i].Reservations)
	}
	return out
}

// Validate returns an error wrapping ErrQuantity when a line has no kind, a
// negative quantity, more promised than there is, or when two lines share kind
// and mark.
func (s Stock) Validate() error {
	for i, l := range s {
		if l.PartKind == "" {
			return fmt.Errorf("%w: line %d has no part kind", ErrQuantity, i)
		}
		reserved := 0
		for _, r := range l.Reservations {
			if r.Quantity < 1 || r.JobID == "" {
				return fmt.Errorf("%w: line %d (%s) has a bad reservation", ErrQuantity, i, l.PartKind)
			}
			reserved += r.Quantity
		}
		if l.Quantity < 0 || reserved > l.Quantity {
			return fmt.Errorf("%w: line %d (%s) promises %d of %d", ErrQuantity, i, l.PartKind, reserved, l.Quantity)
		}
		if s.find(l.PartKind, l.Mark) != i {
			return fmt.Errorf("%w: line %d repeats %s %q", ErrQuantity, i, l.PartKind, l.Mark)
		}
	}
	return nil
}

func (s Stock) find(partKind, mark string) int {
	return slices.IndexFunc(s, func(l Line) bool { return l.PartKind == partKind && l.Mark == mark })
}

// remembered is how many adjustments a record remembers: more than a client
// repeats while it waits for an answer, few enough to stay small.
const remembered = 64

// Remember returns ids with id added, the oldest forgotten beyond 64, and false
// when id is among them already: the adjustment was made and must not be made
// again. It is kept in the record whose stock changes, so that both change
// together.
func Remember(ids []string, id string) ([]string, bool) {
	if slices.Contains(ids, id) {
		return ids, false
	}
	out := append(slices.Clone(ids), id)
	return out[max(0, len(out)-remembered):], true
}
