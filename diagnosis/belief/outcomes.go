package belief

import (
	"math"
	"slices"
)

// FaultSet is exactly these faults being present, and no other.
type FaultSet struct {
	Faults []int // ascending; empty for none
	P      float64
}

// PartSet is exactly these part kinds being needed, knowledge.NoPart left out.
type PartSet struct {
	Parts []int // ascending; empty when no part is needed
	P     float64
}

// Outcomes returns sets of present faults by falling probability, until their
// probabilities sum to mass (in (0, 1)) or there are limit of them (0: 4096),
// and that sum. They are the joint distribution that marginals cannot give. Of
// many thousand small sets the likeliest few may come out in place of all.
func (p *Posterior) Outcomes(mass float64, limit int) (sets []FaultSet, kept float64) {
	members := make([]int, 0, 256)
	p.visit(mass, max(limit, visits), func() { sets, members = sets[:0], members[:0] }, func(set []int, w float64) {
		from := len(members)
		members = append(members, set...)
		sets = append(sets, FaultSet{members[from:len(members):len(members)], w})
	})
	slices.SortStableFunc(sets, func(a, b FaultSet) int { return compare(b.P, a.P) })
	if limit > 0 && len(sets) > limit {
		sets = sets[:limit]
	}
	for i, s := range sets {
		kept += s.P
		slices.Sort(s.Faults)
		if kept >= mass {
			sets = sets[:i+1]
			break
		}
	}
	return sets, kept
}

// PartSets is [Posterior.Outcomes] by part kinds needed: sets of faults that
// need the same parts are one. The limit is on the sets of faults visited.
func (p *Posterior) PartSets(mass float64, limit int) (sets []PartSet, kept float64) {
	sum := make(needs)
	p.visit(mass, max(limit, visits), func() { clear(sum) }, func(set []int, w float64) { sum.add(p.model, set, w) })
	return sum.sorted()
}

// visits bounds the sets of faults looked at in one walk.
const visits = 1 << 12

// Within returns the probability that no part kind outside those given is
// needed, exactly: it is the weight of the evidence with the faults that need
// another one ruled out, over its weight as it stands. The cost is that of a
// posterior.
func (p *Posterior) Within(parts []int) float64 {
	m := p.model
	var allowed setOf
	for _, part := range parts {
		allowed = allowed.with(part)
	}
	in := *p.in
	in.on = slices.Clone(in.on)
	for i := range in.on {
		if m.parts[i].union(allowed) != allowed {
			in.on[i] = 0
		}
	}
	a := m.scratch.Get().(*arena)
	defer m.scratch.Put(a)
	q, err := m.condition(&in, a, a.route(m, &in, sweepLimit), approximateBudget)
	if err != nil {
		return 0 // nothing but faults ruled out can explain the evidence
	}
	return min(math.Exp(q.logMass-p.logMass), 1)
}

// Needs returns the part sets that lie within the given part kinds, by falling
// probability. It is what a kit of those parts can be complete for: everything
// else is lost whatever is carried. Sets of faults less probable than least (in
// (0, 1)) may be left out; missing is what they add up to, or bounds it.
//
// When the sets left out matter, because the evidence pulls many ways and no few
// sets explain it, they are taken to need what those found need: the sets
// returned are scaled to the exact probability of [Posterior.Within].
func (p *Posterior) Needs(within []int, least float64) (sets []PartSet, missing float64) {
	m, in := p.model, p.in
	var allowed setOf
	for _, part := range within {
		allowed = allowed.with(part)
	}
	order := make([]int, 0, len(m.order))
	for _, i := range m.order {
		if p.Faults[i] > 0 && m.parts[i].union(allowed) == allowed {
			order = append(order, i)
		}
	}
	logUnit, none := in.empty()
	unit := math.Exp(logUnit - p.logMass)
	sum := make(needs)
	// From a high threshold down: a spent budget cuts blindly, in walking order,
	// so the last threshold that stayed within it counts.
	found := make(needs)
	for threshold := max(least, coarse); ; threshold = max(least, threshold/8) {
		clear(found)
		if m.opts.AllowNone {
			found.add(m, nil, none*unit)
		}
		dropped, left := in.walk(m, order, threshold/unit, visits, func(set []int, w float64) { found.add(m, set, w*unit) })
		if left <= 0 && len(sum) > 0 {
			break
		}
		missing = dropped
		clear(sum)
		for need, w := range found {
			sum[need] = w
		}
		if left <= 0 || threshold == least {
			break
		}
	}
	sets, kept := sum.sorted()
	if missing = min(missing*unit, 1-min(kept, 1)); missing > tolerated && kept > 0 {
		whole := p.Within(within)
		missing = max(whole-kept, 0)
		if scale := whole / kept; scale > 1 {
			for i := range sets {
				sets[i].P *= scale
			}
		}
	}
	return sets, missing
}

