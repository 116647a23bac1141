package procedure

import (
	"fmt"
	"slices"

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
	var room [64]cell
	rest, cost := sum(found), 0.0
	for _, c := range e.cells(room[:0], len(e.forest.p.Groups), found) {
		cost += rest*c.minutes - c.spared
		rest -= c.weight
	}
	return cost
}

// cell is a block without its tasks: gone through with weight r still to find,
// it costs r·minutes - spared.
type cell struct {
	weight, minutes, spared float64
}

func (c cell) before(d cell) bool { return c.weight*d.minutes > d.weight*c.minutes }

// cells is [forest.blocks] for cells, appended to list.
func (e *Estimator) cells(list []cell, g int, found []float64) []cell {
	f, from := &e.forest, len(list)
	for _, t := range f.tasks[g] {
		if found[t] > 0 {
			list = append(list, cell{weight: found[t], minutes: f.p.Tasks[t].Minutes})
		}
	}
	for _, c := range f.children[g] {
		list = e.cells(list, c, found)
	}
	part := list[from:]
	slices.SortFunc(part, func(a, b cell) int {
		switch {
		case a.before(b):
			return -1
		case b.before(a):
			return 1
		default:
			return 0
		}
	})
	if len(part) == 0 || g == len(f.p.Groups) || f.p.Groups[g].Minutes == 0 {
		return list
	}
	head := cell{minutes: f.p.Groups[g].Minutes}
	k := 0
	for ; k < len(part) && !head.before(part[k]); k++ {
		head.spared += part[k].spared + head.weight*part[k].minutes
		head.weight += part[k].weight
		head.minutes += part[k].minutes
	}
	part[k-1] = head // k is at least 1: an opening alone finds nothing
	return append(list[:from], part[k-1:]...)
}
