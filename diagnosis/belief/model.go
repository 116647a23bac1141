package belief

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"sync"

	"onevisit/diagnosis/knowledge"
)

// Errors of this room.
var (
	// ErrParameters: a parameter is out of its range.
	ErrParameters = errors.New("belief: bad parameter")
	// ErrFamily: the family cannot be compiled (index or probability out of
	// range, a circle of causes, more than 128 faults or part kinds).
	ErrFamily = errors.New("belief: bad family")
	// ErrUnknown: the evidence names a family, variant or finding that the
	// model does not know.
	ErrUnknown = errors.New("belief: unknown code")
	// ErrImpossible: the evidence has probability 0.
	ErrImpossible = errors.New("belief: impossible evidence")
)

// Options shape a model. The zero value is what the product uses.
type Options struct {
	// AllowNone drops the condition that at least one fault is present.
	// knowledge.Fault.Prior is said before that condition.
	AllowNone bool
	// Parameters are the numbers to use; nil takes [DefaultParameters].
	Parameters *Parameters
}

// maxCodes bounds faults and part kinds so that sets fit in two words.
const maxCodes = 128

// certainCause is the strongest cause link kept apart from 1, so that the odds
// of an effect stay finite; it moves no probability by more than 1e-12.
const certainCause = 1 - 1e-12

type link struct {
	finding int
	q       float64
}

type parent struct {
	fault int
	slot  int // place of the parent's bit among the live ones at this step
	p     float64
}

// step is the place of one fault in the sweep.
type step struct {
	fault   int
	live    int // bits of causing faults alive before the step
	parents []parent
	causes  bool // becomes a live bit itself, above the others
	drop    []int
}

// Model is the compiled knowledge of one family. It is immutable and safe for
// concurrent use.
type Model struct {
	family   *knowledge.Family
	opts     Options
	params   *Parameters
	findings map[string]int
	variants map[string]int
	partOf   map[string][]int // faults by the kind of their main part
	links    [][]link         // by fault
	readers  []int            // number of faults linked to each finding
	parents  [][]parent       // by fault, slots unset
	children [][]parent       // by fault: parent.fault is the child here
	order    []step           // causes before effects
	main     [][]int          // by part: faults whose main part it is, in sweep order
	need     [][]int          // by part: faults that need it at all, in sweep order
	place    []int            // by fault: index in order
	parts    []setOf          // by fault: part kinds needed, without NoPart
	scratch  sync.Pool
}

// setOf is a set of faults or part kinds.
type setOf [2]uint64

func (s setOf) with(i int) setOf    { s[i>>6] |= 1 << (i & 63); return s }
func (s setOf) has(i int) bool      { return s[i>>6]>>(i&63)&1 == 1 }
func (s setOf) union(t setOf) setOf { return setOf{s[0] | t[0], s[1] | t[1]} }
func (s setOf) list() (members []int) {
	for w, word := range s {
		for ; word != 0; word &= word - 1 {
			members = append(members, w<<6|bits.TrailingZeros64(word))
		}
	}
	return members
}

// Compile prepares a family for [Model.Posterior]. It keeps f, which must not
// change afterwards. Errors wrap [ErrFamily] or [ErrParameters].
func Compile(f *knowledge.Family, o Options) (*Model, error) {
	m := &Model{
		family: f, opts: o, params: o.Parameters,
		findings: make(map[string]int, len(f.Findings)),
		variants: make(map[string]int, len(f.Variants)),
		partOf:   make(map[string][]int, len(f.Parts)),
		links:    make([][]link, len(f.Faults)),
		readers:  make([]int, len(f.Findings)),
		parents:  make([][]parent, len(f.Faults)),
		children: make([][]parent, len(f.Faults)),
		place:    make([]int, len(f.Faults)),
		parts:    make([]setOf, len(f.Faults)),
		main:     make([][]int, len(f.Parts)),
		need:     make([][]int, len(f.Parts)),
	}
	if m.params == nil {
		m.params = DefaultParameters()
	} else if err := m.params.validate(); err != nil {
		return nil, err
	}
	if len(f.Faults) == 0 || len(f.Faults) > maxCodes || len(f.Parts) > maxCodes {
		return nil, fmt.Errorf("%w: %s has %d faults and %d part kinds", ErrFamily, f.Code, len(f.Faults), len(f.Parts))
	}
	for i, v := range f.Variants {
		m.variants[v.Code] = i
	}
	for i, x := range f.Findings {
		if !(x.Leak >= 0 && x.Leak < 1) {
			return nil, fmt.Errorf("%w: leak %v of %s", ErrFamily, x.Leak, x.Code)
		}
		m.findings[x.Code] = i
	}
	for i := range f.Faults {
		if err := m.addFault(i); err != nil {
			return nil, err
		}
	}
	for _, c := range f.Causes {
		if c.From < 0 || c.From >= len(f.Faults) || c.To < 0 || c.To >= len(f.Faults) || !(c.P > 0 && c.P <= 1) {
			return nil, fmt.Errorf("%w: cause %d→%d with %v", ErrFamily, c.From, c.To, c.P)
		}
		p := min(c.P, certainCause)
		m.parents[c.To] = append(m.parents[c.To], parent{fault: c.From, p: p})
		m.children[c.From] = append(m.children[c.From], parent{fault: c.To, p: p})
	}
	if err := m.arrange(); err != nil {
		return nil, err
	}
	for _, s := range m.order {
		x := &f.Faults[s.fault]
		m.main[x.Part] = append(m.main[x.Part], s.fault)
		m.need[x.Part] = append(m.need[x.Part], s.fault)
		for _, a := range x.AlsoParts {
			if a != x.Part && !slices.Contains(m.need[a], s.fault) {
				m.need[a] = append(m.need[a], s.fault)
			}
		}
	}
	m.scratch.New = func() any { return new(arena) }
	return m, nil
}

