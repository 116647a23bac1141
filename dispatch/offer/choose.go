package offer

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

// ErrRequest marks a request that cannot be decided as it stands.
var ErrRequest = errors.New("offer: bad request")

// Choose decides who goes, or why nobody does.
//
// Hard rules first: every skill and tool; for a job whose parts are sure, every
// part, from the van, or, if no technician can do the job from a van, from one
// warehouse on the way; parts promised to others or held for open urgent jobs
// do not count; the window, the last day, the shift and every earlier promise
// are kept. Of those who pass, the least expected cost; see Costs.
//
// When nobody passes: nobody holds the skills and tools, escalate; nobody who
// does can get the parts, order; else book later. Escalated and urgent jobs
// that nobody is sent to need a person.
//
// Errors wrap ErrRequest or job.ErrRequirement. The order of technicians and
// warehouses does not matter. Cost: O(technicians × stops² in a shift), plus
// the stock lines of the kinds wanted.
func Choose(r Request) (Decision, error) {
	c, err := newChooser(r)
	if err != nil {
		return Decision{}, err
	}
	if r.PhoneFix != "" && phoneMay(r.Job.Requirement) {
		return c.phoneFix(), nil
	}
	looks := make([]look, len(r.Technicians))
	whole := false // somebody does all of it from the van
	full := 0.0
	for _, o := range c.outcomes {
		full += o.Probability
	}
	for i := range r.Technicians {
		l := c.direct(&r.Technicians[i])
		if l.best != nil {
			whole = whole || l.best.chance >= min(full, 1)-1e-9
		}
		looks[i] = l
	}
	stocked := false
	if !whole {
		for i := range looks {
			stocked = c.via(&looks[i]) || stocked
		}
	}
	slices.SortFunc(looks, byCost)
	if len(looks) > 0 && looks[0].best != nil {
		return c.assign(looks), nil
	}
	return c.nobody(looks, stocked), nil
}

// byCost puts able technicians first, cheapest first, then the rest nearest
// first.
func byCost(a, b look) int {
	switch {
	case a.best != nil && b.best != nil:
		return compare(*a.best, *b.best, a.t.ID, b.t.ID)
	case a.best != nil:
		return -1
	case b.best != nil:
		return 1
	}
	return byDistance(a, b)
}

func newChooser(r Request) (*chooser, error) {
	if err := r.Job.Requirement.Validate(); err != nil {
		return nil, err
	}
	if err := r.Job.Place.Validate(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRequest, err)
	}
	if r.Now.IsZero() {
		return nil, fmt.Errorf("%w: no time is given", ErrRequest)
	}
	if !(r.Travel.RoadFactor >= 1) || !(r.Travel.MinutesPerKm > 0) {
		return nil, fmt.Errorf("%w: travel model %+v", ErrRequest, r.Travel)
	}
	seen := map[string]bool{}
	for _, t := range r.Technicians {
		if seen[t.ID] {
			return nil, fmt.Errorf("%w: technician %s is given twice", ErrRequest, t.ID)
		}
		seen[t.ID] = true
	}
	// By id, so that of two equal warehouses the same one is taken every time.
	r.Warehouses = slices.SortedFunc(slices.Values(r.Warehouses), func(a, b fleet.Warehouse) int {
		return compareStrings(a.ID, b.ID)
	})
	c := &chooser{
		r: r, m: newMatcher(r.Fits), outcomes: r.Job.Requirement.Faults(),
		onSite: r.Job.Requirement.OnSite(), wanted: map[string]bool{},
	}
	for _, n := range r.Job.Requirement.Parts {
		c.wanted[n.PartKind] = true
	}
	for _, o := range c.outcomes {
		for _, n := range o.Parts {
			c.wanted[n.PartKind] = true
		}
	}
	c.h = newHold(c.m, r)
	return c, nil
}

// phoneMay reports whether the phone may settle the job. A person who named
// parts has decided on a visit; triage names a kit for every case, and gives
// advice only when that is likelier to settle it than not.
func phoneMay(r job.Requirement) bool { return !r.Certain || len(r.Parts) == 0 }

// assign sends the first of the looks.
func (c *chooser) assign(looks []look) Decision {
	first := looks[0]
	d := Decision{
		Action: job.ActionAssign, Assignment: c.assignment(first),
		Day: first.best.in.Day, Candidates: make([]job.Candidate, 0, len(looks)),
	}
	for i := range looks {
		if l := &looks[i]; l.best != nil {
			switch {
			case i == 0:
				l.reason = Chosen
			case l.best.in.Kilometres > first.best.in.Kilometres:
				l.reason = Farther
			default:
				l.reason = Costlier
			}
		}
		d.Candidates = append(d.Candidates, c.candidate(looks[i]))
	}
	d.Because = c.becauseChosen(looks, d.Candidates)
	return d
}

