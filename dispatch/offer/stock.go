package offer

import (
	"strings"
	"unicode"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

// shelf is one stock line as a choice sees it.
type shelf struct {
	warehouseID    string
	partKind, mark string
	// free parts may be promised; carried are all that are there.
	free, carried int
}

// take is a number of parts of one shelf for one need.
type take struct {
	shelf, need, quantity int
}

// shelves lists stock lines, those of kinds wanted only.
func shelves(stock fleet.Stock, warehouseID string, wanted map[string]bool) []shelf {
	var out []shelf
	for _, l := range stock {
		if wanted[l.PartKind] {
			out = append(out, shelf{warehouseID: warehouseID, partKind: l.PartKind, mark: l.Mark, free: l.Free(), carried: l.Quantity})
		}
	}
	return out
}

// matcher answers whether a mark serves a need, remembering answers.
type matcher struct {
	fits  Fits
	known map[Pair]Verdict
}

func newMatcher(f Fits) *matcher { return &matcher{fits: f, known: map[Pair]Verdict{}} }

// verdict: no mark asked for, or none on the shelf, or the same mark, serves;
// anything else is for the part rules to say.
func (m *matcher) verdict(partKind, need, stock string) Verdict {
	if need == "" || stock == "" || need == stock {
		return Serves
	}
	p := Pair{PartKind: partKind, Need: need, Stock: stock}
	v, ok := m.known[p]
	if !ok {
		switch {
		case plain(need) == plain(stock):
			v = Serves
		case m.fits != nil:
			v = m.fits.Verdict(p)
		}
		m.known[p] = v
	}
	return v
}

func (m *matcher) serves(n job.Need, s shelf) bool {
	return n.PartKind == s.partKind && m.verdict(n.PartKind, n.Mark, s.mark) == Serves
}

// rank orders shelves for a need: the same mark, then one that may replace it,
// then one whose mark nobody knows.
func (m *matcher) rank(n job.Need, s shelf) int {
	switch {
	case s.mark == "" && n.Mark != "":
		return 2
	case n.Mark == "" || plain(n.Mark) == plain(s.mark):
		return 0
	}
	return 1
}

// plain brings a printed mark to one spelling: one micro sign of the two that
// look alike, and no blank except between two letters or two digits, where it
// may carry meaning. Case stays, since milli and mega differ by it.
func plain(mark string) string {
	var b strings.Builder
	blank, last := false, rune(0)
	for _, r := range mark {
		if unicode.IsSpace(r) {
			blank = true
			continue
		}
		if r == '\u00b5' { // micro sign
			r = '\u03bc' // Greek small mu, what compatibility normalisation gives
		}
		if blank && last != 0 && (unicode.IsDigit(last) && unicode.IsDigit(r) || unicode.IsLetter(last) && unicode.IsLetter(r)) {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
		blank, last = false, r
	}
	return b.String()
}

// allocate gives parts to needs: as many as can be, earlier needs first, from
// earlier groups of shelves as far as possible. groups are ends of prefixes of
// shelves: the van, then the van with a warehouse. It returns what is taken and,
// per need, how many are short.
//
// It is bipartite matching by augmenting paths over single parts, so an earlier
// need never loses its part to a later one, but may swap shelf.
func (m *matcher) allocate(needs []job.Need, all []shelf, groups ...int) (takes []take, short []int) {
	a := allocation{shelves: all, used: make([][]int, len(all))}
	for i, n := range needs {
		edges := make([]int, 0, len(all))
		for r := 0; r <= 2; r++ {
			for s := range all {
				if all[s].free > 0 && m.serves(n, all[s]) && m.rank(n, all[s]) == r {
					edges = append(edges, s)
				}
			}
		}
		for range n.Quantity {
			a.needOf = append(a.needOf, i)
			a.edges = append(a.edges, edges)
		}
	}
	short = make([]int, len(needs))
	placed := make([]bool, len(a.needOf))
	for _, end := range groups {
		for u := range a.needOf {
			if !placed[u] {
				placed[u] = a.augment(u, end, make([]bool, len(all)))
			}
		}
	}
	for u, ok := range placed {
		if !ok {
			short[a.needOf[u]]++
		}
	}
	for s, units := range a.used {
		for _, u := range units {
			takes = addTake(takes, take{shelf: s, need: a.needOf[u], quantity: 1})
		}
	}
	return takes, short
}

func addTake(takes []take, t take) []take {
	for i := range takes {
		if takes[i].shelf == t.shelf && takes[i].need == t.need {
			takes[i].quantity += t.quantity
			return takes
		}
	}
	return append(takes, t)
}

type allocation struct {
	shelves []shelf
	needOf  []int   // per wanted part, its need
	edges   [][]int // per wanted part, shelves that serve, best first
	used    [][]int // per shelf, the wanted parts it serves
}

// augment finds a part for u among shelves before end, moving others along.
func (a *allocation) augment(u, end int, seen []bool) bool {
	for _, s := range a.edges[u] {
		if s < end && len(a.used[s]) < a.shelves[s].free {
			a.used[s] = append(a.used[s], u)
			return true
		}
	}
	for _, s := range a.edges[u] {
		if s >= end || seen[s] {
			continue
		}
		seen[s] = true
		for k, other := range a.used[s] {
			if a.augment(other, end, seen) {
				a.used[s][k] = u
				return true
			}
		}
	}
	return false
}

// chance returns the probability that the shelves end the job in one visit:
// the sum over outcomes whose every part is among them. What needs a shelf from
// sure on (a warehouse's) counts with reliability, and what h keeps for urgent
// jobs does not count.
func (m *matcher) chance(outcomes []job.Outcome, all []shelf, sure int, reliability float64, h *hold) float64 {
	sum := 0.0
	for _, o := range outcomes {
		if takes, short := m.allocate(o.Parts, all, sure); none(short) && h.allows(takes, all) {
			sum += o.Probability
		} else if sure < len(all) {
			if takes, short := m.allocate(o.Parts, all, sure, len(all)); none(short) && h.allows(takes, all) {
				sum += o.Probability * reliability
			}
		}
	}
	return min(sum, 1)
}

func none(short []int) bool {
	for _, n := range short {
		if n > 0 {
			return false
		}
	}
	return true
}

// lack says why the van does not serve the needs that are short, worst first:
// not carried, promised to others, wrong rating, rating not decidable. Parts
// withheld for urgent jobs count as promised.
func (m *matcher) lack(needs []job.Need, short []int, van []shelf) (Reason, job.Need) {
	reason, which := Reason(""), job.Need{}
	worst := map[Reason]int{"": 0, RatingUnknown: 1, RatingMismatch: 2, PartReserved: 3, PartMissing: 4}
	for i, n := range needs {
		if short[i] == 0 {
			continue
		}
		if r := m.lackOf(n, van); worst[r] > worst[reason] {
			reason, which = r, n
		}
	}
	return reason, which
}

func (m *matcher) lackOf(n job.Need, van []shelf) Reason {
	right, promised, wrong, unknown := 0, 0, false, false
	for _, s := range van {
		if s.partKind != n.PartKind || s.carried == 0 {
			continue
		}
		switch m.verdict(n.PartKind, n.Mark, s.mark) {
		case Serves:
			right += s.carried
			promised += s.carried - s.free
		case DoesNot:
			wrong = true
		default:
			unknown = true
		}
	}
	switch {
	case promised > 0 && right >= n.Quantity:
		return PartReserved
	case right > 0: // some, but not enough
		return PartMissing
	case unknown:
		return RatingUnknown
	case wrong:
		return RatingMismatch
	}
	return PartMissing
}
