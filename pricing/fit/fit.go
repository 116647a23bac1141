package fit

import (
	"errors"

	"onevisit/pricing/part"
)

// ErrRules is wrapped by every error about a rule file's meaning.
var ErrRules = errors.New("fit: bad rules")

// Verdict is the answer. The zero value is no answer.
type Verdict uint8

// Verdicts, in rising order of acceptance.
const (
	NoVerdict          Verdict = iota
	DoesNotFit                 // a gating rule failed
	CannotTell                 // something gating is missing, or a person must judge
	FitsWithConditions         // may be fitted once each condition is met
	Fits
)

// String is the verdict in words.
func (v Verdict) String() string {
	return [...]string{"no verdict", "does not fit", "cannot tell", "fits with conditions", "fits"}[v%5]
}

// Accepts reports whether the part may be fitted, with or without conditions.
func (v Verdict) Accepts() bool { return v == Fits || v == FitsWithConditions }

// Outcome is what one rule found, in rising order of weight.
type Outcome uint8

// Outcomes. The heaviest one over all rules makes the verdict: Differs gives
// DoesNotFit, Ask or Missing CannotTell, Condition FitsWithConditions.
const (
	// NotAsked: the original does not state the property, or it has no place here.
	NotAsked Outcome = iota
	// Agrees: the candidate is equal or better.
	Agrees
	// Noted: it differs, and that only deserves a mention.
	Noted
	// Condition: it may be fitted if what the reason says is done.
	Condition
	// Missing: a gating value is not stated on one side.
	Missing
	// Ask: a person must judge.
	Ask
	// Differs: a gating comparison failed.
	Differs
)

// String is the outcome in words.
func (o Outcome) String() string {
	return [...]string{"not asked", "agrees", "noted", "condition", "missing", "ask", "differs"}[o%7]
}

func (o Outcome) verdict() Verdict {
	switch o {
	case Differs:
		return DoesNotFit
	case Ask, Missing:
		return CannotTell
	case Condition:
		return FitsWithConditions
	}
	return Fits
}

// Tension is how the machine keeps a belt tight.
type Tension uint8

// Tensions. TensionUnknown is the zero value.
const (
	TensionUnknown Tension = iota
	FixedCentres           // nothing moves: tension comes from the belt
	Adjustable             // sprung idler or slotted motor
)

// Heat is how warm the place of the part gets.
type Heat uint8

// Heats. HeatUnknown is the zero value: then the family decides, if given.
const (
	HeatUnknown Heat = iota
	CoolPlace
	HotPlace
)

// Context is what is known of the machine. The zero value knows nothing, and
// nothing unknown is assumed in the candidate's favour.
type Context struct {
	// Family is the appliance family's code, for example "tumble_dryer".
	Family string
	// SupplyVolts (V, RMS) and SupplyHertz are the site's mains, 0 unknown.
	SupplyVolts, SupplyHertz int
	Tension                  Tension
	Heat                     Heat
}

// Request asks whether Candidate may replace Original.
type Request struct {
	Original, Candidate part.Spec
	Context             Context
}

// Reason is one rule's finding.
type Reason struct {
	// Rule is the rule's id, for example "voltage-not-lower".
	Rule string
	// Field is the property's name, for example "voltage".
	Field   string
	Outcome Outcome
	// Gate reports whether the rule can refuse a part.
	Gate bool
	// Text says in words what was compared and what follows.
	Text string
	// Why is the reason for the rule, Source where it comes from.
	Why, Source string
}

// Result is the verdict with everything that led to it.
type Result struct {
	Verdict Verdict
	// Deciding is the id of the first rule with the heaviest finding; empty
	// when the part simply fits.
	Deciding string
	// Reasons are in the order of the rule file, without rules not asked.
	Reasons []Reason
	// Conditions are what must be done, one sentence each.
	Conditions []string
	// Missing are the properties to find out, with whose they are.
	Missing []string
}

// Rule ids the engine itself uses, beside those in the files.
const (
	// RulePartKind: the two are not even the same kind of part.
	RulePartKind = "part-kind-same"
	// RuleEqualMarks: both carry the same mark, for kinds without rules.
	RuleEqualMarks = "equal-marks"
	// RuleNoRules: the kind has no rules yet and the marks differ.
	RuleNoRules = "no-rules-yet"
)

