package quote

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Fault is a repair with the chance that it is needed.
type Fault struct {
	Probability float64
	Repair      Repair
}

// MaxIndependent is the most faults Independent combines: 2^12 outcomes.
const MaxIndependent = 12

// Independent turns separate chances into outcomes for Make: every set of the
// given faults with the product of its chances, as if none knew of another. It
// is for callers that have only the chance of each fault; one that has the
// joint chances should pass those.
//
// Of more than MaxIndependent faults the likeliest are combined and the sum of
// the chances left out is returned as dropped, an upper bound on what the
// outcomes miss. Outcomes without any fault are included with no repairs.
// Error: ErrProbability. Cost O(2^n).
func Independent(faults []Fault) (outcomes []Outcome, dropped float64, err error) {
	for i, f := range faults {
		if math.IsNaN(f.Probability) || f.Probability < 0 || f.Probability > 1 {
			return nil, 0, fmt.Errorf("%w: fault %d has %v", ErrProbability, i, f.Probability)
		}
	}
	sorted := slices.Clone(faults)
	slices.SortStableFunc(sorted, func(a, b Fault) int { return cmp.Compare(b.Probability, a.Probability) })
	for len(sorted) > MaxIndependent {
		dropped += sorted[len(sorted)-1].Probability
		sorted = sorted[:len(sorted)-1]
	}
	for set := range 1 << len(sorted) {
		o := Outcome{Probability: 1}
		for i, f := range sorted {
			if set&(1<<i) != 0 {
				o.Probability *= f.Probability
				o.Repairs = append(o.Repairs, f.Repair)
			} else {
				o.Probability *= 1 - f.Probability
			}
		}
		if o.Probability > 0 {
			outcomes = append(outcomes, o)
		}
	}
	return outcomes, dropped, nil
}
