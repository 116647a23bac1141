package belief

import (
	"fmt"
	"math"

	"onevisit/diagnosis/evidence"
)

// bit is a finding whose likelihood ties several faults together. The factor
// of the evidence is w1 when the finding is present and w0 when it is absent.
type bit struct {
	leak, w0, w1 float64
}

// pull is the strength with which a present fault turns a bit on.
type pull struct {
	bit int
	q   float64
}

// instance is the model under one piece of evidence. A finding that was seen
// absent for certain, or that only one fault can cause, factorises over faults
// and is folded into on and off; each other one becomes a bit.
type instance struct {
	pi      []float64 // prior of each fault while none of its causes is present
	on, off []float64 // factor of the folded findings with the fault present, absent
	bits    []bit
	pulls   [][]pull // by fault
	logBase float64  // constant factors of the evidence
}

// priors returns the prior of each fault for the appliance and what was said
// about parts. An unknown variant averages the priors over the variants of the
// family by their shares of calls, or evenly where none are given.
func (m *Model) priors(a evidence.Appliance, mentions []evidence.PartMention) ([]float64, error) {
	if a.Family != m.family.Code {
		return nil, fmt.Errorf("%w: family %q, the model is of %q", ErrUnknown, a.Family, m.family.Code)
	}
	if _, ok := m.variants[a.Variant]; a.Variant != "" && !ok {
		return nil, fmt.Errorf("%w: variant %q of %s", ErrUnknown, a.Variant, a.Family)
	}
	said := m.mentioned(mentions)
	pi := make([]float64, len(m.family.Faults))
	for i := range m.family.Faults {
		f := &m.family.Faults[i]
		odds := f.Prior / (1 - f.Prior)
		if a.AgeYears != nil {
			odds *= m.params.WearFactor(a.Family, f.Wear, *a.AgeYears)
		}
		if said != nil {
			odds *= said[i]
		}
		factor := func(variant string) float64 {
			v, ok := f.Variants[variant]
			if !ok {
				v = 1
			}
			return v
		}
		switch {
		case a.Variant != "":
			odds *= factor(a.Variant)
			pi[i] = odds / (1 + odds)
		case len(f.Variants) == 0 || len(m.family.Variants) == 0:
			pi[i] = odds / (1 + odds)
		default:
			shares := 0.0
			for _, v := range m.family.Variants {
				shares += v.Share
			}
			for _, v := range m.family.Variants {
				share := v.Share / shares
				if shares == 0 {
					share = 1 / float64(len(m.family.Variants))
				}
				o := odds * factor(v.Code)
				pi[i] += share * o / (1 + o)
			}
		}
	}
	return pi, nil
}

// mentioned returns the factor on the odds of each fault, nil for none. The
// factor goes to the faults whose main part was spoken of, not to those that
// only have it changed along. Of several mentions of one kind the furthest from
// 1 counts, as the same mouth repeats itself; different kinds (a theory and an
// observed fact) multiply.
func (m *Model) mentioned(mentions []evidence.PartMention) []float64 {
	if len(mentions) == 0 {
		return nil
	}
	type key struct {
		part string
		kind evidence.Mention
	}
	strongest := make(map[key]float64, len(mentions))
	order := make([]key, 0, len(mentions)) // multiplying in map order would not be reproducible
	for _, p := range mentions {
		k := key{p.PartKind, p.Kind}
		old, seen := strongest[k]
		if !seen {
			order = append(order, k)
		}
		if !seen || math.Abs(math.Log(p.Ratio)) > math.Abs(math.Log(old)) {
			strongest[k] = p.Ratio
		}
	}
	said := make([]float64, len(m.family.Faults))
	for i := range said {
		said[i] = 1
	}
	for _, k := range order {
		for _, i := range m.partOf[k.part] {
			said[i] *= strongest[k]
		}
	}
	return said
}

// weights returns the factors of an observation for the finding absent and
// present. The larger one is 1, so that a ratio that grows without bound ends
// in certainty.
func weights(o evidence.Observation) (w0, w1 float64) {
	if o.Present {
		return 1 / o.Ratio, 1
	}
	return 1, 1 / o.Ratio
}

// instantiate folds evidence into the model. With estimate set it also folds
// soft absences, see [Model.Estimate].
func (m *Model) instantiate(e evidence.Evidence, estimate bool) (*instance, error) {
	if err := e.Validate(); err != nil {
		return nil, err
	}
	pi, err := m.priors(e.Appliance, e.Parts)
	if err != nil {
		return nil, err
	}
	n := len(pi)
	factors := make([]float64, 2*n)
	for i := range factors {
		factors[i] = 1
	}
	in := &instance{pi: pi, on: factors[:n], off: factors[n:], pulls: make([][]pull, n)}
	role := make([]int, len(m.readers)) // by finding: see below
	const (
		unseen  = 0
		negated = -1
		single  = -2
		folded  = -3
	) // above 0: one more than the bit
	type w struct{ w0, w1 float64 }
	seen := make([]w, len(m.readers))
	for _, o := range e.Merged() {
		j, ok := m.findings[o.Finding]
		if !ok {
			return nil, fmt.Errorf("%w: finding %q of %s", ErrUnknown, o.Finding, e.Appliance.Family)
		}
		if o.Ratio == 1 {
			continue
		}
		w0, w1 := weights(o)
		leak := m.family.Findings[j].Leak
		alone := w1 + (w0-w1)*(1-leak) // factor while no fault causes it
		switch {
		case w1 == 0:
			role[j] = negated
			in.logBase += math.Log1p(-leak)
		case m.readers[j] == 0:
			in.logBase += math.Log(alone)
		case m.readers[j] == 1 && alone > 0:
			role[j] = single
		case estimate && w1 < w0:
			role[j] = folded
			in.logBase += math.Log(alone)
		default:
			in.bits = append(in.bits, bit{leak: leak, w0: w0, w1: w1})
			role[j] = len(in.bits)
		}
		seen[j] = w{w0, w1}
	}
	for i, links := range m.links {
		for _, l := range links {
			s := seen[l.finding]
			switch r := role[l.finding]; r {
			case unseen:
			case negated:
				in.on[i] *= 1 - l.q
			case single:
				free := 1 - m.family.Findings[l.finding].Leak
				in.off[i] *= s.w1 + (s.w0-s.w1)*free
				in.on[i] *= s.w1 + (s.w0-s.w1)*free*(1-l.q)
			case folded:
				free := 1 - m.family.Findings[l.finding].Leak
				in.on[i] *= (s.w1 + (s.w0-s.w1)*free*(1-l.q)) / (s.w1 + (s.w0-s.w1)*free)
			default:
				in.pulls[i] = append(in.pulls[i], pull{r - 1, l.q})
			}
		}
	}
	return in, nil
}
