package offer

import (
	"cmp"
	"math"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/route"
)

// option is one way to do the job: a technician, perhaps a warehouse, a time.
type option struct {
	warehouse *fleet.Warehouse // nil: wholly from the van
	in        route.Insertion
	reserved  []job.Reserved
	chance    float64
	cost      job.Cost
}

// compare orders options of technicians a and b: cheaper, then less road, then
// sooner, then by id, so that the order of the technicians never decides.
func compare(a, b option, idA, idB string) int {
	return cmp.Or(
		cmp.Compare(a.cost.Total(), b.cost.Total()),
		cmp.Compare(a.in.Kilometres, b.in.Kilometres),
		a.in.Start.Compare(b.in.Start),
		cmp.Compare(idA, idB),
	)
}

// look is a technician as this choice sees them.
type look struct {
	t   *fleet.Technician
	van []shelf // with parts held for urgent jobs withheld
	// reason is why the van alone will not do; empty when it will.
	reason Reason
	detail string
	able   bool // has skills and tools
	stocks bool // serves every sure part from the van
	best   *option
	km     float64 // road from the last position, NaN when unknown
}

// chooser carries what one Choose needs everywhere.
type chooser struct {
	r        Request
	m        *matcher
	h        *hold
	wanted   map[string]bool
	outcomes []job.Outcome
	onSite   time.Duration
}

// visit describes the job for the planner.
func (c *chooser) visit(t *fleet.Technician, w *fleet.Warehouse) route.Visit {
	v := route.Visit{
		JobID: c.r.Job.ID, Place: c.r.Job.Place, Window: c.r.Job.Window, Duration: c.onSite,
		Urgent: c.r.Job.Urgent(), StartBy: c.r.Job.WaitUntil, Until: c.r.Now.Add(c.r.Costs.Horizon),
	}
	if w != nil {
		v.Via = &fleet.Via{WarehouseID: w.ID, Place: w.Place, Open: w.Open, Pick: w.Pick}
	}
	for _, code := range c.r.Job.Requirement.Skills {
		until, _ := t.SkillUntil(code)
		if !until.IsZero() && (v.FinishBy.IsZero() || until.Before(v.FinishBy)) {
			v.FinishBy = until
		}
	}
	return v
}

// plan fits the job into t's day, taking the given parts.
func (c *chooser) plan(t *fleet.Technician, w *fleet.Warehouse, v route.Visit, takes []take, from []shelf, chance float64) (option, route.Cause) {
	in, cause := route.Cheapest(*t, v, c.r.Travel, c.r.Now, func(in route.Insertion) int64 {
		return int64(c.cost(in, chance).Total())
	})
	if cause != route.None {
		return option{}, cause
	}
	o := option{warehouse: w, in: in, chance: chance, cost: c.cost(in, chance)}
	for _, k := range takes {
		s := from[k.shelf]
		o.reserved = append(o.reserved, job.Reserved{
			WarehouseID: s.warehouseID, PartKind: s.partKind, Mark: s.mark, Quantity: k.quantity,
			For: c.r.Job.Requirement.Parts[k.need].Mark,
		})
	}
	return o, route.None
}

// cost prices an insertion. Every part is rounded to whole cents by itself and
// is zero or more.
func (c *chooser) cost(in route.Insertion, chance float64) job.Cost {
	k := c.r.Costs
	from := c.r.Now
	if c.r.Job.Window.Start.After(from) {
		from = c.r.Job.Window.Start // before that the customer does not wait
	}
	wait := max(in.Start.Sub(from), 0)
	rate := k.WaitPerHour
	if c.r.Job.Urgent() {
		rate = k.UrgentWaitPerHour
	}
	return job.Cost{
		Travel: max(round(in.Kilometres*float64(k.PerKm)), 0) + max(hours(in.Work, k.PerHour), 0),
		Wait:   hours(wait, rate) + job.Cents(nights(from, in.Start, c.r.Now.Location()))*k.WaitPerNight,
		Delay:  hours(in.Delay, k.DelayPerHour),
		Return: round((1 - chance) * float64(k.ReturnVisit)),
	}
}

// round goes from a share of cents to whole ones. Shares come from probabilities
// and kilometres; sums and prices are whole throughout.
func round(cents float64) job.Cents { return job.Cents(math.Round(cents)) }

// hours is a rate per hour over a time of whole minutes, rounded down.
func hours(d time.Duration, perHour job.Cents) job.Cents {
	return job.Cents(d/time.Minute) * perHour / 60
}

