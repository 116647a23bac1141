package procedure

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// ErrProblem means an index, probability or cost is out of range, or the order asked
// for is a circle.
var ErrProblem = errors.New("procedure: bad problem")

// Find says that a task finds a fault, when present, with probability Detects.
type Find struct {
	Fault   int     // index into Problem.Weights
	Detects float64 // in (0, 1]
}

// Task is one thing to do.
type Task struct {
	Minutes float64 // without opening, at least 0
	Group   int     // index into Problem.Groups, -1 for nothing to open
	Finds   []Find  // each fault once
	After   []int   // tasks that come first if they are done at all
}

// Group is what must be open; it is opened once and stays open.
type Group struct {
	Minutes float64 // at least 0
	Parent  int     // index of the group to open before, -1 for none
}

// Problem is a search for one fault. Exactly one is present, Weights (at least
// 0, any sum) say which. Work goes on until it is found, whatever else a task
// may do. A task not yet done finds its fault independently of those done.
type Problem struct {
	Weights []float64
	Tasks   []Task
	Groups  []Group
	// GiveUp is the cost, in minutes, of stopping the search with the fault
	// unfound, such as a second visit by somebody else. 0: never stop while a
	// task may find something; what no task finds is then left out of the
	// account.
	GiveUp float64
}

// Order is an answer.
type Order struct {
	Tasks []int // in order; tasks that cannot find anything are left out
	// Minutes is the expected cost, per unit of Weights counted.
	Minutes float64
	// Found is the share of the weight that the tasks find.
	Found float64
	// Proven says that no better order exists.
	Proven bool
}

// exactLimit is the number of tasks up to which the order is found by dynamic
// programming over sets of tasks done, in O(n·2^n).
const exactLimit = 16

func (p Problem) validate() error {
	bad := func(v float64) bool { return !(v >= 0) || math.IsInf(v, 1) }
	for i, w := range p.Weights {
		if bad(w) {
			return fmt.Errorf("%w: weights[%d] %v", ErrProblem, i, w)
		}
	}
	if bad(p.GiveUp) {
		return fmt.Errorf("%w: give-up cost %v", ErrProblem, p.GiveUp)
	}
	if len(p.Groups) > 64 {
		return fmt.Errorf("%w: %d groups, at most 64", ErrProblem, len(p.Groups))
	}
	for i, g := range p.Groups {
		if bad(g.Minutes) || g.Parent < -1 || g.Parent >= len(p.Groups) {
			return fmt.Errorf("%w: groups[%d] %+v", ErrProblem, i, g)
		}
		at := i
		for range p.Groups {
			if at = p.Groups[at].Parent; at < 0 {
				break
			}
		}
		if at >= 0 {
			return fmt.Errorf("%w: groups[%d] lies within itself", ErrProblem, i)
		}
	}
	for i, t := range p.Tasks {
		if bad(t.Minutes) || t.Group < -1 || t.Group >= len(p.Groups) {
			return fmt.Errorf("%w: tasks[%d] takes %v behind group %d", ErrProblem, i, t.Minutes, t.Group)
		}
		for k, f := range t.Finds {
			if f.Fault < 0 || f.Fault >= len(p.Weights) || !(f.Detects > 0 && f.Detects <= 1) ||
				slices.ContainsFunc(t.Finds[:k], func(g Find) bool { return g.Fault == f.Fault }) {
				return fmt.Errorf("%w: tasks[%d] finds fault %d with %v", ErrProblem, i, f.Fault, f.Detects)
			}
		}
		for _, a := range t.After {
			if a < 0 || a >= len(p.Tasks) || a == i {
				return fmt.Errorf("%w: tasks[%d] comes after %d", ErrProblem, i, a)
			}
		}
	}
	return nil
}

// path returns the groups to be open for group g, as a mask.
func (p Problem) path(g int) (mask uint64) {
	for ; g >= 0; g = p.Groups[g].Parent {
		mask |= 1 << g
	}
	return mask
}

// opening returns the minutes for the groups in mask.
func (p Problem) opening(mask uint64) (minutes float64) {
	for g := range p.Groups {
		if mask>>g&1 == 1 {
			minutes += p.Groups[g].Minutes
		}
	}
	return minutes
}

// Evaluate returns the expected cost of the tasks in the given order, then
// giving up if the problem has a cost for it. It does not check what comes
// after what. It is the definition that [Solve] minimises.
func Evaluate(p Problem, order []int) (Order, error) {
	if err := p.validate(); err != nil {
		return Order{}, err
	}
	for k, t := range order {
		if t < 0 || t >= len(p.Tasks) || slices.Contains(order[:k], t) {
			return Order{}, fmt.Errorf("%w: order names task %d", ErrProblem, t)
		}
	}
	left, lost := p.counted()
	return p.evaluate(order, left, lost), nil
}

// counted returns a copy of the weights that count, and the weight that does not.
func (p Problem) counted() (weights []float64, lost float64) {
	weights = slices.Clone(p.Weights)
	if p.GiveUp > 0 {
		return weights, 0
	}
	can := make([]bool, len(weights))
	for _, t := range p.Tasks {
		for _, f := range t.Finds {
			can[f.Fault] = true
		}
	}
	for i := range weights {
		if !can[i] {
			lost += weights[i]
			weights[i] = 0
		}
	}
	return weights, lost
}

// nothing is the share of weight below which a search is over; it only absorbs
// rounding.
const nothing = 1e-12

func (p Problem) evaluate(order []int, left []float64, lost float64) Order {
	total := sum(left)
	if total == 0 {
		return Order{}
	}
	out := Order{}
	rest, open := total, uint64(0)
	for _, t := range order {
		if rest <= nothing*total {
			break
		}
		out.Tasks = append(out.Tasks, t)
		need := p.path(p.Tasks[t].Group)
		out.Minutes += rest * (p.Tasks[t].Minutes + p.opening(need&^open))
		open |= need
		for _, f := range p.Tasks[t].Finds {
			left[f.Fault] *= 1 - f.Detects
		}
		rest = sum(left)
	}
	out.Minutes = (out.Minutes + rest*p.GiveUp) / total
	out.Found = (total - rest) / (total + lost)
	return out
}

func sum(xs []float64) (s float64) {
	for _, x := range xs {
		s += x
	}
	return s
}
