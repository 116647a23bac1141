package route

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/travel"
)

var eight = time.Date(2031, 5, 6, 8, 0, 0, 0, time.UTC)

// at gives eight o'clock plus minutes.
func at(minutes int) time.Time { return eight.Add(time.Duration(minutes) * time.Minute) }

func window(from, to int) fleet.Window { return fleet.Window{Start: at(from), End: at(to)} }

// km puts places on a line, so many kilometres from the start. One minute a
// kilometre and no detours keep the numbers in the head.
func km(x float64) travel.Place { return travel.Place{Lng: x / (travel.EarthKm * math.Pi / 180)} }

var plain = travel.Model{RoadFactor: 1, MinutesPerKm: 1}

func byWork(in Insertion) int64 { return int64(in.Work) }

func technician(stops ...fleet.Stop) fleet.Technician {
	return fleet.Technician{
		ID: "T1", Position: &fleet.Position{Place: km(0)},
		Shifts: []fleet.Window{window(0, 480)}, Day: stops,
	}
}

func stop(id string, x float64, minutes int) fleet.Stop {
	return fleet.Stop{JobID: id, Place: km(x), Duration: time.Duration(minutes) * time.Minute}
}

func visit(x float64, minutes int) Visit {
	return Visit{JobID: "N", Place: km(x), Duration: time.Duration(minutes) * time.Minute}
}

