package procedure

import (
	"fmt"

	"onevisit/diagnosis/knowledge"
)

// Estimator says quickly how long the search on site will take for any
// probabilities of faults: it serves questions on the phone, which need it by
// the dozen. Immutable and safe for concurrent use.
//
// It takes one way of finding per fault, the check that finds most per minute
// (for want of one, the repair itself), and any person, so that the tree rule
// is exact. It is the least of finitely many linear functions of the weights;
// hence knowing more never lengthens it on average.
type Estimator struct {
	forest forest
	detect []float64 // by fault, of its task
	task   []int     // by fault
}

// NewEstimator prepares a family. A nil rules takes [DefaultRules]. Errors wrap
// [ErrProblem] or [ErrRules].
func NewEstimator(f *knowledge.Family, rules *Rules) (*Estimator, error) {
	if rules == nil {
		rules = DefaultRules()
	} else if err := rules.validate(); err != nil {
		return nil, err
	}
	all := make([]int, len(f.Checks))
	for c := range all {
		all[c] = c
		for _, fault := range f.Checks[c].Faults {
			if fault < 0 || fault >= len(f.Faults) {
				return nil, fmt.Errorf("%w: check %s tells about fault %d", ErrProblem, f.Checks[c].Code, fault)
			}
		}
		if a := f.Checks[c].Access; a < -1 || a >= len(f.Access) {
			return nil, fmt.Errorf("%w: check %s lies behind group %d", ErrProblem, f.Checks[c].Code, a)
		}
	}
	p := frame(f, all, make([]float64, len(f.Faults)), rules)
	for i := range p.Tasks {
		p.Tasks[i].After = nil // an order for weighing, not for doing
	}
	e := &Estimator{detect: make([]float64, len(f.Faults)), task: make([]int, len(f.Faults))}
	for fault := range f.Faults {
		best, rate := -1, 0.0
		for t, x := range p.Tasks {
			for _, find := range x.Finds {
				if r := find.Detects / (x.Minutes + p.opening(p.path(x.Group)) + 1); find.Fault == fault && r > rate {
					best, rate = t, r
					e.detect[fault] = find.Detects
				}
			}
		}
		if best < 0 {
			best = len(p.Tasks)
			group := -1
			if a := f.Faults[fault].Access; a >= 0 && a < len(f.Access) && opened(f, a) {
				group = a
			}
			p.Tasks = append(p.Tasks, Task{Minutes: f.Faults[fault].Minutes, Group: group})
			e.detect[fault] = 1
		}
		e.task[fault] = best
	}
	if err := p.validate(); err != nil {
		return nil, err
	}
	tasks := make([]int, len(p.Tasks))
	for i := range tasks {
		tasks[i] = i
	}
	e.forest = p.forest(tasks)
	return e, nil
}

// Minutes returns the expected minutes until the search finds what it can find,
// times the weight of that; weights are by fault, at least 0. O(n log n) in the number of checks.
func (e *Estimator) Minutes(weights []float64) float64 {
	found := make([]float64, len(e.forest.p.Tasks))
	for fault, w := range weights {
		found[e.task[fault]] += w * e.detect[fault]
	}
	return e.forest.minutes(found)
}