// nights counts the midnights in loc between two moments, none if b is before a.
func nights(a, b time.Time, loc *time.Location) int {
	day := func(t time.Time) time.Time {
		y, m, d := t.In(loc).Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	}
	return max(int(day(b).Sub(day(a))/(24*time.Hour)), 0)
}

// direct looks at the technician with what is on the van.
func (c *chooser) direct(t *fleet.Technician) look {
	need := c.r.Job.Requirement
	l := look{t: t, km: math.NaN()}
	if t.Position != nil {
		l.km = c.r.Travel.RoadFactor * kilometres(t.Position.Place, c.r.Job.Place)
	} else if t.Base != nil {
		l.km = c.r.Travel.RoadFactor * kilometres(*t.Base, c.r.Job.Place)
	}
	for _, s := range need.Skills {
		if !t.HasSkill(s, c.r.Now) {
			l.reason, l.detail = SkillMissing, s
			return l
		}
	}
	for _, tool := range need.Tools {
		if !t.HasTool(tool) {
			l.reason, l.detail = ToolMissing, tool
			return l
		}
	}
	l.able = true
	l.van = c.h.withhold(shelves(t.Stock, "", c.wanted))
	takes, short := c.m.allocate(need.Parts, l.van, len(l.van))
	if need.Certain {
		if !none(short) {
			reason, n := c.m.lack(need.Parts, short, l.van)
			l.reason, l.detail = reason, name(n)
			return l
		}
		if !c.h.allows(takes, l.van) {
			l.reason, l.detail = PartReserved, "together"
			return l
		}
	} else {
		takes = c.trim(takes, l.van)
	}
	l.stocks = true
	chance := c.m.chance(c.outcomes, l.van, len(l.van), 1, c.h)
	o, cause := c.plan(t, nil, c.visit(t, nil), takes, l.van, chance)
	if cause != route.None {
		l.reason = reasonOf(cause)
		return l
	}
	l.best = &o
	return l
}

// trim gives up takes of kinds that open urgent jobs need, least needed first,
// until what is held for them is left alone.
func (c *chooser) trim(takes []take, from []shelf) []take {
	for !c.h.allows(takes, from) {
		last := -1
		for i, k := range takes {
			if c.h.wanted[from[k.shelf].partKind] && (last < 0 || k.need >= takes[last].need) {
				last = i
			}
		}
		// allows refuses only for a take of a wanted kind, so there is one.
		takes = append(takes[:last:last], takes[last+1:]...)
	}
	return takes
}

// via looks at the technician calling at a warehouse first. It changes l.best
// when that is possible and better, and l.reason when the way through a
// warehouse fails only by time. It reports whether van and shelf together serve
// every sure part.
func (c *chooser) via(l *look) (stocked bool) {
	need := c.r.Job.Requirement
	if !l.able || (need.Certain && l.stocks) {
		return false // van will do, or nothing will
	}
	for i := range c.r.Warehouses {
		w := &c.r.Warehouses[i]
		all := append(append([]shelf(nil), l.van...), c.h.withhold(shelves(w.Stock, w.ID, c.wanted))...)
		takes, short := c.m.allocate(need.Parts, all, len(l.van), len(all))
		if need.Certain && (!none(short) || !c.h.allows(takes, all)) {
			continue
		}
		takes = c.trim(takes, all)
		if !fetches(takes, all) {
			continue
		}
		stocked = true
		chance := c.m.chance(c.outcomes, all, len(l.van), c.r.Costs.ShelfReliability, c.h)
		o, cause := c.plan(l.t, w, c.visit(l.t, w), takes, all, chance)
		if cause != route.None {
			if need.Certain && l.best == nil {
				l.reason, l.detail = reasonOf(cause), "through the warehouse"
			}
			continue
		}
		if l.best == nil || compare(o, *l.best, "", "") < 0 {
			l.best, l.reason = &o, ""
		}
	}
	return stocked
}

func fetches(takes []take, from []shelf) bool {
	for _, t := range takes {
		if from[t.shelf].warehouseID != "" {
			return true
		}
	}
	return false
}

func reasonOf(c route.Cause) Reason {
	switch c {
	case route.NoPosition:
		return PositionUnknown
	case route.Window:
		return WindowMissed
	case route.Shift:
		return ShiftTooShort
	case route.Licence:
		return SkillMissing
	case route.Closed:
		return WarehouseClosed
	case route.Promise:
		return PromiseBroken
	}
	return OffShift
}
