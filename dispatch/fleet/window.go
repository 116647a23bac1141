package fleet

import "time"

// Window is a stretch of time, both ends included. A zero Window (both ends
// zero) means "none asked for" where the field's comment allows it.
type Window struct {
	Start, End time.Time
}

// IsZero reports whether neither end was set.
func (w Window) IsZero() bool { return w.Start.IsZero() && w.End.IsZero() }

// Contains reports whether t lies in the window, ends included.
func (w Window) Contains(t time.Time) bool {
	return !t.Before(w.Start) && !t.After(w.End)
}