func (m *Model) addFault(i int) error {
	f := m.family
	x := &f.Faults[i]
	if !(x.Prior > 0 && x.Prior < 1) {
		return fmt.Errorf("%w: prior %v of %s", ErrFamily, x.Prior, x.Code)
	}
	for code, v := range x.Variants {
		if !(v >= 0) || math.IsInf(v, 1) {
			return fmt.Errorf("%w: factor %v of %s for %s", ErrFamily, v, x.Code, code)
		}
	}
	for _, p := range append([]int{x.Part}, x.AlsoParts...) {
		if p < 0 || p >= len(f.Parts) {
			return fmt.Errorf("%w: part %d of %s", ErrFamily, p, x.Code)
		}
		if f.Parts[p].Kind != knowledge.NoPart {
			m.parts[i] = m.parts[i].with(p)
		}
	}
	kind := f.Parts[x.Part].Kind
	m.partOf[kind] = append(m.partOf[kind], i)
	seen := make(map[int]bool, len(x.Links))
	for _, l := range x.Links {
		if l.Finding < 0 || l.Finding >= len(f.Findings) || !(l.P >= 0 && l.P <= 1) || seen[l.Finding] {
			return fmt.Errorf("%w: link of %s to finding %d with %v", ErrFamily, x.Code, l.Finding, l.P)
		}
		seen[l.Finding] = true
		if l.P > 0 {
			m.links[i] = append(m.links[i], link{l.Finding, l.P})
			m.readers[l.Finding]++
		}
	}
	return nil
}

// arrange orders the faults for the sweep: causes before effects, faults tied
// by causes together, and otherwise by main part, so that a question about a
// part kind concerns neighbours. Within a group of ties it takes next the fault
// that leaves the fewest causing faults alive.
func (m *Model) arrange() error {
	n := len(m.links)
	group := make([]int, n)
	for i := range group {
		group[i] = -1
	}
	var mark func(i, g int)
	mark = func(i, g int) {
		if group[i] >= 0 {
			return
		}
		group[i] = g
		for _, p := range m.parents[i] {
			mark(p.fault, g)
		}
		for _, c := range m.children[i] {
			mark(c.fault, g)
		}
	}
	starts := make([]int, 0, n)
	for i := range n {
		if group[i] < 0 {
			starts = append(starts, i)
			mark(i, i)
		}
	}
	slices.SortStableFunc(starts, func(a, b int) int { return m.family.Faults[a].Part - m.family.Faults[b].Part })
	done := make([]bool, n)
	waiting := make([]int, n) // effects still to come, by causing fault
	for i := range n {
		waiting[i] = len(m.children[i])
	}
	for _, g := range starts {
		var live []int
		for {
			best, bestGrowth := -1, 0
			left := false
			for i := range n {
				if group[i] != g || done[i] {
					continue
				}
				left = true
				growth, ready := 0, true
				for _, p := range m.parents[i] {
					ready = ready && done[p.fault]
					if waiting[p.fault] == 1 {
						growth--
					}
				}
				if len(m.children[i]) > 0 {
					growth++
				}
				if ready && (best < 0 || growth < bestGrowth) {
					best, bestGrowth = i, growth
				}
			}
			if !left {
				break
			}
			if best < 0 {
				return fmt.Errorf("%w: the causes of %s run in a circle", ErrFamily, m.family.Faults[g].Code)
			}
			live = m.settle(best, live, waiting)
			done[best] = true
		}
	}
	return nil
}

// settle appends the step of one fault and returns the causing faults alive
// after it.
func (m *Model) settle(i int, live, waiting []int) []int {
	s := step{fault: i, live: len(live), causes: len(m.children[i]) > 0}
	for _, p := range m.parents[i] {
		p.slot = slices.Index(live, p.fault)
		s.parents = append(s.parents, p)
		waiting[p.fault]--
	}
	if s.causes {
		live = append(live, i)
	}
	for slot := len(live) - 1; slot >= 0; slot-- { // highest first: lower slots keep their place
		if waiting[live[slot]] == 0 {
			s.drop = append(s.drop, slot)
			live = slices.Delete(live, slot, slot+1)
		}
	}
	m.place[i] = len(m.order)
	m.order = append(m.order, s)
	return live
}

// Family returns the knowledge the model was compiled from. Read only.
func (m *Model) Family() *knowledge.Family { return m.family }
