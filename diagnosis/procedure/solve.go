package procedure

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// Solve finds the order with the least expected cost.
//
// Up to 16 tasks that can find something: exact, by dynamic programming over
// sets of tasks done. Beyond, exact still when no two tasks find the same fault
// and none must follow another: then the order by probability over cost is
// optimal, taken over prefixes of what lies behind a panel (Horn 1972; tree
// clusters: Ottosen & Jensen 2010). Otherwise that order is kept up to date
// with what was found and its head is solved exactly; Proven is then false.
// Errors wrap [ErrProblem].
func Solve(p Problem) (Order, error) {
	if err := p.validate(); err != nil {
		return Order{}, err
	}
	weights, lost := p.counted()
	useful := p.useful(weights)
	if err := p.circle(useful); err != nil {
		return Order{}, err
	}
	if len(useful) <= exactLimit {
		out := p.evaluate(p.exact(useful, weights), slices.Clone(weights), lost)
		out.Proven = true
		return out, nil
	}
	order := p.greedy(useful, weights)
	proven := p.separate(useful)
	if !proven {
		order = p.improved(order, weights)
	}
	best := p.evaluate(order, slices.Clone(weights), lost)
	if p.GiveUp > 0 {
		// Giving up after any number of tasks: scan, as the first task that does
		// not pay may open the way to others that do.
		for n := range order {
			if o := p.evaluate(order[:n], slices.Clone(weights), lost); o.Minutes < best.Minutes {
				best = o
			}
		}
	}
	best.Proven = proven
	return best, nil
}

// useful returns the tasks that may find something that counts.
func (p Problem) useful(weights []float64) (tasks []int) {
	for i, t := range p.Tasks {
		if slices.ContainsFunc(t.Finds, func(f Find) bool { return weights[f.Fault] > 0 }) {
			tasks = append(tasks, i)
		}
	}
	return tasks
}

// circle refuses tasks that wait for one another.
func (p Problem) circle(tasks []int) error {
	done := make(map[int]bool)
	for len(done) < len(tasks) {
		progress := false
		for _, t := range tasks {
			if !done[t] && p.ready(t, tasks, done) {
				done[t], progress = true, true
			}
		}
		if !progress {
			return fmt.Errorf("%w: tasks wait for one another", ErrProblem)
		}
	}
	return nil
}

// ready says whether all of tasks that must come before t are done.
func (p Problem) ready(t int, tasks []int, done map[int]bool) bool {
	for _, a := range p.Tasks[t].After {
		if !done[a] && slices.Contains(tasks, a) {
			return false
		}
	}
	return true
}

// separate says whether the class for which the order by probability over cost
// is optimal holds: no fault found by two tasks, nothing that must follow.
func (p Problem) separate(tasks []int) bool {
	seen := make([]bool, len(p.Weights))
	for _, t := range tasks {
		for _, f := range p.Tasks[t].Finds {
			if seen[f.Fault] {
				return false
			}
			seen[f.Fault] = true
		}
		for _, a := range p.Tasks[t].After {
			if slices.Contains(tasks, a) {
				return false
			}
		}
	}
	return true
}

// exact solves for the given tasks, at most 20 or so: V(done) is the least cost
// to come, weighted by what is still unfound.
func (p Problem) exact(tasks []int, weights []float64) []int {
	n := len(tasks)
	size := 1 << n
	rest := p.unfound(tasks, weights)
	total := rest[0]
	at := make(map[int]int, n)
	for i, t := range tasks {
		at[t] = i
	}
	after := make([]uint32, n)
	need := make([]uint64, n)
	for i, t := range tasks {
		need[i] = p.path(p.Tasks[t].Group)
		for _, a := range p.Tasks[t].After {
			if k, ok := at[a]; ok {
				after[i] |= 1 << k
			}
		}
	}
	open := make([]uint64, size)
	for s := 1; s < size; s++ {
		open[s] = open[s&(s-1)] | need[bits.TrailingZeros(uint(s))]
	}
	const stop = -1
	cost := make([]float64, size)
	next := make([]int8, size)
	for s := size - 1; s >= 0; s-- {
		cost[s], next[s] = math.Inf(1), stop
		switch {
		case rest[s] <= nothing*total:
			cost[s] = 0
			continue
		case p.GiveUp > 0 || s == size-1:
			cost[s] = rest[s] * p.GiveUp
		}
		for i := range n {
			if s>>i&1 == 1 || uint32(s)&after[i] != after[i] {
				continue
			}
			c := rest[s]*(p.Tasks[tasks[i]].Minutes+p.opening(need[i]&^open[s])) + cost[s|1<<i]
			if c < cost[s] {
				cost[s], next[s] = c, int8(i)
			}
		}
	}
	var order []int
	for s := 0; next[s] != stop; s |= 1 << next[s] {
		order = append(order, tasks[next[s]])
	}
	return order
}

// unfound returns, by set of tasks done, the weight still unfound. The product
// over tasks of (1-detects) is expanded per fault into signed terms over
// subsets, which are then summed over all subsets at once.
func (p Problem) unfound(tasks []int, weights []float64) []float64 {
	n := len(tasks)
	rest := make([]float64, 1<<n)
	type pair struct {
		bit    int
		detect float64
	}
	by := make([][]pair, len(weights))
	for i, t := range tasks {
		for _, f := range p.Tasks[t].Finds {
			by[f.Fault] = append(by[f.Fault], pair{i, f.Detects})
		}
	}
	for fault, pairs := range by {
		if weights[fault] == 0 {
			continue
		}
		for sub := range 1 << len(pairs) {
			set, term := 0, weights[fault]
			for k, x := range pairs {
				if sub>>k&1 == 1 {
					set |= 1 << x.bit
					term *= -x.detect
				}
			}
			rest[set] += term
		}
	}
	for i := range n {
		for s := range rest {
			if s>>i&1 == 1 {
				rest[s] += rest[s&^(1<<i)]
			}
		}
	}
	return rest
}

// improved orders the first tasks exactly among themselves. As all of them are
// done before the rest, their order moves neither what is left nor what is open
// afterwards, and the result is no worse.
func (p Problem) improved(order []int, weights []float64) []int {
	head := order[:exactLimit]
	p.GiveUp = 0
	better := p.exact(head, weights)
	for _, t := range order {
		if !slices.Contains(better, t) {
			better = append(better, t)
		}
	}
	return better
}
