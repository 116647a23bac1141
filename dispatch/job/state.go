package job

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// ErrWrongState marks a step the job's state does not allow. Trying again
// cannot help; something else must happen first.
var ErrWrongState = errors.New("job: wrong state")

// State is where a job stands.
type State string

const (
	// Created: taken down, nothing decided.
	Created State = "created"
	// Waiting: decided, but nobody is sent yet (part, time, person or call back).
	Waiting State = "waiting"
	// Assigned: a technician, a time and the parts are promised.
	Assigned State = "assigned"
	// UnderWay: the technician is driving there or on site.
	UnderWay State = "under_way"
	// Done and Cancelled are ends; nothing leads out of them.
	Done      State = "done"
	Cancelled State = "cancelled"
)

// next is the whole state machine: from each state, where it may go.
var next = map[State][]State{
	Created:  {Waiting, Assigned, Cancelled},
	Waiting:  {Waiting, Assigned, Cancelled, Done}, // Done: settled on the phone
	Assigned: {Assigned, Waiting, UnderWay, Cancelled},
	// Waiting from UnderWay: the visit ended and a second one is needed.
	UnderWay:  {Done, Waiting, Cancelled},
	Done:      {},
	Cancelled: {},
}

// States returns every state, in the order of a job's life.
func States() []State { return []State{Created, Waiting, Assigned, UnderWay, Done, Cancelled} }

// Transition returns the job in the state to, stamped with now, or an error
// wrapping ErrWrongState. It is the only way a state changes. Leaving assigned
// and under way for waiting or cancelled drops the assignment; entering under
// way counts a visit.
func Transition(j Job, to State, now time.Time) (Job, error) {
	if !slices.Contains(next[j.State], to) {
		return j, fmt.Errorf("%w: job %s is %s, cannot become %s", ErrWrongState, j.ID, j.State, to)
	}
	j.State, j.UpdatedAt = to, now
	switch to {
	case Waiting, Cancelled:
		j.Assignment = nil
	case UnderWay:
		j.Visits++
	}
	return j, nil
}
