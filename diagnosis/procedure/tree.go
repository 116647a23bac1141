package procedure

import "slices"

// block is a run of tasks that belong together in a best order: what must be
// paid before the first and what is found along the way.
type block struct {
	weight, minutes float64
	tasks           []int
}

// before says whether a finds more per minute than b.
func (a block) before(b block) bool { return a.weight*b.minutes > b.weight*a.minutes }

// byRatio orders blocks by falling weight per minute, then by first task.
func byRatio(a, b block) int {
	switch {
	case a.before(b):
		return -1
	case b.before(a):
		return 1
	default:
		return a.tasks[0] - b.tasks[0]
	}
}

// forest orders tasks by falling weight per minute, where a group is opened by
// a task of no weight in front of everything behind it. A block that finds no
// less per minute than the opening before it is drawn into the opening's block
// (on a tie too, or sorting might put it before its opening); what remains is
// sorted (Horn 1972, one machine with an out-tree).
type forest struct {
	p        Problem
	children [][]int // by group, its subgroups; the last entry is the roots
	tasks    [][]int // by group, its tasks; the last entry needs nothing open
}

func (p Problem) forest(tasks []int) forest {
	n := len(p.Groups)
	f := forest{p: p, children: make([][]int, n+1), tasks: make([][]int, n+1)}
	for g, x := range p.Groups {
		at := x.Parent
		if at < 0 {
			at = n
		}
		f.children[at] = append(f.children[at], g)
	}
	for _, t := range tasks {
		at := p.Tasks[t].Group
		if at < 0 {
			at = n
		}
		f.tasks[at] = append(f.tasks[at], t)
	}
	return f
}

// blocks returns the blocks of group g and what lies behind it, sorted; open
// says which groups are open already, weight what each task may find.
func (f forest) blocks(g int, open uint64, weight []float64) []block {
	var list []block
	for _, t := range f.tasks[g] {
		if weight[t] > 0 {
			list = append(list, block{weight[t], f.p.Tasks[t].Minutes, []int{t}})
		}
	}
	for _, c := range f.children[g] {
		list = append(list, f.blocks(c, open, weight)...)
	}
	slices.SortFunc(list, byRatio)
	if len(list) == 0 || g == len(f.p.Groups) || open>>g&1 == 1 || f.p.Groups[g].Minutes == 0 {
		return list
	}
	head := block{minutes: f.p.Groups[g].Minutes}
	k := 0
	for ; k < len(list) && !head.before(list[k]); k++ {
		head.weight += list[k].weight
		head.minutes += list[k].minutes
		head.tasks = append(head.tasks, list[k].tasks...)
	}
	return append([]block{head}, list[k:]...)
}

// greedy orders tasks by the forest, taking off what was found after every
// step, and never a task before those it must follow.
func (p Problem) greedy(tasks []int, weights []float64) []int {
	left := slices.Clone(weights)
	f := p.forest(tasks)
	weight := make([]float64, len(p.Tasks))
	done := make(map[int]bool, len(tasks))
	separate := p.separate(tasks)
	var order []int
	open := uint64(0)
	for len(order) < len(tasks) {
		clear(weight)
		for _, t := range tasks {
			if !done[t] && (separate || p.ready(t, tasks, done)) {
				for _, x := range p.Tasks[t].Finds {
					weight[t] += left[x.Fault] * x.Detects
				}
			}
		}
		all := f.blocks(len(p.Groups), open, weight)
		if separate {
			for _, b := range all {
				order = append(order, b.tasks...)
			}
			return order
		}
		next := -1
		if len(all) > 0 {
			next = all[0].tasks[0]
		} else { // only tasks that find nothing more
			next = tasks[slices.IndexFunc(tasks, func(t int) bool { return !done[t] && p.ready(t, tasks, done) })]
		}
		order = append(order, next)
		done[next] = true
		open |= p.path(p.Tasks[next].Group)
		for _, x := range p.Tasks[next].Finds {
			left[x.Fault] *= 1 - x.Detects
		}
	}
	return order
}
