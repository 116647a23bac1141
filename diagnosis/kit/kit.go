package kit

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/knowledge"
)

// Cost is a decision weight in minutes of technician time. It is not money.
type Cost float64

// ErrProblem means an index, probability or cost of the problem is out of range.
var ErrProblem = errors.New("kit: bad problem")

// Outcome is that exactly these parts are needed.
type Outcome struct {
	Parts []int // indexes into Problem.Carry, each once
	P     float64
}

// Problem is what a kit is chosen for.
type Problem struct {
	// Carry is, by part, the cost of bringing it, at least 0.
	Carry []Cost
	// Return is the cost of an incomplete visit, at least 0.
	Return Cost
	// Outcomes exclude one another. Their probabilities sum to at most 1; the
	// rest cannot be completed whatever is carried.
	Outcomes []Outcome
}

// Plan is a choice of parts and what it is expected to cost.
type Plan struct {
	Parts    []int   // ascending
	Complete float64 // probability that nothing is missing
	Carry    Cost    // of all Parts
	Loss     Cost    // Carry + Return·(1-Complete)
	Saving   Cost    // against carrying nothing
	// Proven says that no better plan exists. False only when a search with a
	// limit was cut short.
	Proven bool
}

func (p Problem) validate() error {
	if !(p.Return >= 0) || math.IsInf(float64(p.Return), 1) {
		return fmt.Errorf("%w: return %v", ErrProblem, p.Return)
	}
	for i, c := range p.Carry {
		if !(c >= 0) || math.IsInf(float64(c), 1) {
			return fmt.Errorf("%w: carry[%d] %v", ErrProblem, i, c)
		}
	}
	sum := 0.0
	for i, o := range p.Outcomes {
		if !(o.P >= 0) {
			return fmt.Errorf("%w: outcomes[%d] has probability %v", ErrProblem, i, o.P)
		}
		sum += o.P
		for k, part := range o.Parts {
			if part < 0 || part >= len(p.Carry) || slices.Contains(o.Parts[:k], part) {
				return fmt.Errorf("%w: outcomes[%d] names part %d", ErrProblem, i, part)
			}
		}
	}
	if !(sum <= 1+1e-6) {
		return fmt.Errorf("%w: probabilities sum to %v", ErrProblem, sum)
	}
	return nil
}

// Evaluate returns the plan of carrying exactly parts. Proven stays false.
// Errors wrap [ErrProblem].
func Evaluate(p Problem, parts []int) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, err
	}
	carried := make([]bool, len(p.Carry))
	for _, i := range parts {
		if i < 0 || i >= len(carried) || carried[i] {
			return Plan{}, fmt.Errorf("%w: part %d", ErrProblem, i)
		}
		carried[i] = true
	}
	return p.plan(carried), nil
}

func (p Problem) plan(carried []bool) Plan {
	var out Plan
	none := 0.0
	for i, yes := range carried {
		if yes {
			out.Parts = append(out.Parts, i)
			out.Carry += p.Carry[i]
		}
	}
	for _, o := range p.Outcomes {
		complete := true
		for _, i := range o.Parts {
			complete = complete && carried[i]
		}
		if complete {
			out.Complete += o.P
		}
		if len(o.Parts) == 0 {
			none += o.P
		}
	}
	out.Complete = min(out.Complete, 1)
	out.Loss = out.Carry + p.Return*Cost(1-out.Complete)
	out.Saving = p.Return*Cost(1-min(none, 1)) - out.Loss
	return out
}

// Item is one part kind of a problem seen against a plan.
type Item struct {
	Part    int
	Needed  float64 // probability that it is needed
	Carried bool
	// Gain is what having it saves, everything else in the plan as it is:
	// above 0 for every part worth carrying.
	Gain Cost
}

// Items explains a plan part by part, for the parts that may be needed, by
// falling probability of being needed.
func Items(p Problem, plan Plan) []Item {
	carried := make([]bool, len(p.Carry))
	for _, i := range plan.Parts {
		carried[i] = true
	}
	needed := make([]float64, len(p.Carry))
	for _, o := range p.Outcomes {
		for _, i := range o.Parts {
			needed[i] += o.P
		}
	}
	var items []Item
	for i, chance := range needed {
		if chance == 0 && !carried[i] {
			continue
		}
		was := carried[i]
		carried[i] = true
		with := p.plan(carried).Loss
		carried[i] = false
		without := p.plan(carried).Loss
		carried[i] = was
		items = append(items, Item{Part: i, Needed: chance, Carried: was, Gain: without - with})
	}
	slices.SortStableFunc(items, func(a, b Item) int {
		switch {
		case a.Needed > b.Needed:
			return -1
		case a.Needed < b.Needed:
			return 1
		default:
			return 0
		}
	})
	return items
}

// least is the probability under which a set of faults is left out of a problem
// built from a posterior.
const least = 1e-3

// Of states the problem of one appliance: parts by index of its family, their
// CarryMinutes, and the part sets of the posterior. Parts that cannot pay, since
// carrying costs more than a return times the chance of needing them at all,
// stay out of the outcomes, as what needs them is lost in any sensible kit;
// so do sets of faults less likely than one in a thousand.
func Of(p *belief.Posterior, returnVisit Cost) Problem {
	f := p.Model().Family()
	out := Problem{Carry: make([]Cost, len(f.Parts)), Return: returnVisit}
	for i, x := range f.Parts {
		out.Carry[i] = Cost(x.CarryMinutes)
	}
	var within []int
	for i := range f.Parts {
		if c := p.Part(i); c.Kind != knowledge.NoPart && out.Carry[c.Part] < returnVisit*Cost(c.Needed) {
			within = append(within, c.Part)
		}
	}
	sets, _ := p.Needs(within, least)
	out.Outcomes = make([]Outcome, len(sets))
	for i, s := range sets {
		out.Outcomes[i] = Outcome(s)
	}
	return out
}
