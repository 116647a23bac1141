package fleet

import (
	"slices"
	"time"

	"onevisit/dispatch/travel"
)

// Skill is something a technician may do: "electrical", "gas",
// "sealed_refrigeration", "microwave_hv". The codes are plain strings; this
// room gives them no meaning beyond being held or not.
type Skill struct {
	Code string
	// Until is the last moment the licence is valid. Zero means it does not
	// expire.
	Until time.Time
}

// Position is where a technician was last heard of.
type Position struct {
	Place travel.Place
	At    time.Time
}

// Technician is one person, their day and their van, kept in one record on
// purpose: the day and the stock change together when a job is booked, so one
// version protects both and neither can be promised twice.
//
// A Technician is a value. Methods return changed copies and never write into
// the slices of the receiver.
type Technician struct {
	ID     string
	Region string
	// Label is what a dispatcher reads on screen, such as "van 3". It is not a
	// person's name: names are personal data and this room has no use for them.
	Label  string
	Skills []Skill
	// Tools are codes of tools carried: "multimeter", "stacking_lift".
	Tools []string
	// Shifts in any order; they must not overlap. Work, driving included,
	// happens only within a shift.
	Shifts []Window
	// Breaks are stretches without work or driving.
	Breaks []Window
	// FreeAt is the earliest moment the technician can set off for something
	// not yet started. Zero or past means at once.
	FreeAt time.Time
	// Position is nil when never reported.
	Position *Position
	// Base is where a later shift starts from. Nil means: from Position.
	Base *travel.Place
	// Stock is what the van carries.
	Stock Stock
	// Day holds the visits committed to and not yet closed, in the order they
	// will be driven, over all shifts.
	Day []Stop
	// Adjusted are the ids of the latest stock adjustments; see [Remember].
	Adjusted []string
	// Version is set by the store on every write; zero means never stored.
	Version   int64
	UpdatedAt time.Time
}

// Stop is one committed visit in a technician's day.
type Stop struct {
	JobID string
	Place travel.Place
	// Window is the promise to the customer, and binds the start of the visit.
	// Zero when none was given.
	Window Window
	// Duration is the planned time on site.
	Duration time.Duration
	// Arrive, Start and Finish are the present plan. Start is later than
	// Arrive when the technician waits for the window.
	Arrive, Start, Finish time.Time
	// Via is set when a part is fetched from a warehouse on the way.
	Via *Via
	// Urgent visits are never delayed to fit another in.
	Urgent bool
	// Started is true once the technician is on the way or on site: such a stop
	// keeps its place in front of all others.
	Started bool
}

// Via is the call at a warehouse on the way to a stop.
type Via struct {
	WarehouseID string
	Place       travel.Place
	// Open are the warehouse's opening hours; empty means always open.
	Open []Window
	// Pick is how long picking takes.
	Pick time.Duration
}

// HasSkill reports whether the skill is held and its licence, if it can
// expire, is still valid at the given moment.
func (t Technician) HasSkill(code string, at time.Time) bool {
	until, held := t.SkillUntil(code)
	return held && (until.IsZero() || !at.After(until))
}

// SkillUntil returns the last moment the skill may be used (zero: for ever) and
// whether it is listed at all. Of several entries the longest counts.
func (t Technician) SkillUntil(code string) (until time.Time, held bool) {
	for _, s := range t.Skills {
		if s.Code != code {
			continue
		}
		if s.Until.IsZero() {
			return time.Time{}, true
		}
		if s.Until.After(until) {
			until = s.Until
		}
		held = true
	}
	return until, held
}

// HasTool reports whether the van carries the tool.
func (t Technician) HasTool(code string) bool { return slices.Contains(t.Tools, code) }

// Stop returns the stop of a job and its index in Day, or false.
func (t Technician) Stop(jobID string) (Stop, int, bool) {
	for i, s := range t.Day {
		if s.JobID == jobID {
			return s, i, true
		}
	}
	return Stop{}, -1, false
}

// WithoutStop returns the technician with the job's stop taken out of the day;
// times of the stops after it are left as promised. Without such a stop the
// day is the same.
func (t Technician) WithoutStop(jobID string) Technician {
	day := make([]Stop, 0, len(t.Day))
	for _, s := range t.Day {
		if s.JobID != jobID {
			day = append(day, s)
		}
	}
	t.Day = day
	return t
}

// Clone returns a copy that shares no memory with t.
func (t Technician) Clone() Technician {
	t.Skills = slices.Clone(t.Skills)
	t.Tools = slices.Clone(t.Tools)
	t.Shifts = slices.Clone(t.Shifts)
	t.Breaks = slices.Clone(t.Breaks)
	if t.Position != nil {
		p := *t.Position
		t.Position = &p
	}
	if t.Base != nil {
		b := *t.Base
		t.Base = &b
	}
	t.Stock = t.Stock.Clone()
	t.Adjusted = slices.Clone(t.Adjusted)
	t.Day = slices.Clone(t.Day)
	for i := range t.Day {
		if t.Day[i].Via != nil {
			v := *t.Day[i].Via
			v.Open = slices.Clone(v.Open)
			t.Day[i].Via = &v
		}
	}
	return t
}

// Warehouse is a shelf of parts a technician can fetch from.
type Warehouse struct {
	ID     string
	Region string
	Label  string
	Place  travel.Place
	// Open are opening hours as absolute times, one window a day; empty means
	// always open. Parts must be picked before closing.
	Open []Window
	// Pick is how long picking takes, start to finish.
	Pick  time.Duration
	Stock Stock
	// Adjusted are the ids of the latest stock adjustments; see [Remember].
	Adjusted  []string
	Version   int64
	UpdatedAt time.Time
}

// Clone returns a copy that shares no memory with w.
func (w Warehouse) Clone() Warehouse {
	w.Open = slices.Clone(w.Open)
	w.Stock = w.Stock.Clone()
	w.Adjusted = slices.Clone(w.Adjusted)
	return w
}
