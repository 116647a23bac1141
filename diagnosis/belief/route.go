package belief

// The route of a sweep: in which order the faults come, and which variables are
// in play at each. A variable is a finding whose likelihood ties faults
// together, from the first fault that pulls it to the last, or a causing fault,
// from itself to its last effect. A vector over n variables in play has 2^n
// entries; a variable's place is the bit of the index that it owns.

// sweepLimit bounds the numbers gone through; beyond it sets are enumerated.
const sweepLimit = 1 << 19

// leaving is a variable that goes out of play: its two values are summed with
// these weights.
type leaving struct {
	place  int
	w0, w1 float64
}

// upward is a cause in play.
type upward struct {
	place int
	p     float64
}

// step is one fault of a route. The slices are views into the arena.
type step struct {
	fault   int
	live    int   // variables in play before
	before  []int // them, by place: a bit, or -1 for a causing fault
	enter   []int // bits that come into play, above the others
	pulls   []pull
	parents []upward
	causes  bool // the fault comes into play itself, above all
	leave   []leaving
}

// arena is the reusable memory of sweeps.
type arena struct {
	floats []float64
	steps  []step
	at     []int // by fault: index in steps, -1 when not swept
	start  []int // by step: offset of its incoming vector in floats

	ints    []int
	pulls   []pull
	ups     []upward
	leaves  []leaving
	widest  int // largest number of variables in play within a step
	total   int // sum over steps of the incoming vectors
	left    []int
	live    []int // variables by place: a bit, or bits + fault
	members []int
	uses    []use
	spans   [][2]int
}

// use is how often the faults of a block pull a bit.
type use struct{ bit, count int }

// swept says whether a fault must take part in the sweep; the others are
// independent of everything given the evidence.
func (m *Model) swept(in *instance, i int) bool {
	return len(in.pulls[i]) > 0 || len(m.parents[i]) > 0 || len(m.children[i]) > 0
}

// route plans the sweep and says whether its work keeps to the limit. It is greedy: next
// comes the block, and within it the fault, that adds fewest variables to those
// in play, counting those it lets go.
func (a *arena) route(m *Model, in *instance, limit int) bool {
	n, k := len(m.links), len(in.bits)
	a.steps, a.start = a.steps[:0], a.start[:0]
	a.ints, a.pulls, a.ups, a.leaves = a.ints[:0], a.pulls[:0], a.ups[:0], a.leaves[:0]
	a.live, a.uses, a.spans = a.live[:0], a.uses[:0], a.spans[:0]
	a.widest, a.total = 0, 0
	a.at = resized(a.at, n)
	a.left = resized(a.left, k+n)
	clear(a.left)
	for i := range n {
		a.at[i] = -1
		for _, l := range in.pulls[i] {
			a.left[l.bit]++
		}
		a.left[k+i] = len(m.children[i])
	}
	for _, block := range m.blocks {
		from := len(a.uses)
		for _, i := range block {
			for _, l := range in.pulls[i] {
				a.count(from, l.bit)
			}
		}
		a.spans = append(a.spans, [2]int{from, len(a.uses)})
	}
	work := 0
	for range m.blocks {
		best, least := -1, 1<<30
		for b, block := range m.blocks {
			if a.spans[b][0] < 0 || !m.sweptBlock(in, block) {
				continue
			}
			fresh, gone := 0, 0
			for _, u := range a.uses[a.spans[b][0]:a.spans[b][1]] {
				if !a.inPlay(u.bit) {
					fresh++
				}
				if a.left[u.bit] == u.count {
					gone++
				}
			}
			if score := (fresh-gone)*64 + fresh; score < least {
				best, least = b, score
			}
		}
		if best < 0 {
			break
		}
		a.spans[best][0] = -1
		if work += a.block(m, in, m.blocks[best], limit-work); work > limit {
			return false
		}
	}
	return true
}

func resized(s []int, n int) []int {
	if cap(s) < n {
		return make([]int, n)
	}
	return s[:n]
}

