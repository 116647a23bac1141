package question

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/kit"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/procedure"
)

// Asker chooses questions for one family. Immutable and safe for concurrent use.
type Asker struct {
	model  *belief.Model
	search *procedure.Estimator
	costs  Costs
	causes [][]cause // by finding
	looked int       // questions weighed properly
}

// New prepares the questions of the model's family. Errors wrap [ErrProblem] or
// procedure.ErrProblem.
func New(m *belief.Model, c Costs) (*Asker, error) {
	if err := c.validate(); err != nil {
		return nil, err
	}
	f := m.Family()
	for _, q := range f.Questions {
		if !(q.Seconds >= 0) {
			return nil, fmt.Errorf("%w: question %s takes %v seconds", ErrProblem, q.Code, q.Seconds)
		}
		for _, a := range q.Answers {
			for _, r := range a.Reports {
				if r.Finding < 0 || r.Finding >= len(f.Findings) || !(r.Ratio >= 1) {
					return nil, fmt.Errorf("%w: answer %s of %s reports finding %d with ratio %v", ErrProblem, a.Code, q.Code, r.Finding, r.Ratio)
				}
			}
		}
	}
	search, err := procedure.NewEstimator(f, nil)
	if err != nil {
		return nil, err
	}
	return &Asker{model: m, search: search, costs: c, causes: causesOf(f), looked: looked}, nil
}

// Reason says why a question is asked, or none.
type Reason int

// The reasons. The zero value is invalid.
const (
	ReasonInvalid Reason = iota
	Pays                 // it is expected to save more than it costs
	Opening              // nothing is known yet: ask the best, whether or not it pays
	NonePays             // no question left is worth its time
	NoneLeft             // every question is asked, known or for other variants
)

// Reply is one possible answer and what would be believed after it.
type Reply struct {
	Answer    int      // index into Question.Answers
	P         float64  // probability that it is given
	Top       int      // part kind most likely broken then, -1 for none
	TopChance float64  // its probability
	Loss      kit.Cost // expected loss then
}

// Choice is a question with what it is worth, in minutes of technician time.
type Choice struct {
	Question int      // index into Family.Questions
	Before   kit.Cost // expected loss without asking: kit, return visit, search
	After    kit.Cost // expected loss when it is asked
	Saves    kit.Cost // Before - After, never negative
	Asking   kit.Cost // the time it takes on the telephone
	Net      kit.Cost // Saves - Asking
	Replies  []Reply  // those that tell something, in order of the question's answers
}

// Next is what to ask.
type Next struct {
	Choice Choice // valid when Asked
	Asked  bool
	Reason Reason
	Ranked []Choice // the few that were weighed, by falling Net
	Before kit.Cost // expected loss as things stand
}

// Next returns the question worth most for the evidence. asked are codes of
// questions already put, whatever came of them; they are not put again, nor is
// one about nothing but findings that are answered, measured or plainly said,
// nor one limited to other variants (or to any, when the variant is unknown).
//
// The probability of an answer follows from that of its reports: an answer that
// reports findings with ratios has likelihood 1 where all is as reported and
// 1/ratio for each that is not, and the answers of a question are scaled to sum
// to 1 beside the share who do not know. That is exact when each answer is as
// telling as the others (yes and no of equal ratio), otherwise an
// approximation. What the question saves is measured against the mean of its
// answers, so that it is never negative.
//
// The cost is one posterior per answer. Errors as belief.Model.Posterior.
func (a *Asker) Next(e evidence.Evidence, asked []string) (Next, error) {
	now, err := a.model.Estimate(e)
	if err != nil {
		return Next{}, err
	}
	out := Next{}
	plan, err := kit.Best(kit.Of(now, a.costs.ReturnVisit))
	if err != nil {
		return Next{}, err
	}
	out.Before = plan.Loss + kit.Cost(a.search.Minutes(now.Faults))
	merged := e.Merged()
	var open []int
	for q := range a.model.Family().Questions {
		if a.open(q, e, merged, asked) {
			open = append(open, q)
		}
	}
	for _, q := range a.shortlist(open, now) {
		c, err := a.weigh(q, e, now)
		if err != nil {
			return Next{}, err
		}
		c.Before = out.Before
		c.After = c.Before - c.Saves
		out.Ranked = append(out.Ranked, c)
	}
	slices.SortStableFunc(out.Ranked, func(x, y Choice) int {
		switch {
		case x.Net > y.Net:
			return -1
		case x.Net < y.Net:
			return 1
		default:
			return 0
		}
	})
	switch {
	case len(out.Ranked) == 0:
		out.Reason = NoneLeft
	case out.Ranked[0].Net > 0:
		out.Choice, out.Asked, out.Reason = out.Ranked[0], true, Pays
	case silent(merged, e.Parts):
		out.Choice, out.Asked, out.Reason = out.Ranked[0], true, Opening
	default:
		out.Reason = NonePays
	}
	return out, nil
}

