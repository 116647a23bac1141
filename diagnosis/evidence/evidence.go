package evidence

import (
	"errors"
	"fmt"
	"math"
)

// Appliance is what is known of the machine. Family and Variant are codes of
// the knowledge base; empty Variant means unknown. AgeYears is nil when
// unknown, otherwise at least 0.
type Appliance struct {
	Family   string
	Variant  string
	AgeYears *float64
	// Ratings are the marks known for this very machine, by part kind, for
	// example read from its plate or found in the catalogue by model.
	Ratings map[string]string
}

// Source says how a finding came to be known.
type Source int

// The sources, from weakest to strongest in the usual case. The zero value is
// invalid so that a forgotten field is found.
const (
	SourceInvalid Source = iota
	Said                 // in the caller's own words
	Answered             // in answer to a question of the knowledge base
	Measured             // read or seen by the technician on site
)

// Hard is the Ratio of a finding that is taken as certain.
var Hard = math.Inf(1)

// Observation is one finding with the strength of its report.
//
// Ratio is P(report | finding as reported) / P(report | finding otherwise), at
// least 1, [Hard] when certain. It is virtual evidence in Pearl's sense
// (theory: Probabilistic Reasoning in Intelligent Systems, 1988, section
// 2.2.2): a Ratio of 1 says nothing.
type Observation struct {
	Finding string
	Present bool
	Ratio   float64
	Source  Source
	Words   string // the words it came from, "" when not from words
	Start   int    // byte offset of Words in the text; 0 when not from words
	End     int    // byte offset one past the last byte of Words
}

// Mention says in what way the caller spoke of a part.
type Mention int

// The ways of speaking of a part. The zero value is invalid.
const (
	MentionInvalid Mention = iota
	Theory                 // "I think the motor's dead": nearly no evidence
	SeenBad                // "the hose has a split": observed fact
	SeenGood               // "belt looks fine", tested and found good
	Replaced               // "new belt last month"
	Likeness               // not spoken of: calls worded like this one needed it
)

// PartMention is what was said about one part kind. Ratio is the factor on the
// odds that a fault of this part kind is present: above 1 speaks for it, below
// 1 against, always above 0.
type PartMention struct {
	PartKind string
	Kind     Mention
	Ratio    float64
	Words    string
	Start    int
	End      int
}

// Evidence is everything known about one case. Order of Observations and Parts
// does not matter. A finding may be reported more than once: see [Evidence.Merged].
type Evidence struct {
	Appliance    Appliance
	Observations []Observation
	Parts        []PartMention
}

// ErrInvalid is wrapped by every error of [Evidence.Validate].
var ErrInvalid = errors.New("evidence: invalid")

// Validate checks form only: ratios, sources and codes that must not be empty.
// Whether a code exists is for the knowledge base to say.
func (e Evidence) Validate() error {
	if e.Appliance.Family == "" {
		return fmt.Errorf("%w: appliance.family is empty", ErrInvalid)
	}
	if a := e.Appliance.AgeYears; a != nil && (math.IsNaN(*a) || *a < 0 || *a > 100) {
		return fmt.Errorf("%w: appliance.age_years %v is not between 0 and 100", ErrInvalid, *a)
	}
	for i, o := range e.Observations {
		switch {
		case o.Finding == "":
			return fmt.Errorf("%w: observations[%d].finding is empty", ErrInvalid, i)
		case math.IsNaN(o.Ratio) || o.Ratio < 1:
			return fmt.Errorf("%w: observations[%d].ratio %v is below 1", ErrInvalid, i, o.Ratio)
		case o.Source == SourceInvalid:
			return fmt.Errorf("%w: observations[%d].source is not set", ErrInvalid, i)
		}
	}
	for i, p := range e.Parts {
		if p.PartKind == "" {
			return fmt.Errorf("%w: parts[%d].part_kind is empty", ErrInvalid, i)
		}
		if !(p.Ratio > 0) || math.IsInf(p.Ratio, 1) {
			return fmt.Errorf("%w: parts[%d].ratio %v is not above 0 and finite", ErrInvalid, i, p.Ratio)
		}
	}
	return nil
}

// Merged returns one observation per finding, in order of first appearance.
//
// A stronger source replaces a weaker one (what was measured outranks what was
// answered, which outranks what was said). Within one source the ratios of
// agreeing reports do not multiply, since the same mouth repeats itself: the
// strongest counts. When one source contradicts itself the later report wins,
// as a caller who corrects himself means the correction.
func (e Evidence) Merged() []Observation {
	out := make([]Observation, 0, len(e.Observations))
	at := make(map[string]int, len(e.Observations))
	for _, o := range e.Observations {
		i, seen := at[o.Finding]
		if !seen {
			at[o.Finding] = len(out)
			out = append(out, o)
			continue
		}
		old := out[i]
		switch {
		case o.Source > old.Source,
			o.Source == old.Source && o.Present != old.Present,
			o.Source == old.Source && o.Ratio > old.Ratio:
			out[i] = o
		}
	}
	return out
}