func (a *arena) count(from, bit int) {
	for i := range a.uses[from:] {
		if a.uses[from+i].bit == bit {
			a.uses[from+i].count++
			return
		}
	}
	a.uses = append(a.uses, use{bit, 1})
}

func (m *Model) sweptBlock(in *instance, block []int) bool {
	for _, i := range block {
		if m.swept(in, i) {
			return true
		}
	}
	return false
}

func (a *arena) placeOf(variable int) int {
	for place, v := range a.live {
		if v == variable {
			return place
		}
	}
	return -1
}

func (a *arena) inPlay(variable int) bool { return a.placeOf(variable) >= 0 }

// block routes the swept faults of one block and returns the work they make.
func (a *arena) block(m *Model, in *instance, block []int, limit int) (work int) {
	k := len(in.bits)
	a.members = a.members[:0]
	for _, i := range block {
		if m.swept(in, i) {
			a.members = append(a.members, i)
		}
	}
	for len(a.members) > 0 {
		best, least := -1, 1<<30
		for at, i := range a.members {
			ready := true
			fresh, gone := 0, 0
			for _, p := range m.parents[i] {
				ready = ready && a.at[p.fault] >= 0
				if a.left[k+p.fault] == 1 {
					gone++
				}
			}
			for _, l := range in.pulls[i] {
				if !a.inPlay(l.bit) {
					fresh++
				}
				if a.left[l.bit] == 1 {
					gone++
				}
			}
			if len(m.children[i]) > 0 {
				fresh++
			}
			if score := (fresh-gone)*64 + fresh; ready && score < least {
				best, least = at, score
			}
		}
		i := a.members[best]
		a.members[best] = a.members[len(a.members)-1]
		a.members = a.members[:len(a.members)-1]
		if work += 1 << min(a.step(m, in, i), 40); work > limit {
			return work
		}
	}
	return work
}

// step appends the step of one fault and returns the number of variables in
// play within it.
func (a *arena) step(m *Model, in *instance, i int) int {
	k := len(in.bits)
	s := step{fault: i, live: len(a.live), causes: len(m.children[i]) > 0}
	from := len(a.ints)
	for _, v := range a.live {
		if v >= k {
			v = -1
		}
		a.ints = append(a.ints, v)
	}
	s.before = a.ints[from:len(a.ints):len(a.ints)]
	from = len(a.ints)
	pulls := len(a.pulls)
	for _, l := range in.pulls[i] {
		place := a.placeOf(l.bit)
		if place < 0 {
			place = len(a.live)
			a.live = append(a.live, l.bit)
			a.ints = append(a.ints, l.bit)
		}
		a.pulls = append(a.pulls, pull{place, l.q})
		a.left[l.bit]--
	}
	s.enter = a.ints[from:len(a.ints):len(a.ints)]
	s.pulls = a.pulls[pulls:len(a.pulls):len(a.pulls)]
	ups := len(a.ups)
	for _, p := range m.parents[i] {
		a.ups = append(a.ups, upward{a.placeOf(k + p.fault), p.p})
		a.left[k+p.fault]--
	}
	s.parents = a.ups[ups:len(a.ups):len(a.ups)]
	if s.causes {
		a.live = append(a.live, k+i)
	}
	width := len(a.live)
	leaves := len(a.leaves)
	for place := len(a.live) - 1; place >= 0; place-- { // highest first: lower places stay
		v := a.live[place]
		if a.left[v] > 0 {
			continue
		}
		out := leaving{place, 1, 1}
		if v < k {
			out.w0, out.w1 = in.bits[v].w0, in.bits[v].w1
		}
		a.leaves = append(a.leaves, out)
		a.live = append(a.live[:place], a.live[place+1:]...)
	}
	s.leave = a.leaves[leaves:len(a.leaves):len(a.leaves)]
	a.at[i] = len(a.steps)
	a.steps = append(a.steps, s)
	a.start = append(a.start, a.total)
	a.total += 1 << s.live
	a.widest = max(a.widest, width)
	return width
}
