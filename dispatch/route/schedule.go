package route

import (
	"slices"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/travel"
)

// leave is where and when a shift's driving begins.
type leave struct {
	place travel.Place
	at    time.Time
}

// run is one shift's order of visits played through.
type run struct {
	stops  []fleet.Stop
	closed []bool // the warehouse on the way is shut when reached
	km     float64
	work   time.Duration // driving and picking
}

// play drives the stops in order, from l on. It looks at no promise; the caller
// does.
func play(l leave, stops []fleet.Stop, breaks []fleet.Window, m travel.Model) run {
	r := run{stops: slices.Clone(stops), closed: make([]bool, len(stops))}
	at, place := l.at, l.place
	drive := func(to travel.Place) {
		leg := m.Leg(place, to)
		at = clear(at, leg.Drive, breaks).Add(leg.Drive)
		place = to
		r.km += leg.Kilometres
		r.work += leg.Drive
	}
	for i := range r.stops {
		s := &r.stops[i]
		if s.Via != nil {
			drive(s.Via.Place)
			begin, ok := opening(at, s.Via, breaks)
			r.closed[i] = !ok
			at = begin.Add(s.Via.Pick)
			r.work += s.Via.Pick
		}
		drive(s.Place)
		s.Arrive = at
		s.Start = clear(later(at, s.Window.Start), s.Duration, breaks)
		s.Finish = s.Start.Add(s.Duration)
		at = s.Finish
	}
	return r
}

// clear returns the first moment from t on at which d of work fits without
// running into a break. Breaks are in order of time.
func clear(t time.Time, d time.Duration, breaks []fleet.Window) time.Time {
	for _, b := range breaks {
		if t.Before(b.End) && t.Add(d).After(b.Start) {
			t = b.End
		}
	}
	return t
}

// opening returns when picking can begin, and whether it can be over before
// closing. When it cannot, picking is planned as if open: the stop may be one
// whose part was fetched before.
func opening(t time.Time, v *fleet.Via, breaks []fleet.Window) (time.Time, bool) {
	if len(v.Open) == 0 {
		return clear(t, v.Pick, breaks), true
	}
	open := slices.SortedFunc(slices.Values(v.Open), byStart)
	for _, w := range open {
		begin := clear(later(t, w.Start), v.Pick, breaks)
		if !begin.Add(v.Pick).After(w.End) {
			return begin, true
		}
	}
	return clear(t, v.Pick, breaks), false
}

func byStart(a, b fleet.Window) int { return a.Start.Compare(b.Start) }

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

// wholeMinute rounds up: nobody is told seconds.
func wholeMinute(t time.Time) time.Time {
	if r := t.Truncate(time.Minute); !r.Equal(t) {
		return r.Add(time.Minute)
	}
	return t
}

// sorted returns windows in order of start, without copying when they are.
func sorted(ws []fleet.Window) []fleet.Window {
	if slices.IsSortedFunc(ws, byStart) {
		return ws
	}
	return slices.SortedFunc(slices.Values(ws), byStart)
}

// shiftOf returns the index of the shift a stop belongs to: the last that
// starts no later than the stop's plan, but none before live, since a stop
// left over from a finished shift is the next shift's business.
func shiftOf(s fleet.Stop, shifts []fleet.Window, live int) int {
	i, found := slices.BinarySearchFunc(shifts, s.Start, func(w fleet.Window, t time.Time) int { return w.Start.Compare(t) })
	if !found {
		i--
	}
	return max(i, live)
}