// silent says that nothing useful is known.
func silent(merged []evidence.Observation, parts []evidence.PartMention) bool {
	return len(parts) == 0 && !slices.ContainsFunc(merged, func(o evidence.Observation) bool { return o.Ratio > 1 })
}

// open says whether a question may be put.
func (a *Asker) open(q int, e evidence.Evidence, merged []evidence.Observation, asked []string) bool {
	f := a.model.Family()
	x := &f.Questions[q]
	if slices.Contains(asked, x.Code) || len(x.Variants) > 0 && !slices.Contains(x.Variants, e.Appliance.Variant) {
		return false
	}
	for _, answer := range x.Answers {
		for _, r := range answer.Reports {
			code := f.Findings[r.Finding].Code
			known := slices.ContainsFunc(merged, func(o evidence.Observation) bool {
				return o.Finding == code && (o.Ratio >= a.costs.KnownRatio || o.Source != evidence.Said && o.Ratio > 1)
			})
			if !known && r.Ratio > 1 {
				return true
			}
		}
	}
	return false
}

// Reports returns the answer to a question as observations, ready to be added
// to evidence. Both are indexes; it has no domain error.
func Reports(f *knowledge.Family, question, answer int) []evidence.Observation {
	reports := f.Questions[question].Answers[answer].Reports
	out := make([]evidence.Observation, len(reports))
	for i, r := range reports {
		out[i] = evidence.Observation{
			Finding: f.Findings[r.Finding].Code, Present: r.Present, Ratio: r.Ratio, Source: evidence.Answered,
		}
	}
	return out
}

// weights are the factors of an observation for its finding absent and present.
func weights(o evidence.Observation) (absent, present float64) {
	if o.Present {
		return 1 / o.Ratio, 1
	}
	return 1, 1 / o.Ratio
}

// heard returns the evidence as if the answer were given: a report on a finding
// already spoken of multiplies with it. scale is what the merged observations
// lose by being scaled to 1 at their larger weight; 0 for a contradiction of
// certainties.
func (a *Asker) heard(e evidence.Evidence, q, answer int) (_ evidence.Evidence, scale float64) {
	reports := Reports(a.model.Family(), q, answer)
	out := e
	out.Observations = make([]evidence.Observation, 0, len(e.Observations)+len(reports))
	out.Observations = append(out.Observations, e.Merged()...)
	scale = 1
	for _, r := range reports {
		at := slices.IndexFunc(out.Observations, func(o evidence.Observation) bool { return o.Finding == r.Finding })
		if at < 0 {
			out.Observations = append(out.Observations, r)
			continue
		}
		absent, present := weights(r)
		x, y := weights(out.Observations[at])
		absent, present = absent*x, present*y
		most := max(absent, present)
		if most == 0 {
			return out, 0
		}
		scale *= most
		o := &out.Observations[at]
		o.Present, o.Ratio = present >= absent, most/min(absent, present)
	}
	return out, scale
}

