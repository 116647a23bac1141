package job

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// MaxQuantity bounds how many of one part a need may want; more is a mistake.
const MaxQuantity = 99

// ErrRequirement marks a requirement that contradicts itself.
var ErrRequirement = errors.New("job: bad requirement")

// Requirement is what it takes to end a job.
type Requirement struct {
	// Certain is true when a person said which parts are needed: then every
	// part is a must. When false the parts are triage's kit, and a missing one
	// only lowers the chance of ending the job in one visit.
	Certain bool
	// Parts is the kit to carry and promise, most needed first.
	Parts []Need
	// Outcomes are the faults it may turn out to be, with the parts each takes.
	// Unused when Certain. Probabilities sum to at most 1; what is left is
	// "something else", which no kit ends.
	Outcomes []Outcome
	// Skills and Tools are musts, always.
	Skills []string
	Tools  []string
	// Duration is the time planned on site. Zero means the mean over Outcomes.
	Duration time.Duration
}

// Need is a part wanted.
type Need struct {
	PartKind string
	// Mark is the rating wanted as printed on the original; empty when unknown,
	// and then any part of the kind serves.
	Mark     string
	Quantity int
	// Probability that the job takes it, 0 to 1; 1 when certain. It only orders
	// the kit; the chance of one visit is computed from Outcomes.
	Probability float64
}

// Outcome is one fault it may turn out to be.
type Outcome struct {
	// Fault is the code of the fault, for reading only.
	Fault string
	// Probability, 0 to 1.
	Probability float64
	// Parts the repair takes; none when it takes no part.
	Parts []Need
	// Duration on site if this is the fault; zero when not known.
	Duration time.Duration
}

// Faults returns the outcomes to reckon with: the given ones, or, for a certain
// requirement, a single sure outcome that takes all parts. A requirement with
// neither parts nor outcomes is one sure outcome that takes none.
func (r Requirement) Faults() []Outcome {
	if r.Certain || len(r.Outcomes) == 0 {
		return []Outcome{{Probability: 1, Parts: r.Parts, Duration: r.Duration}}
	}
	return r.Outcomes
}

// OnSite returns the time to plan on site: Duration, or else the mean of the
// outcomes weighted by probability, in whole minutes rounded up. Outcomes of
// unknown duration are left out of the mean.
func (r Requirement) OnSite() time.Duration {
	if r.Duration > 0 {
		return r.Duration
	}
	var minutes, weight float64
	for _, o := range r.Outcomes {
		if o.Duration > 0 {
			minutes += o.Probability * o.Duration.Minutes()
			weight += o.Probability
		}
	}
	if weight == 0 {
		return 0
	}
	return time.Duration(math.Ceil(minutes/weight-1e-9)) * time.Minute
}

// Validate returns an error wrapping ErrRequirement, naming what is wrong.
func (r Requirement) Validate() error {
	if r.Duration < 0 {
		return fmt.Errorf("%w: duration is negative", ErrRequirement)
	}
	if err := validateNeeds("parts", r.Parts); err != nil {
		return err
	}
	sum := 0.0
	for i, o := range r.Outcomes {
		if !(o.Probability >= 0 && o.Probability <= 1) {
			return fmt.Errorf("%w: outcomes[%d] has probability %g", ErrRequirement, i, o.Probability)
		}
		if o.Duration < 0 {
			return fmt.Errorf("%w: outcomes[%d] has a negative duration", ErrRequirement, i)
		}
		sum += o.Probability
		if err := validateNeeds(fmt.Sprintf("outcomes[%d].parts", i), o.Parts); err != nil {
			return err
		}
	}
	if sum > 1+1e-6 {
		return fmt.Errorf("%w: outcomes sum to %g", ErrRequirement, sum)
	}
	return nil
}

func validateNeeds(where string, needs []Need) error {
	for i, n := range needs {
		switch {
		case n.PartKind == "":
			return fmt.Errorf("%w: %s[%d] has no part kind", ErrRequirement, where, i)
		case n.Quantity < 1 || n.Quantity > MaxQuantity:
			return fmt.Errorf("%w: %s[%d] wants %d", ErrRequirement, where, i, n.Quantity)
		case !(n.Probability >= 0 && n.Probability <= 1):
			return fmt.Errorf("%w: %s[%d] has probability %g", ErrRequirement, where, i, n.Probability)
		}
	}
	return nil
}