// coarse is the threshold Needs starts from, and tolerated the probability that
// may be missing without being made good.
const (
	coarse    = 0.05
	tolerated = 0.05
)

// needs adds up probability by set of part kinds.
type needs map[setOf]float64

func (n needs) add(m *Model, faults []int, w float64) {
	var need setOf
	for _, i := range faults {
		need = need.union(m.parts[i])
	}
	n[need] += w
}

func (n needs) sorted() (sets []PartSet, kept float64) {
	type entry struct {
		need setOf
		p    float64
	}
	all := make([]entry, 0, len(n))
	for need, w := range n {
		all = append(all, entry{need, w})
	}
	slices.SortFunc(all, func(a, b entry) int {
		switch {
		case a.p != b.p:
			return compare(b.p, a.p)
		case a.need[1] != b.need[1]:
			return compareBits(a.need[1], b.need[1])
		default:
			return compareBits(a.need[0], b.need[0])
		}
	})
	sets = make([]PartSet, len(all))
	for i, x := range all {
		sets[i] = PartSet{x.need.list(), x.p}
		kept += x.p
	}
	return sets, kept
}

func compareBits(a, b uint64) int {
	if a < b {
		return -1
	}
	return 1
}

// visit walks over sets with their posterior probability, restarting with a
// lower threshold until they hold the mass or limit is reached.
func (p *Posterior) visit(mass float64, limit int, restart func(), out func([]int, float64)) {
	m, in := p.model, p.in
	order := p.candidates((1 - mass) / 4)
	logUnit, none := in.empty()
	unit := math.Exp(logUnit - p.logMass)
	round := func(threshold float64) (kept float64, exhausted bool) {
		restart()
		if m.opts.AllowNone {
			kept = none * unit
			out(nil, kept)
		}
		_, left := in.walk(m, order, threshold/unit, limit, func(set []int, w float64) {
			kept += w * unit
			out(set, w*unit)
		})
		return kept, left <= 0
	}
	// A spent limit cuts blindly, in walking order, so go back to the last
	// threshold that stayed within it.
	threshold := (1 - mass) / 50
	kept, exhausted := round(threshold)
	for exhausted && threshold < 1 {
		threshold *= 8
		_, exhausted = round(threshold)
		if !exhausted {
			return
		}
	}
	for kept < mass && threshold > 1e-15 {
		threshold /= 8
		if kept, exhausted = round(threshold); exhausted {
			round(threshold * 8)
			return
		}
	}
}

// candidates returns, in sweep order, the faults worth putting into sets: the
// others' probabilities sum to at most rest.
func (p *Posterior) candidates(rest float64) []int {
	rank := make([]int, len(p.Faults))
	for i := range rank {
		rank[i] = i
	}
	slices.SortFunc(rank, func(a, b int) int {
		if c := compare(p.Faults[a], p.Faults[b]); c != 0 {
			return c
		}
		return a - b
	})
	cut := 0
	for cut < len(rank) && p.Faults[rank[cut]] <= rest {
		rest -= p.Faults[rank[cut]]
		cut++
	}
	kept := rank[cut:]
	slices.SortFunc(kept, func(a, b int) int { return p.model.place[a] - p.model.place[b] })
	return kept
}