func TestCheapest(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*fleet.Technician, *Visit)
		now    int
		cause  Cause
		index  int
		arrive int // minutes after eight
		start  int
		work   int // minutes
		delay  int
	}{
		{name: "empty day", arrive: 10, start: 10, work: 10},
		{name: "on the way to another", change: func(e *fleet.Technician, v *Visit) { e.Day = []fleet.Stop{stop("A", 20, 30)} },
			arrive: 10, start: 10, work: 0, delay: 30},
		{name: "behind an urgent one", change: func(e *fleet.Technician, v *Visit) {
			s := stop("A", 20, 30)
			s.Urgent = true
			e.Day = []fleet.Stop{s}
		}, index: 1, arrive: 60, start: 60, work: 10},
		{name: "behind one whose window is tight", change: func(e *fleet.Technician, v *Visit) {
			s := stop("A", 20, 30)
			s.Window = window(0, 40) // 20 without, 50 with the new one before
			e.Day = []fleet.Stop{s}
		}, index: 1, arrive: 60, start: 60, work: 10},
		{name: "before one whose window is wide", change: func(e *fleet.Technician, v *Visit) {
			s := stop("A", 20, 30)
			s.Window = window(0, 50)
			e.Day = []fleet.Stop{s}
		}, arrive: 10, start: 10, work: 0, delay: 30},
		{name: "waits for the window", change: func(e *fleet.Technician, v *Visit) { v.Window = window(60, 90) }, arrive: 10, start: 60, work: 10},
		{name: "arrives as the window ends", change: func(e *fleet.Technician, v *Visit) { v.Window = window(0, 10) }, arrive: 10, start: 10, work: 10},
		{name: "a minute after it", change: func(e *fleet.Technician, v *Visit) { v.Window = window(0, 9) }, cause: Window},
		{name: "a window without an end", change: func(e *fleet.Technician, v *Visit) { v.Window.Start = at(30) }, arrive: 10, start: 30, work: 10},
		{name: "ends with the shift", change: func(e *fleet.Technician, v *Visit) { e.Shifts[0] = window(0, 40) }, arrive: 10, start: 10, work: 10},
		{name: "a minute longer", change: func(e *fleet.Technician, v *Visit) { e.Shifts[0] = window(0, 39) }, cause: Shift},
		{name: "busy first", change: func(e *fleet.Technician, v *Visit) { e.FreeAt = at(100) }, arrive: 110, start: 110, work: 10},
		{name: "shift starts later", change: func(e *fleet.Technician, v *Visit) { e.Shifts[0] = window(120, 480) }, arrive: 130, start: 130, work: 10},
		{name: "later shift starts from the base", change: func(e *fleet.Technician, v *Visit) {
			b := km(5)
			e.Base, e.Shifts[0] = &b, window(120, 480)
		}, arrive: 125, start: 125, work: 5},
		{name: "shift over", now: 480, cause: OffShift},
		{name: "no shift", change: func(e *fleet.Technician, v *Visit) { e.Shifts = nil }, cause: OffShift},
		{name: "window before the shift", change: func(e *fleet.Technician, v *Visit) { e.Shifts[0] = window(120, 480); v.Window = window(0, 60) }, cause: Window},
		{name: "window after the shift", change: func(e *fleet.Technician, v *Visit) { v.Window = window(600, 700) }, cause: OffShift},
		{name: "second shift", change: func(e *fleet.Technician, v *Visit) {
			e.Shifts = []fleet.Window{window(1440, 1900), window(0, 30)} // in any order
		}, arrive: 1450, start: 1450, work: 10},
		{name: "second shift is too late", change: func(e *fleet.Technician, v *Visit) {
			e.Shifts = []fleet.Window{window(0, 30), window(1440, 1900)}
			v.StartBy = at(1000)
		}, cause: Shift},
		{name: "second shift is past planning", change: func(e *fleet.Technician, v *Visit) {
			e.Shifts = []fleet.Window{window(0, 30), window(1440, 1900)}
			v.Until = at(1439)
		}, cause: Shift},
		{name: "stops of the second shift stay there", change: func(e *fleet.Technician, v *Visit) {
			s := stop("A", 20, 30)
			s.Arrive, s.Start, s.Finish = at(1460), at(1460), at(1490)
			e.Shifts, e.Day = []fleet.Window{window(0, 480), window(1440, 1900)}, []fleet.Stop{s}
		}, arrive: 10, start: 10, work: 10},
		{name: "licence runs out", change: func(e *fleet.Technician, v *Visit) { v.FinishBy = at(39) }, cause: Licence},
		{name: "licence just holds", change: func(e *fleet.Technician, v *Visit) { v.FinishBy = at(40) }, arrive: 10, start: 10, work: 10},
		{name: "nowhere to start", change: func(e *fleet.Technician, v *Visit) { e.Position = nil }, cause: NoPosition},
		{name: "break on the way", change: func(e *fleet.Technician, v *Visit) { e.Breaks = []fleet.Window{window(5, 35)} }, arrive: 45, start: 45, work: 10},
		{name: "break during the visit", change: func(e *fleet.Technician, v *Visit) { e.Breaks = []fleet.Window{window(20, 50)} }, arrive: 10, start: 50, work: 10},
		{name: "break pushes past the window", change: func(e *fleet.Technician, v *Visit) {
			e.Breaks = []fleet.Window{window(20, 50)}
			v.Window = window(0, 45)
		}, cause: Window},
		{name: "through a warehouse", change: func(e *fleet.Technician, v *Visit) {
			v.Via = &fleet.Via{WarehouseID: "W", Place: km(-5), Pick: 10 * time.Minute}
		}, arrive: 30, start: 30, work: 30}, // 5 there, 10 picking, 15 on
		{name: "warehouse opens later", change: func(e *fleet.Technician, v *Visit) {
			v.Via = &fleet.Via{Place: km(-5), Pick: 10 * time.Minute, Open: []fleet.Window{window(60, 90)}}
		}, arrive: 85, start: 85, work: 30},
		{name: "picked as it closes", change: func(e *fleet.Technician, v *Visit) {
			v.Via = &fleet.Via{Place: km(-5), Pick: 10 * time.Minute, Open: []fleet.Window{window(-60, 15)}}
		}, arrive: 30, start: 30, work: 30},
		{name: "closed before it is picked", change: func(e *fleet.Technician, v *Visit) {
			v.Via = &fleet.Via{Place: km(-5), Pick: 10 * time.Minute, Open: []fleet.Window{window(-60, 14)}}
		}, cause: Closed},
		{name: "begun visit comes first", change: func(e *fleet.Technician, v *Visit) {
			s := stop("A", 20, 30)
			s.Started, s.Start, s.Finish = true, at(-10), at(40)
			e.Day = []fleet.Stop{s}
		}, index: 1, arrive: 50, start: 50, work: 10},
		{name: "late already, no later", change: func(e *fleet.Technician, v *Visit) {
			s := stop("A", 20, 30)
			s.Window = window(-60, 5) // lost whatever is done
			e.Day = []fleet.Stop{s}
		}, index: 1, arrive: 60, start: 60, work: 10},
		{name: "every place breaks a promise", change: func(e *fleet.Technician, v *Visit) {
			a, b := stop("A", 20, 30), stop("B", 20, 30)
			a.Urgent, b.Urgent = true, true
			e.Day = []fleet.Stop{a, b}
			v.Window = window(0, 15)
		}, cause: Window}, // last place first: it misses the window
		{name: "seconds round up", change: func(e *fleet.Technician, v *Visit) { e.FreeAt = at(0).Add(time.Second) }, arrive: 11, start: 11, work: 10},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, v := technician(), visit(10, 30)
			if c.change != nil {
				c.change(&e, &v)
			}
			before := fmt.Sprintf("%+v", e)
			in, cause := Cheapest(e, v, plain, at(c.now), byWork)
			if cause != c.cause {
				t.Fatalf("cause %d, want %d", cause, c.cause)
			}
			if fmt.Sprintf("%+v", e) != before {
				t.Error("the technician was changed")
			}
			if cause != None {
				return
			}
			if in.Index != c.index || !in.Arrive.Equal(at(c.arrive)) || !in.Start.Equal(at(c.start)) || in.Work != time.Duration(c.work)*time.Minute || in.Delay != time.Duration(c.delay)*time.Minute {
				t.Errorf("place %d, arrives %v, starts %v, work %v, delay %v; want %d, %v, %v, %d min, %d min", in.Index, in.Arrive, in.Start, in.Work, in.Delay, c.index, at(c.arrive), at(c.start), c.work, c.delay)
			}
			if in.Day[in.Index].JobID != "N" || len(in.Day) != len(e.Day)+1 {
				t.Errorf("day %+v", in.Day)
			}
		})
	}
}

