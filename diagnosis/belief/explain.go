package belief

import (
	"errors"
	"math"
	"slices"

	"onevisit/diagnosis/evidence"
)

// leastChance is the probability at which log-odds are cut off, both ways.
const leastChance = 1e-15

// LogOdds returns ln(p/(1-p)), with p held between 1e-15 and 1-1e-15 so that
// certainty stays finite.
func LogOdds(p float64) float64 {
	p = min(max(p, leastChance), 1-leastChance)
	return math.Log(p) - math.Log1p(-p)
}

// ReasonKind says what moved a probability.
type ReasonKind int

// The kinds of reasons. The zero value is invalid.
const (
	ReasonInvalid   ReasonKind = iota
	ReasonAppliance            // its variant and age
	ReasonPart                 // what was said about a part
	ReasonFinding              // a finding
	ReasonLikeness             // the wording as a whole
)

// Reason is one piece of evidence with what it did.
type Reason struct {
	Kind    ReasonKind
	Code    string // finding or part kind; "" for the appliance and the wording
	Present bool   // of a finding
	Words   string // the caller's, "" when not from words
	// Shift is the change in log-odds (natural logarithm), by fault, when this
	// piece is added to those before it.
	Shift []float64
}

// Explanation takes belief from the bare family to the posterior, one piece of
// evidence at a time. For every fault, Prior plus the Shifts of all Reasons is
// Posterior, in log-odds.
type Explanation struct {
	Prior     []float64 // log-odds by fault, before anything is known but the family
	Reasons   []Reason
	Posterior []float64 // log-odds by fault
	Final     *Posterior
}

// Explain says why the posterior is what it is. The order is fixed: the
// appliance, what was said of parts, the findings as they first came up. A
// shift depends on what came before it, as it does in the caller's telling: of
// two findings that say the same, the second moves little. In exchange the
// shifts add up.
//
// The cost is one posterior per piece of evidence. Errors as [Model.Posterior].
func (m *Model) Explain(e evidence.Evidence) (*Explanation, error) {
	if err := e.Validate(); err != nil {
		return nil, err
	}
	now := evidence.Evidence{Appliance: evidence.Appliance{Family: e.Appliance.Family}}
	final, err := m.Posterior(now)
	if err != nil {
		return nil, err
	}
	x := &Explanation{Prior: logOdds(final.Faults)}
	x.Posterior = x.Prior
	add := func(r Reason) error {
		if final, err = m.Posterior(now); err != nil {
			return err
		}
		after := logOdds(final.Faults)
		r.Shift = make([]float64, len(after))
		for i := range after {
			r.Shift[i] = after[i] - x.Posterior[i]
		}
		x.Posterior = after
		x.Reasons = append(x.Reasons, r)
		return nil
	}
	now.Appliance = e.Appliance
	if e.Appliance.Variant != "" || e.Appliance.AgeYears != nil {
		if err := add(Reason{Kind: ReasonAppliance}); err != nil {
			return nil, err
		}
	}
	for i, p := range e.Parts {
		now.Parts = e.Parts[:i+1]
		if p.Kind == evidence.Likeness {
			// All part kinds a wording is like or unlike are one piece of evidence.
			if i+1 == len(e.Parts) || e.Parts[i+1].Kind != evidence.Likeness {
				if err := add(Reason{Kind: ReasonLikeness}); err != nil {
					return nil, err
				}
			}
			continue
		}
		if err := add(Reason{Kind: ReasonPart, Code: p.PartKind, Words: p.Words}); err != nil {
			return nil, err
		}
	}
	merged := e.Merged()
	for i, o := range merged {
		now.Observations = merged[:i+1]
		if err := add(Reason{Kind: ReasonFinding, Code: o.Finding, Present: o.Present, Words: o.Words}); err != nil {
			return nil, err
		}
	}
	x.Final = final
	return x, nil
}

func logOdds(ps []float64) []float64 {
	out := make([]float64, len(ps))
	for i, p := range ps {
		out[i] = LogOdds(p)
	}
	return out
}

// Turn is what one finding, seen or excluded for certain, would do.
type Turn struct {
	Finding int
	Present bool
	Chance  float64 // probability that it would come out so, in (0, 1)
	After   float64 // probability of the fault then
	Top     int     // part kind most likely broken then
}

// Turns says what would change the answer about a fault: every finding not yet
// certain, both ways, by falling change of the fault's log-odds. It costs two
// posteriors per finding. Errors as [Model.Posterior].
func (m *Model) Turns(e evidence.Evidence, fault int) ([]Turn, error) {
	now, err := m.Posterior(e)
	if err != nil {
		return nil, err
	}
	known := make(map[string]evidence.Observation)
	for _, o := range e.Merged() {
		known[o.Finding] = o
	}
	var turns []Turn
	for j, f := range m.family.Findings {
		o, told := known[f.Code]
		if told && math.IsInf(o.Ratio, 1) || m.readers[j] == 0 {
			continue
		}
		w := [2]float64{1, 1}
		if told {
			w[0], w[1] = weights(o)
		}
		var after [2]*Posterior
		var mass [2]float64
		for v := range after {
			with := e
			with.Observations = append(slices.Clip(e.Observations), evidence.Observation{
				Finding: f.Code, Present: v == 1, Ratio: evidence.Hard, Source: evidence.Measured,
			})
			p, err := m.Posterior(with)
			if errors.Is(err, ErrImpossible) {
				continue // it cannot come out so
			}
			if err != nil {
				return nil, err
			}
			after[v], mass[v] = p, w[v]*math.Exp(p.LogEvidence-now.LogEvidence)
		}
		for v, p := range after {
			if p != nil && mass[v] > 0 {
				turns = append(turns, Turn{
					Finding: j, Present: v == 1, Chance: mass[v] / (mass[0] + mass[1]), After: p.Faults[fault], Top: p.Top(),
				})
			}
		}
	}
	before := LogOdds(now.Faults[fault])
	slices.SortStableFunc(turns, func(a, b Turn) int {
		return compare(math.Abs(LogOdds(b.After)-before), math.Abs(LogOdds(a.After)-before))
	})
	return turns, nil
}
