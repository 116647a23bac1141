package kit

import "slices"

// Best returns the plan with the least Loss; of several the one with the fewest
// parts. The problem is not changed. Cost: a minimum cut over outcomes and
// parts, after the parts that settle themselves are out. Errors wrap
// [ErrProblem].
func Best(p Problem) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, err
	}
	s := settle(p, true)
	if s.open() {
		s.cut()
	}
	plan := p.plan(s.carried)
	plan.Proven = true
	return plan, nil
}

// state is a problem partly decided.
type state struct {
	p       Problem
	carried []bool
	out     []bool
	dead    []bool // by outcome: a part of it is out
	missing []int  // by outcome: parts neither carried nor out
}

func (s *state) undecided(i int) bool { return !s.carried[i] && !s.out[i] }

func (s *state) open() bool {
	for i, m := range s.missing {
		if m > 0 && !s.dead[i] {
			return true
		}
	}
	return false
}

// settle decides what needs no search. A part is out when even with all others
// there it would not pay; with take set, a part is in when it pays even with
// none of the undecided others. Both follow from increasing returns.
func settle(p Problem, take bool) *state {
	n := len(p.Carry)
	flags := make([]bool, 2*n+len(p.Outcomes))
	s := &state{p: p, carried: flags[:n], out: flags[n : 2*n], dead: flags[2*n:], missing: make([]int, len(p.Outcomes))}
	for i, o := range p.Outcomes {
		s.missing[i] = len(o.Parts)
	}
	sums := make([]float64, 2*n)
	needed, alone := sums[:n], sums[n:]
	for changed := true; changed; {
		changed = false
		clear(sums)
		for i, o := range p.Outcomes {
			if s.dead[i] || s.missing[i] == 0 {
				continue
			}
			for _, part := range o.Parts {
				if s.undecided(part) {
					needed[part] += o.P
					if s.missing[i] == 1 {
						alone[part] += o.P
					}
				}
			}
		}
		for part := range n {
			switch {
			case !s.undecided(part):
			case p.Carry[part] >= p.Return*Cost(needed[part]):
				s.out[part], changed = true, true
			case take && p.Return*Cost(alone[part]) > p.Carry[part]:
				s.carried[part], changed = true, true
			}
		}
		for i, o := range p.Outcomes {
			s.missing[i] = 0
			for _, part := range o.Parts {
				s.dead[i] = s.dead[i] || s.out[part]
				if s.undecided(part) {
					s.missing[i]++
				}
			}
		}
	}
	return s
}

// network is a flow network for the minimum cut, by Dinic's algorithm.
type network struct {
	head  []int // by node: first arc, -1 for none
	next  []int // by arc
	to    []int
	room  []float64
	level []int
	at    []int
	queue []int
}

func newNetwork(nodes int) *network {
	g := &network{head: make([]int, nodes), level: make([]int, nodes), at: make([]int, nodes)}
	for i := range g.head {
		g.head[i] = -1
	}
	return g
}

func (g *network) arc(from, to int, room float64) {
	for _, a := range [2]struct {
		from, to int
		room     float64
	}{{from, to, room}, {to, from, 0}} {
		g.to = append(g.to, a.to)
		g.room = append(g.room, a.room)
		g.next = append(g.next, g.head[a.from])
		g.head[a.from] = len(g.to) - 1
	}
}

// reach numbers the nodes by distance from the source over arcs with room.
func (g *network) reach(source int, nothing float64) {
	for i := range g.level {
		g.level[i] = -1
	}
	g.level[source] = 0
	g.queue = append(g.queue[:0], source)
	for k := 0; k < len(g.queue); k++ {
		v := g.queue[k]
		for a := g.head[v]; a >= 0; a = g.next[a] {
			if w := g.to[a]; g.room[a] > nothing && g.level[w] < 0 {
				g.level[w] = g.level[v] + 1
				g.queue = append(g.queue, w)
			}
		}
	}
}

func (g *network) push(v, sink int, most, nothing float64) float64 {
	if v == sink {
		return most
	}
	for ; g.at[v] >= 0; g.at[v] = g.next[g.at[v]] {
		a := g.at[v]
		w := g.to[a]
		if g.room[a] <= nothing || g.level[w] != g.level[v]+1 {
			continue
		}
		if sent := g.push(w, sink, min(most, g.room[a]), nothing); sent > nothing {
			g.room[a] -= sent
			g.room[a^1] += sent
			return sent
		}
	}
	return 0
}

// cut decides the undecided parts: source → outcome with room Return·P, outcome
// → each missing part without limit, part → sink with room Carry. The parts on
// the source's side of the cut nearest the source are carried.
func (s *state) cut() {
	const source, sink = 0, 1
	before := slices.Clone(s.carried)
	nodeOf := make([]int, len(s.p.Carry))
	nodes := 2
	for part := range nodeOf {
		if s.undecided(part) {
			nodeOf[part] = nodes
			nodes++
		}
	}
	parts := nodes
	for i := range s.p.Outcomes {
		if !s.dead[i] && s.missing[i] > 0 {
			nodes++
		}
	}
	g := newNetwork(nodes)
	total := 0.0
	node := parts
	for i, o := range s.p.Outcomes {
		if s.dead[i] || s.missing[i] == 0 {
			continue
		}
		worth := float64(s.p.Return) * o.P
		total += worth
		g.arc(source, node, worth)
		for _, part := range o.Parts {
			if s.undecided(part) {
				g.arc(node, nodeOf[part], 2*float64(s.p.Return)+1) // more than can ever flow
			}
		}
		node++
	}
	for part, v := range nodeOf {
		if v > 0 {
			g.arc(v, sink, float64(s.p.Carry[part]))
		}
	}
	nothing := total * 1e-13 // rounding leaves crumbs of room on saturated arcs
	for {
		g.reach(source, nothing)
		if g.level[sink] < 0 {
			break
		}
		copy(g.at, g.head)
		for g.push(source, sink, total, nothing) > nothing {
		}
	}
	for part, v := range nodeOf {
		if v > 0 && g.level[v] >= 0 {
			s.carried[part] = true
		}
	}
	// A gain that is only rounding is none.
	if s.p.plan(before).Loss <= s.p.plan(s.carried).Loss {
		copy(s.carried, before)
	}
}