func (c *chooser) assignment(l look) *job.Assignment {
	o := l.best
	a := &job.Assignment{
		TechnicianID: l.t.ID, Arrive: o.in.Arrive, Start: o.in.Start, Finish: o.in.Finish,
		Drive: max(o.in.Work, 0), Kilometres: max(o.in.Kilometres, 0), Reserved: o.reserved, Cost: o.cost, Chance: o.chance,
	}
	if o.warehouse != nil {
		a.WarehouseID = o.warehouse.ID
	}
	return a
}

// nobody decides what happens when no technician can go.
func (c *chooser) nobody(looks []look, stocked bool) Decision {
	able := false
	for _, l := range looks {
		able = able || l.able
		stocked = stocked || l.stocks
	}
	d := Decision{NeedsPerson: c.r.Job.Urgent()}
	switch {
	case !able:
		d.Action, d.NeedsPerson = job.ActionEscalate, true
	case !stocked:
		d.Action = job.ActionOrderPart
	default:
		d.Action = job.ActionBookLater
		d.Assignment = c.proposal()
	}
	for _, l := range looks {
		d.Candidates = append(d.Candidates, c.candidate(l))
	}
	d.Because = c.becauseNobody(d, looks)
	return d
}

// proposal is the soonest visit outside the time asked for, or nil.
func (c *chooser) proposal() *job.Assignment {
	r := c.r
	r.Job.Window, r.Job.WaitUntil = fleet.Window{}, time.Time{}
	free, err := newChooser(r)
	if err != nil {
		return nil
	}
	var best *look
	consider := func(l look) {
		if l.best == nil {
			return
		}
		if best == nil || l.best.in.Start.Before(best.best.in.Start) ||
			(l.best.in.Start.Equal(best.best.in.Start) && compare(*l.best, *best.best, l.t.ID, best.t.ID) < 0) {
			best = &l
		}
	}
	for i := range r.Technicians {
		l := free.direct(&r.Technicians[i])
		free.via(&l)
		consider(l)
	}
	if best == nil {
		return nil
	}
	return free.assignment(*best)
}

// phoneFix sends nobody: a visit that the phone can settle is a wasted call-out.
func (c *chooser) phoneFix() Decision {
	d := Decision{Action: job.ActionPhoneFix, Advice: c.r.PhoneFix}
	looks := make([]look, len(c.r.Technicians))
	for i := range c.r.Technicians {
		looks[i] = c.direct(&c.r.Technicians[i])
		looks[i].best, looks[i].reason = nil, VisitNotNeeded
	}
	slices.SortFunc(looks, byDistance)
	for _, l := range looks {
		d.Candidates = append(d.Candidates, c.candidate(l))
	}
	d.Because = []string{
		"The call may settle it, so no visit is sent yet.",
		"Call back, and book only if it still does not work.",
	}
	return d
}

func byDistance(a, b look) int {
	switch {
	case a.km < b.km, math.IsNaN(b.km) && !math.IsNaN(a.km):
		return -1
	case b.km < a.km, math.IsNaN(a.km) && !math.IsNaN(b.km):
		return 1
	}
	return compareStrings(a.t.ID, b.t.ID)
}

func kilometres(a, b travel.Place) float64 { return travel.Kilometres(a, b) }

func compareStrings(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// Pairs returns the questions Choose may ask of r.Fits, each once, in no
// particular order: every pair of a needed mark and a stocked mark of the same
// kind that differ. Ask them all beforehand and give the answers as a Table.
func Pairs(r Request) []Pair {
	marks := map[string]map[string]bool{} // kind to marks needed
	add := func(needs []job.Need) {
		for _, n := range needs {
			if n.Mark == "" {
				continue
			}
			if marks[n.PartKind] == nil {
				marks[n.PartKind] = map[string]bool{}
			}
			marks[n.PartKind][n.Mark] = true
		}
	}
	jobs := append([]job.Job{r.Job}, r.OpenUrgent...)
	for _, j := range jobs {
		add(j.Requirement.Parts)
		for _, o := range j.Requirement.Outcomes {
			add(o.Parts)
		}
	}
	seen := map[Pair]bool{}
	var out []Pair
	look := func(stock fleet.Stock) {
		for _, l := range stock {
			if l.Mark == "" {
				continue
			}
			for need := range marks[l.PartKind] {
				p := Pair{PartKind: l.PartKind, Need: need, Stock: l.Mark}
				if plain(need) != plain(l.Mark) && !seen[p] {
					seen[p] = true
					out = append(out, p)
				}
			}
		}
	}
	for _, t := range r.Technicians {
		look(t.Stock)
	}
	for _, w := range r.Warehouses {
		look(w.Stock)
	}
	return out
}
