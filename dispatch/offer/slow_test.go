package offer

// The slow twins: the same questions answered by trying everything.

import (
	"math"
	"slices"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

// serves is the fit rule in its plainest form.
func serves(n job.Need, kind, mark string) bool {
	return n.PartKind == kind && (n.Mark == "" || mark == "" || n.Mark == mark || volts{}.Verdict(Pair{kind, n.Mark, mark}) == Serves)
}

// unit is one single part, for the slow searches.
type unit struct{ kind, mark, from string }

func freeUnits(s fleet.Stock, from string) (out []unit) {
	for _, l := range s {
		for range l.Free() {
			out = append(out, unit{l.PartKind, l.Mark, from})
		}
	}
	return out
}

// most is the largest number of needs the units can serve, by trying all.
func most(needs []job.Need, units []unit) int {
	var single []job.Need
	for _, n := range needs {
		for range n.Quantity {
			single = append(single, n)
		}
	}
	var try func(i int, used uint64) int
	seen := map[[2]uint64]int{}
	try = func(i int, used uint64) int {
		if i == len(single) {
			return 0
		}
		key := [2]uint64{uint64(i), used}
		if v, ok := seen[key]; ok {
			return v
		}
		best := try(i+1, used)
		for k, u := range units {
			if used&(1<<k) == 0 && serves(single[i], u.kind, u.mark) {
				best = max(best, 1+try(i+1, used|1<<k))
			}
		}
		seen[key] = best
		return best
	}
	return try(0, 0)
}

func count(needs []job.Need) (n int) {
	for _, d := range needs {
		n += d.Quantity
	}
	return n
}

// slowOption is what the slow search finds for one technician and way.
type slowOption struct {
	id   string
	cost int64
}

// slowChoose decides a sure job without days by looking at everything. It shares
// the travel model and the list of costs with Choose and nothing else.
func slowChoose(r Request) (job.Action, []slowOption) {
	need := r.Job.Requirement
	var region []unit
	for _, e := range r.Technicians {
		region = append(region, freeUnits(e.Stock, e.ID)...)
	}
	for _, w := range r.Warehouses {
		region = append(region, freeUnits(w.Stock, w.ID)...)
	}
	var urgentNeeds []job.Need
	if r.Job.Priority != job.Urgent {
		for _, u := range r.OpenUrgent {
			urgentNeeds = append(urgentNeeds, u.Requirement.Parts...)
		}
	}
	before := most(urgentNeeds, region)
	// complete reports whether some choice of units from these holders serves all
	// needs and leaves the urgent jobs what they had.
	complete := func(from ...string) bool {
		var single []job.Need
		for _, n := range need.Parts {
			for range n.Quantity {
				single = append(single, n)
			}
		}
		var try func(i int, pool []unit) bool
		try = func(i int, pool []unit) bool {
			if i == len(single) {
				return most(urgentNeeds, pool) == before
			}
			tried := map[unit]bool{}
			for k, u := range pool {
				if slices.Contains(from, u.from) && serves(single[i], u.kind, u.mark) && !tried[u] {
					tried[u] = true
					if try(i+1, slices.Delete(slices.Clone(pool), k, k+1)) {
						return true
					}
				}
			}
			return false
		}
		return try(0, region)
	}
	minutes := func(a, b travel.Place) int { return int(r.Travel.Leg(a, b).Drive / time.Minute) }
	var able []fleet.Technician
	for _, e := range r.Technicians {
		ok := true
		for _, s := range need.Skills {
			ok = ok && slices.ContainsFunc(e.Skills, func(h fleet.Skill) bool { return h.Code == s })
		}
		for _, tool := range need.Tools {
			ok = ok && slices.Contains(e.Tools, tool)
		}
		if ok {
			able = append(able, e)
		}
	}
	price := func(km float64, work int, start time.Time, chance float64) int64 {
		c := r.Costs
		from := r.Now
		if r.Job.Window.Start.After(from) {
			from = r.Job.Window.Start
		}
		rate := c.WaitPerHour
		if r.Job.Priority == job.Urgent {
			rate = c.UrgentWaitPerHour
		}
		wait := int64(start.Sub(from) / time.Minute)
		return int64(math.Round(km*float64(c.PerKm))) + int64(work)*int64(c.PerHour)/60 + wait*int64(rate)/60 + int64(math.Round((1-chance)*float64(c.ReturnVisit)))
	}
	inTime := func(e fleet.Technician, arrive int) (time.Time, bool) {
		start := at(arrive)
		if !r.Job.Window.IsZero() {
			if start.After(r.Job.Window.End) {
				return start, false
			}
			if start.Before(r.Job.Window.Start) {
				start = r.Job.Window.Start
			}
		}
		return start, !start.Add(need.Duration).After(e.Shifts[0].End)
	}
	var options []slowOption
	stocked := false
	for _, e := range able {
		if !complete(e.ID) {
			continue
		}
		stocked = true
		d := minutes(e.Position.Place, r.Job.Place)
		if start, ok := inTime(e, int(e.FreeAt.Sub(eight)/time.Minute)+d); ok {
			options = append(options, slowOption{e.ID, price(r.Travel.Leg(e.Position.Place, r.Job.Place).Kilometres, d, start, 1)})
		}
	}
	if len(options) == 0 {
		for _, e := range able {
			if complete(e.ID) {
				continue
			}
			for _, w := range r.Warehouses {
				if !complete(e.ID, w.ID) {
					continue
				}
				stocked = true
				a, b := minutes(e.Position.Place, w.Place), minutes(w.Place, r.Job.Place)
				t := max(int(e.FreeAt.Sub(eight)/time.Minute)+a, int(w.Open[0].Start.Sub(eight)/time.Minute))
				t += 10
				if at(t).After(w.Open[0].End) {
					continue
				}
				if start, ok := inTime(e, t+b); ok {
					km := r.Travel.Leg(e.Position.Place, w.Place).Kilometres + r.Travel.Leg(w.Place, r.Job.Place).Kilometres
					options = append(options, slowOption{e.ID, price(km, a+10+b, start, r.Costs.ShelfReliability)})
				}
			}
		}
	}
	switch {
	case len(options) > 0:
		return job.ActionAssign, options
	case len(able) == 0:
		return job.ActionEscalate, nil
	case !stocked:
		return job.ActionOrderPart, nil
	}
	return job.ActionBookLater, nil
}