// slow plays an order of stops minute by minute, the obvious way, and returns
// the start minutes, or false when a drive or a visit never finds room.
func slow(e fleet.Technician, order []fleet.Stop, free int, m travel.Model) (starts, finishes []int) {
	inBreak := func(minute int) bool {
		for _, b := range e.Breaks {
			if !at(minute).Before(b.Start) && at(minute).Before(b.End) {
				return true
			}
		}
		return false
	}
	// room finds the first minute from t on with n minutes in a row outside breaks.
	room := func(t, n int) int {
		for ; ; t++ {
			ok := true
			for k := range n {
				ok = ok && !inBreak(t+k)
			}
			if ok {
				return t
			}
		}
	}
	t, place := free, e.Position.Place
	for _, s := range order {
		d := int(m.Leg(place, s.Place).Drive.Minutes())
		t = room(t, d) + d
		place = s.Place
		for !s.Window.Start.IsZero() && at(t).Before(s.Window.Start) {
			t++
		}
		n := int(s.Duration.Minutes())
		t = room(t, n)
		starts = append(starts, t)
		t += n
		finishes = append(finishes, t)
	}
	return starts, finishes
}

// TestCheapest_AgainstEveryPlace compares with trying every place by the slow
// player, and with every order of all stops, which can only be cheaper.
func TestCheapest_AgainstEveryPlace(t *testing.T) {
	feasible, infeasible := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		p := func(label string) travel.Place {
			return travel.Place{Lat: rapid.Float64Range(-0.2, 0.2).Draw(t, label), Lng: rapid.Float64Range(-0.2, 0.2).Draw(t, label)}
		}
		m := travel.Model{RoadFactor: 1.2, MinutesPerKm: 1.5}
		e := fleet.Technician{ID: "T", Position: &fleet.Position{Place: p("start")}, Shifts: []fleet.Window{window(0, rapid.IntRange(60, 480).Draw(t, "shift"))}}
		if rapid.Bool().Draw(t, "break") {
			b := rapid.IntRange(0, 240).Draw(t, "break at")
			e.Breaks = []fleet.Window{window(b, b+30)}
		}
		free := rapid.IntRange(0, 60).Draw(t, "free")
		e.FreeAt = at(free)
		some := func(label string) fleet.Window {
			if !rapid.Bool().Draw(t, label) {
				return fleet.Window{}
			}
			from := rapid.IntRange(0, 300).Draw(t, label)
			return window(from, from+rapid.IntRange(0, 240).Draw(t, label))
		}
		for i := range rapid.IntRange(0, 4).Draw(t, "stops") {
			s := fleet.Stop{JobID: fmt.Sprint(i), Place: p("stop"), Duration: time.Duration(rapid.IntRange(1, 60).Draw(t, "on site")) * time.Minute}
			s.Window, s.Urgent = some("window"), rapid.IntRange(0, 4).Draw(t, "urgent") == 0
			s.Start = at(i)
			e.Day = append(e.Day, s)
		}
		v := Visit{JobID: "N", Place: p("new"), Duration: time.Duration(rapid.IntRange(1, 60).Draw(t, "new on site")) * time.Minute, Window: some("new window")}

		// Slow: every place.
		newStop := fleet.Stop{JobID: "N", Place: v.Place, Duration: v.Duration, Window: v.Window}
		base, baseEnd := slow(e, e.Day, free, m)
		drive := func(order []fleet.Stop) (sum int64) {
			from := e.Position.Place
			for _, s := range order {
				sum += int64(m.Leg(from, s.Place).Drive)
				from = s.Place
			}
			return sum
		}
		kept := func(order []fleet.Stop, starts, ends []int) bool {
			for i, s := range order {
				was, wasEnd := math.MinInt, math.MinInt
				for k, o := range e.Day {
					if o.JobID == s.JobID {
						was, wasEnd = base[k], baseEnd[k]
					}
				}
				if s.Urgent && starts[i] > was ||
					!s.Window.End.IsZero() && at(starts[i]).After(s.Window.End) && starts[i] > was ||
					at(ends[i]).After(e.Shifts[0].End) && ends[i] > wasEnd {
					return false
				}
			}
			return true
		}
		best, found := int64(math.MaxInt64), false
		for i := 0; i <= len(e.Day); i++ {
			order := append(append(append([]fleet.Stop{}, e.Day[:i]...), newStop), e.Day[i:]...)
			starts, ends := slow(e, order, free, m)
			if d := drive(order) - drive(e.Day); kept(order, starts, ends) && d < best {
				best, found = d, true
			}
		}
		in, cause := Cheapest(e, v, m, at(0), byWork)
		if (cause == None) != found {
			t.Fatalf("cause %d, but the slow search finds one: %v", cause, found)
		}
		if !found {
			infeasible++
			return
		}
		feasible++
		if int64(in.Work) != best {
			t.Fatalf("adds %v, the slow search %v", in.Work, time.Duration(best))
		}
		starts, ends := slow(e, in.Day, free, m)
		for i, s := range in.Day {
			if !s.Start.Equal(at(starts[i])) || !s.Finish.Equal(at(ends[i])) {
				t.Fatalf("stop %d planned %v to %v, slow says %d to %d", i, s.Start, s.Finish, starts[i], ends[i])
			}
		}
		// Every order at all: insertion keeps the order, so it cannot beat this.
		least := int64(math.MaxInt64)
		permute(in.Day, func(order []fleet.Stop) {
			starts, ends := slow(e, order, free, m)
			if kept(order, starts, ends) {
				least = min(least, drive(order))
			}
		})
		if least > drive(in.Day) {
			t.Fatalf("the best of all orders drives %v, the insertion %v: one of them is wrong", time.Duration(least), time.Duration(drive(in.Day)))
		}
	})
	if feasible == 0 || infeasible == 0 {
		t.Errorf("%d feasible and %d infeasible cases: the test looked at one side only", feasible, infeasible)
	}
}

func permute(stops []fleet.Stop, visit func([]fleet.Stop)) {
	s := append([]fleet.Stop{}, stops...)
	var walk func(int)
	walk = func(i int) {
		if i == len(s) {
			visit(s)
			return
		}
		for k := i; k < len(s); k++ {
			s[i], s[k] = s[k], s[i]
			walk(i + 1)
			s[i], s[k] = s[k], s[i]
		}
	}
	walk(0)
}
