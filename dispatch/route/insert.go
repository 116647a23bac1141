package route

import (
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/travel"
)

// Visit is a visit to be fitted in.
type Visit struct {
	JobID string
	Place travel.Place
	// Window binds the start; an end that is zero does not bind. Zero: any time.
	Window   fleet.Window
	Duration time.Duration
	// Via is the warehouse to call at first, or nil.
	Via    *fleet.Via
	Urgent bool
	// StartBy is the last moment the visit may start, FinishBy the last it may
	// finish (a licence runs out). Zero does not bind.
	StartBy, FinishBy time.Time
	// Until bounds planning: shifts that start later are not looked at. Zero does
	// not bind.
	Until time.Time
}

// Insertion is a technician's day with the visit in it.
type Insertion struct {
	// Day is the whole new day. Times are replanned in the shift the visit went
	// into; other shifts are as they were.
	Day []fleet.Stop
	// Index is the place of the visit in Day.
	Index int
	// Arrive, Start and Finish are those of the visit.
	Arrive, Start, Finish time.Time
	// Kilometres is road added to the shift; less than zero only by the rounding
	// of floats.
	Kilometres float64
	// Work is driving and picking added. It may be below zero by some minutes,
	// since every drive is rounded to a whole one.
	Work time.Duration
	// Delay is how much later other visits start, summed.
	Delay time.Duration
}

// Cause is why a visit cannot be fitted in; the zero value means it can.
type Cause int

const (
	// None: it can.
	None Cause = iota
	// NoPosition: nowhere known to start from.
	NoPosition
	// OffShift: no shift left, or none that touches the window.
	OffShift
	// Window: cannot start in time.
	Window
	// Shift: would not finish before the shift ends.
	Shift
	// Licence: would not finish before FinishBy.
	Licence
	// Closed: the warehouse is shut when reached.
	Closed
	// Promise: every place in the order breaks a promise made before.
	Promise
)

// Cheapest returns the cheapest way to fit v into t's day, in the earliest
// shift that has any, or the cause why there is none. Among equal prices the
// earlier place in the order wins. The order of the visits already there is
// kept, and so is every promise: a visit in Day with a window still starts
// within it, an urgent one starts no later than it would without v, and the
// shift's end holds. A promise that is already lost without v (the technician
// runs late) only has to become no worse.
//
// The cause is that of putting v last in the first shift that touches its
// window: the reason a dispatcher would give.
//
// price must be a pure function. Cost: O(n²) drives for n visits in the shift.
func Cheapest(t fleet.Technician, v Visit, m travel.Model, now time.Time, price func(Insertion) int64) (Insertion, Cause) {
	if t.Position == nil && t.Base == nil {
		return Insertion{}, NoPosition
	}
	shifts, breaks := sorted(t.Shifts), sorted(t.Breaks)
	start, started, ahead := setOff(t, now)
	live := 0
	for live < len(shifts) && !shifts[live].End.After(start.at) {
		live++
	}
	cause := OffShift
	for k := live; k < len(shifts); k++ {
		if out(v, shifts[k]) {
			cause = firstCause(cause, Window)
			break
		}
		l := shiftLeave(t, start, shifts[k], now)
		before, mine, after := split(ahead, shifts, live, k)
		best, why := insert(l, mine, v, shifts[k], breaks, m, price)
		if why == None {
			day := make([]fleet.Stop, 0, len(t.Day)+1)
			day = append(append(day, started...), before...)
			best.Index += len(day)
			best.Day = append(append(day, best.Day...), after...)
			return best, None
		}
		cause = firstCause(cause, why)
	}
	return Insertion{}, cause
}

// firstCause keeps the first cause that says more than OffShift.
func firstCause(have, got Cause) Cause {
	if have == OffShift {
		return got
	}
	return have
}

// out reports whether the shift starts too late for v.
func out(v Visit, shift fleet.Window) bool {
	late := func(bound time.Time) bool { return !bound.IsZero() && shift.Start.After(bound) }
	return late(v.StartBy) || late(v.Until)
}