// rare is the probability of an answer below which it is not looked into.
const rare = 1e-4

// weigh works out what a question is worth.
func (a *Asker) weigh(q int, e evidence.Evidence, now *belief.Posterior) (Choice, error) {
	f := a.model.Family()
	x := &f.Questions[q]
	c := Choice{Question: q, Asking: kit.Cost(x.Seconds / 60 * a.costs.CallMinute)}
	var after []*belief.Posterior
	total := 0.0
	for i, answer := range x.Answers {
		if len(answer.Reports) == 0 {
			continue
		}
		given, scale := a.heard(e, q, i)
		if scale == 0 {
			continue
		}
		p, err := a.model.Estimate(given)
		if errors.Is(err, belief.ErrImpossible) {
			continue
		}
		if err != nil {
			return c, err
		}
		likelihood := scale * math.Exp(p.LogEvidence-now.LogEvidence)
		total += likelihood
		r := Reply{Answer: i, P: likelihood, Top: p.Top()}
		if r.Top >= 0 {
			r.TopChance = p.Part(r.Top).Broken
		}
		c.Replies = append(c.Replies, r)
		after = append(after, p)
	}
	if !(total > 0) {
		return c, nil
	}
	kept, share := 0, 0.0
	for i, r := range c.Replies {
		if r.P /= total; r.P >= rare {
			c.Replies[kept], after[kept] = r, after[i]
			kept++
			share += r.P
		}
	}
	c.Replies, after = c.Replies[:kept], after[:kept]
	for i := range c.Replies {
		c.Replies[i].P /= share
	}
	saves, err := a.saves(c.Replies, after)
	if err != nil {
		return c, err
	}
	c.Saves = saves * kit.Cost(1-a.costs.DontKnow)
	c.Net = c.Saves - c.Asking
	for i := range c.Replies {
		c.Replies[i].P *= 1 - a.costs.DontKnow
	}
	return c, nil
}

// least is the probability under which a set of faults is left out.
const least = 1e-3

// saves compares the best decisions after each reply with the best one that
// must serve for all, and fills in the losses. Both sides see the same outcomes,
// so the difference is not negative.
func (a *Asker) saves(replies []Reply, after []*belief.Posterior) (kit.Cost, error) {
	f := a.model.Family()
	carry := make([]kit.Cost, len(f.Parts))
	for i, p := range f.Parts {
		carry[i] = kit.Cost(p.CarryMinutes)
	}
	var within []int // parts that may pay after some reply
	for i, x := range f.Parts {
		if x.Kind != knowledge.NoPart && slices.ContainsFunc(after, func(p *belief.Posterior) bool {
			return carry[i] < a.costs.ReturnVisit*kit.Cost(p.Part(i).Needed)
		}) {
			within = append(within, i)
		}
	}
	mean := make([]float64, len(f.Faults))
	all := kit.Problem{Carry: carry, Return: a.costs.ReturnVisit}
	var told kit.Cost
	for i, p := range after {
		one := kit.Problem{Carry: carry, Return: a.costs.ReturnVisit}
		sets, _ := p.Needs(within, least)
		for _, s := range sets {
			one.Outcomes = append(one.Outcomes, kit.Outcome(s))
			all.Outcomes = append(all.Outcomes, kit.Outcome{Parts: s.Parts, P: s.P * replies[i].P})
		}
		plan, err := kit.Best(one)
		if err != nil {
			return 0, err
		}
		replies[i].Loss = plan.Loss + kit.Cost(a.search.Minutes(p.Faults))
		told += kit.Cost(replies[i].P) * replies[i].Loss
		for fault, v := range p.Faults {
			mean[fault] += replies[i].P * v
		}
	}
	plan, err := kit.Best(all)
	if err != nil {
		return 0, err
	}
	untold := plan.Loss + kit.Cost(a.search.Minutes(mean))
	return max(0, untold-told), nil
}