// Check compares the two parts by every rule of their kind and explains.
//
// A kind without rules fits when the normalised marks are equal and otherwise
// gives CannotTell, saying so. Check never fails: what it cannot know is in
// Missing. Cost O(rules); safe for concurrent use.
func (rs *Rules) Check(r Request) Result {
	o, c := &r.Original, &r.Candidate
	set, reason := rs.pick(o, c)
	if set == nil {
		res := Result{Verdict: reason.Outcome.verdict(), Reasons: []Reason{reason}}
		if res.Verdict != Fits {
			res.Deciding = reason.Rule
		}
		if reason.Outcome == Ask {
			res.Missing = []string{"rules for " + o.Kind + ": compare the parts by hand"}
		}
		return res
	}
	var res Result
	worst := NotAsked
	softened := set.softens(o, c)
	for i := range set.rules {
		rule := &set.rules[i]
		f := rule.find(o, c, &r.Context)
		if f.outcome == NotAsked {
			continue
		}
		if f.outcome == Missing && softened {
			f = finding{outcome: Condition, note: noteEqualMarks}
		}
		why := rule.reason(f, o, c)
		if f.outcome > worst {
			worst, res.Deciding = f.outcome, rule.id
		}
		switch f.outcome {
		case Condition:
			res.Conditions = append(res.Conditions, why.Text)
		case Missing:
			res.Missing = append(res.Missing, rule.missing(o, c)...)
		}
		res.Reasons = append(res.Reasons, why)
	}
	if res.Verdict = worst.verdict(); res.Verdict == Fits {
		res.Deciding = ""
	}
	return res
}

// Decide gives the verdict alone, equal to Check(r).Verdict, without building
// reasons. It does not allocate. Cost O(rules), ending at the first refusal.
func (rs *Rules) Decide(original, candidate *part.Spec, ctx *Context) Verdict {
	set, reason := rs.pick(original, candidate)
	if set == nil {
		return reason.Outcome.verdict()
	}
	worst := NotAsked
	softened := set.softens(original, candidate)
	for i := range set.rules {
		f := set.rules[i].find(original, candidate, ctx)
		if f.outcome == Differs {
			return DoesNotFit
		}
		if f.outcome == Missing && softened {
			f.outcome = Condition
		}
		worst = max(worst, f.outcome)
	}
	return worst.verdict()
}

// CheckAll compares one original with many candidates, in their order.
func (rs *Rules) CheckAll(original part.Spec, candidates []part.Spec, ctx Context) []Result {
	out := make([]Result, len(candidates))
	for i, c := range candidates {
		out[i] = rs.Check(Request{Original: original, Candidate: c, Context: ctx})
	}
	return out
}

// DecideAll is CheckAll without reasons, for the whole stock of a fleet.
func (rs *Rules) DecideAll(original part.Spec, candidates []part.Spec, ctx Context) []Verdict {
	out := make([]Verdict, len(candidates))
	for i := range candidates {
		out[i] = rs.Decide(&original, &candidates[i], &ctx)
	}
	return out
}

// pick returns the rules for the two parts, or nil and the one reason that
// settles the matter without rules.
func (rs *Rules) pick(o, c *part.Spec) (*ruleSet, Reason) {
	if o.Kind != c.Kind {
		return nil, Reason{Rule: RulePartKind, Field: "kind", Outcome: Differs, Gate: true,
			Text: "not the same kind of part", Why: "a part of another kind does another job", Source: commonPractice}
	}
	if set := rs.kinds[o.Kind]; set != nil {
		return set, Reason{}
	}
	if o.Text != "" && o.Text == c.Text {
		return nil, Reason{Rule: RuleEqualMarks, Field: "mark", Outcome: Agrees, Gate: true,
			Text: "both carry the same mark", Why: "there are no rules for this kind of part yet, but equal marks mean equal parts", Source: commonPractice}
	}
	return nil, Reason{Rule: RuleNoRules, Field: "mark", Outcome: Ask, Gate: true,
		Text: "there are no rules for this kind of part yet, and the marks are not equal", Why: "a missing rule is never read as a match", Source: commonPractice}
}

const commonPractice = "common practice, no source"