// setOff returns where and when the technician is next free, the stops begun,
// and those still ahead.
func setOff(t fleet.Technician, now time.Time) (l leave, started, ahead []fleet.Stop) {
	l.at = later(now, t.FreeAt)
	if t.Position != nil {
		l.place = t.Position.Place
	} else {
		l.place = *t.Base
	}
	for i, s := range t.Day {
		if !s.Started {
			// Begin puts a started stop in front, so the rest is ahead.
			ahead = t.Day[i:]
			break
		}
		started = t.Day[:i+1]
		l.place, l.at = s.Place, later(l.at, s.Finish)
	}
	l.at = wholeMinute(l.at)
	return l, started, ahead
}

// shiftLeave returns where and when the shift's driving begins. A shift still
// to come starts from the base if there is one.
func shiftLeave(t fleet.Technician, start leave, shift fleet.Window, now time.Time) leave {
	l := leave{place: start.place, at: later(start.at, wholeMinute(shift.Start))}
	if t.Base != nil && shift.Start.After(now) && shift.Start.After(start.at) {
		l.place = *t.Base
	}
	return l
}

// split parts the stops ahead into those before shift k, in it, and after it.
func split(ahead []fleet.Stop, shifts []fleet.Window, live, k int) (before, mine, after []fleet.Stop) {
	i := 0
	for i < len(ahead) && shiftOf(ahead[i], shifts, live) < k {
		i++
	}
	j := i
	for j < len(ahead) && shiftOf(ahead[j], shifts, live) <= k {
		j++
	}
	return ahead[:i], ahead[i:j], ahead[j:]
}

// insert tries v at every place among stops and returns the cheapest, with Day
// holding this shift only, or the cause why the last place fails.
func insert(l leave, stops []fleet.Stop, v Visit, shift fleet.Window, breaks []fleet.Window, m travel.Model, price func(Insertion) int64) (Insertion, Cause) {
	if !v.Window.Start.IsZero() && v.Window.Start.After(shift.End) {
		return Insertion{}, OffShift
	}
	base := play(l, stops, breaks, m)
	stop := fleet.Stop{JobID: v.JobID, Place: v.Place, Window: v.Window, Duration: v.Duration, Via: v.Via, Urgent: v.Urgent}
	var best Insertion
	var bestPrice int64
	found, last := false, None
	order := make([]fleet.Stop, 0, len(stops)+1)
	for i := 0; i <= len(stops); i++ {
		order = append(append(append(order[:0], stops[:i]...), stop), stops[i:]...)
		got := play(l, order, breaks, m)
		if last = check(got, i, v, shift); last == None {
			last = kept(base, got, i, shift)
		}
		if last != None {
			continue
		}
		s := got.stops[i]
		in := Insertion{
			Day: got.stops, Index: i, Arrive: s.Arrive, Start: s.Start, Finish: s.Finish,
			Kilometres: got.km - base.km, Work: got.work - base.work, Delay: delay(base, got, i),
		}
		if p := price(in); !found || p < bestPrice {
			best, bestPrice, found = in, p, true
		}
	}
	if found {
		return best, None
	}
	return Insertion{}, last
}

// check looks at the new visit's own bounds.
func check(r run, i int, v Visit, shift fleet.Window) Cause {
	s := r.stops[i]
	after := func(t, bound time.Time) bool { return !bound.IsZero() && t.After(bound) }
	switch {
	case after(s.Start, v.Window.End), after(s.Start, v.StartBy):
		return Window
	case r.closed[i]:
		return Closed
	case after(s.Finish, v.FinishBy):
		return Licence
	case s.Finish.After(shift.End):
		return Shift
	}
	return None
}

// kept looks at the promises behind place i; those before it are as they were.
func kept(base, got run, i int, shift fleet.Window) Cause {
	for k := i; k < len(base.stops); k++ {
		was, is := base.stops[k], got.stops[k+1]
		if !is.Start.After(was.Start) && !is.Finish.After(was.Finish) {
			continue // no later than without v
		}
		if is.Urgent || (!is.Window.End.IsZero() && is.Start.After(is.Window.End)) || (got.closed[k+1] && !base.closed[k]) {
			return Promise
		}
		if is.Finish.After(shift.End) {
			return Shift
		}
	}
	return None
}

func delay(base, got run, i int) time.Duration {
	var sum time.Duration
	for k := i; k < len(base.stops); k++ {
		if d := got.stops[k+1].Start.Sub(base.stops[k].Start); d > 0 {
			sum += d
		}
	}
	return sum
}
