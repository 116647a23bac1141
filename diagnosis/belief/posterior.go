package belief

import (
	"math"
	"slices"

	"onevisit/diagnosis/evidence"
)

// Method is how a posterior was computed.
type Method int

// The methods.
const (
	MethodInvalid Method = iota
	// Exact is the sweep over faults: no error but rounding, all sums of terms
	// of one sign.
	Exact
	// Bounded enumerates sets of faults and leaves out those that cannot
	// matter; the mass left out is bounded by Posterior.Bound.
	Bounded
	// Estimated is [Model.Estimate]: good for weighing, without a promise.
	Estimated
)

func (m Method) String() string {
	switch m {
	case Exact:
		return "exact"
	case Bounded:
		return "bounded"
	case Estimated:
		return "estimated"
	default:
		return "invalid"
	}
}

// Posterior is what is believed given the evidence. Safe for concurrent reading.
type Posterior struct {
	// Faults is, by fault of the family, the probability that it is present.
	// Several may be, so the values need not sum to 1.
	Faults []float64
	// LogEvidence is the natural logarithm of the probability of the
	// observations, given the appliance and what was said of parts and, unless
	// Options.AllowNone, that a fault is present. A soft observation counts 1
	// when the finding is as reported and 1/Ratio otherwise.
	LogEvidence float64
	Method      Method
	// Bound is the largest possible error of any probability here, beside
	// rounding. 0 when exact.
	Bound float64

	model   *Model
	in      *instance
	logMass float64   // of everything in accord with the evidence, without logBase
	main    []float64 // by part
	need    []float64
}

// PartChance is the probability that a part kind is to blame.
type PartChance struct {
	Part int    // index into Family.Parts
	Kind string // its code
	// Broken is the probability that a present fault has it as its main part.
	Broken float64
	// Needed is the probability that some present fault needs it, as main part
	// or changed along.
	Needed float64
}

// Posterior conditions the model on the evidence. The result shares nothing
// with e.
//
// The cost grows with 2 to the number of findings that are at once in play, as
// the faults are gone through in an order that keeps those together that share
// findings; it does not grow so with the number of findings heard. When that
// still is too much (some 40 uncertain findings in a family of 70 faults), sets
// of faults are enumerated and Bound says how much the result may be wrong.
// Certain absences, and findings that one fault alone causes, cost nothing.
//
// Errors wrap evidence.ErrInvalid, [ErrUnknown] or [ErrImpossible].
func (m *Model) Posterior(e evidence.Evidence) (*Posterior, error) {
	in, err := m.instantiate(e, false)
	if err != nil {
		return nil, err
	}
	a := m.scratch.Get().(*arena)
	defer m.scratch.Put(a)
	return m.condition(in, a, a.route(m, in, sweepLimit), approximateBudget)
}

// estimateLimit is the work up to which Estimate stays exact, and
// estimateBudget the sets it enumerates at the very worst.
const (
	estimateLimit  = 1 << 13
	estimateBudget = 1 << 11
)

// Estimate is [Model.Posterior] in bounded time, for weighing many cases of
// which none is reported. While the exact way is short it is taken. Otherwise a
// finding that is probably absent counts against each of its faults on its own,
// which is exact for sets of faults that do not share such a finding and makes
// the others, improbable anyway, still less probable. Method is then Estimated
// and Bound 1.
func (m *Model) Estimate(e evidence.Evidence) (*Posterior, error) {
	in, err := m.instantiate(e, false)
	if err != nil {
		return nil, err
	}
	a := m.scratch.Get().(*arena)
	defer m.scratch.Put(a)
	if a.route(m, in, estimateLimit) {
		return m.condition(in, a, true, 0)
	}
	if in, err = m.instantiate(e, true); err != nil {
		return nil, err
	}
	p, err := m.condition(in, a, a.route(m, in, estimateLimit), estimateBudget)
	if err != nil {
		return nil, err
	}
	p.Method, p.Bound = Estimated, 1
	return p, nil
}

// condition computes the posterior of an instance by the route laid out in a,
// or when it is not routed from so many sets of faults.
func (m *Model) condition(in *instance, a *arena, routed bool, budget int) (*Posterior, error) {
	p := &Posterior{model: m, in: in}
	floats := make([]float64, len(m.links)+2*len(m.main))
	p.Faults, floats = floats[:len(m.links):len(m.links)], floats[len(m.links):]
	p.main, p.need = floats[:len(m.main):len(m.main)], floats[len(m.main):]
	var err error
	if routed {
		err = p.sweep(a)
	} else {
		err = p.approximate(budget)
	}
	if err != nil {
		return nil, err
	}
	p.LogEvidence = p.logMass + in.logBase
	if !m.opts.AllowNone {
		p.LogEvidence -= math.Log(in.someFault())
	}
	return p, nil
}

// someFault is the prior probability that at least one fault is present. A
// fault brought by another needs that other, so causes do not matter.
func (in *instance) someFault() float64 {
	logNone := 0.0
	for _, p := range in.pi {
		logNone += math.Log1p(-p)
	}
	return -math.Expm1(logNone)
}

// Parts returns the part kinds by falling probability of being broken, then of
// being needed, then by index. Put right without a part is one of them, with
// kind knowledge.NoPart.
func (p *Posterior) Parts() []PartChance {
	out := make([]PartChance, 0, len(p.main))
	for i := range p.main {
		if p.need[i] > 0 {
			out = append(out, p.Part(i))
		}
	}
	slices.SortStableFunc(out, func(a, b PartChance) int {
		switch {
		case a.Broken != b.Broken:
			return compare(b.Broken, a.Broken)
		default:
			return compare(b.Needed, a.Needed)
		}
	})
	return out
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	default:
		return 0
	}
}

// Top returns the index of the part kind most likely broken, -1 when none can be.
func (p *Posterior) Top() int {
	best := -1
	for i, v := range p.main {
		if v > 0 && (best < 0 || v > p.main[best]) {
			best = i
		}
	}
	return best
}

// Part returns the chances of one part kind, by its index in Family.Parts.
func (p *Posterior) Part(i int) PartChance {
	return PartChance{Part: i, Kind: p.model.family.Parts[i].Kind, Broken: p.main[i], Needed: p.need[i]}
}

// Model returns the model that was conditioned.
func (p *Posterior) Model() *Model { return p.model }
