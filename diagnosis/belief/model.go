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

// tie is a cause link seen from one end.
type tie struct {
	fault int // at the other end
	p     float64
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
	parents  [][]tie          // by fault
	children [][]tie          // by fault
	order    []int            // faults, causes before effects
	place    []int            // by fault: index in order
	blocks   [][]int          // faults kept together in a sweep, see arrange
	main     [][]int          // by part: faults whose main part it is
	need     [][]int          // by part: faults that need it at all
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
		parents:  make([][]tie, len(f.Faults)),
		children: make([][]tie, len(f.Faults)),
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
		m.parents[c.To] = append(m.parents[c.To], tie{fault: c.From, p: p})
		m.children[c.From] = append(m.children[c.From], tie{fault: c.To, p: p})
	}
	if err := m.arrange(); err != nil {
		return nil, err
	}
	for _, i := range m.order {
		x := &f.Faults[i]
		m.main[x.Part] = append(m.main[x.Part], i)
		m.need[x.Part] = append(m.need[x.Part], i)
		for _, a := range x.AlsoParts {
			if a != x.Part && !slices.Contains(m.need[a], i) {
				m.need[a] = append(m.need[a], i)
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

// arrange puts causes before effects and forms the blocks of a sweep: faults
// tied by causes, and faults of one main part, so that a question about a part
// kind concerns neighbours. Faults put right without a part have nothing in
// common and stand alone.
func (m *Model) arrange() error {
	n := len(m.links)
	done := make([]bool, n)
	for len(m.order) < n {
		found := false
		for i := range n {
			ready := !done[i]
			for _, p := range m.parents[i] {
				ready = ready && done[p.fault]
			}
			if ready {
				m.place[i] = len(m.order)
				m.order = append(m.order, i)
				done[i], found = true, true
			}
		}
		if !found {
			i := slices.Index(done, false)
			return fmt.Errorf("%w: the causes of %s, or of what it brings, run in a circle", ErrFamily, m.family.Faults[i].Code)
		}
	}
	taken := make([]bool, n)
	var gather func(i, block int)
	gather = func(i, block int) {
		if taken[i] {
			return
		}
		taken[i] = true
		m.blocks[block] = append(m.blocks[block], i)
		for _, p := range m.parents[i] {
			gather(p.fault, block)
		}
		for _, c := range m.children[i] {
			gather(c.fault, block)
		}
	}
	of := make(map[int]int) // block by main part
	for i := range n {
		if taken[i] {
			continue
		}
		part := m.family.Faults[i].Part
		alone := len(m.parents[i])+len(m.children[i]) == 0
		if block, ok := of[part]; ok && alone {
			gather(i, block)
			continue
		}
		m.blocks = append(m.blocks, nil)
		if alone && m.family.Parts[part].Kind != knowledge.NoPart {
			of[part] = len(m.blocks) - 1
		}
		gather(i, len(m.blocks)-1)
	}
	return nil
}

// Family returns the knowledge the model was compiled from. Read only.
func (m *Model) Family() *knowledge.Family { return m.family }
