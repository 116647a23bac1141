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
// and that sum. They are the joint distribution that marginals cannot give.
func (p *Posterior) Outcomes(mass float64, limit int) (sets []FaultSet, kept float64) {
	members := make([]int, 0, 256)
	p.visit(mass, limit, func() { sets, members = sets[:0], members[:0] }, func(set []int, w float64) {
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
	p.visit(mass, limit, func() { clear(sum) }, func(set []int, w float64) { sum.add(p.model, set, w) })
	return sum.sorted()
}

// Needs returns the part sets that lie within the given part kinds, by falling
// probability. It is what a kit of those parts can be complete for: everything
// else is lost whatever is carried. Sets of faults less probable than least (in
// (0, 1)) may be left out; missing bounds what they add up to.
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
	if m.opts.AllowNone {
		sum.add(m, nil, none*unit)
	}
	missing, _ = in.walk(m, order, least/unit, needsBudget, func(set []int, w float64) { sum.add(m, set, w*unit) })
	sets, kept := sum.sorted()
	return sets, min(missing*unit, 1-min(kept, 1))
}

// needsBudget bounds the sets of faults that Needs visits.
const needsBudget = 1 << 12

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
	if limit <= 0 {
		limit = 4096
	}
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
