package belief

import (
	"fmt"
	"math"
)

// Enumeration of sets of faults, likeliest branches only. A set is grown in
// sweep order, so that causes are decided before their effects; a branch is
// left when nothing in it can reach the threshold, and its weight is bounded.

// enumeration is one walk over sets of faults.
type enumeration struct {
	m      *Model
	in     *instance
	order  []int     // candidate faults, in sweep order
	best   []float64 // by position: the most that later members can multiply a weight by
	sum    []float64 // by position: the most by which all later sets together can
	high   []float64 // by bit: upper bound of its factor where faults raise it; 0 where they lower it
	off    []float64 // by depth and bit: probability that the bit is off
	set    []int
	member setOf
	least  float64
	budget int
	out    func(set []int, weight float64)

	dropped float64
}

// walk calls out for the sets of at least one candidate whose weight may reach
// least, each with its weight relative to the empty set's prior. It returns a
// bound on the weight of the sets not visited that consist of candidates only.
func (in *instance) walk(m *Model, candidates []int, least float64, budget int, out func([]int, float64)) (dropped float64, left int) {
	n, k := len(candidates), len(in.bits)
	floats := make([]float64, 2*(n+1)+k+(n+1)*k)
	e := enumeration{m: m, in: in, order: candidates, least: least, budget: budget, out: out, set: make([]int, 0, n)}
	e.best, floats = floats[:n+1], floats[n+1:]
	e.sum, floats = floats[:n+1], floats[n+1:]
	e.high, e.off = floats[:k], floats[k:]
	e.best[n], e.sum[n] = 1, 1
	for j, b := range in.bits {
		e.off[j] = 1 - b.leak
		e.high[j] = 1 - b.leak
	}
	for t := n - 1; t >= 0; t-- {
		i := candidates[t]
		all := 1 - in.pi[i]
		for _, c := range m.parents[i] {
			all *= 1 - c.p
		}
		odds := (1 - all) / all * in.on[i] / in.off[i]
		e.best[t] = e.best[t+1] * max(1, odds)
		e.sum[t] = e.sum[t+1] * (1 + odds)
		for _, l := range in.pulls[i] {
			e.high[l.bit] *= 1 - l.q
		}
	}
	for j, b := range in.bits {
		if b.w1 > b.w0 {
			e.high[j] = b.w1 + (b.w0-b.w1)*e.high[j]
		} else {
			e.high[j] = 0
		}
	}
	e.grow(0, 1, 0)
	return e.dropped, e.budget
}

// grow tries every candidate from position t on as the next member of the set,
// whose weight without the bits is w. depth is the size of the set.
func (e *enumeration) grow(t int, w float64, depth int) {
	in, k := e.in, len(e.in.bits)
	off, next := e.off[depth*k:(depth+1)*k], []float64(nil)
	if depth < len(e.order) {
		next = e.off[(depth+1)*k : (depth+2)*k]
	}
	bound := 1.0 // on the factor of the bits of any set grown from this one
	for j, b := range in.bits {
		bound *= max(e.high[j], b.w1+(b.w0-b.w1)*off[j])
	}
	for ; t < len(e.order); t++ {
		i := e.order[t]
		free := 1 - in.pi[i]
		for _, c := range e.m.parents[i] {
			if e.member.has(c.fault) {
				free *= 1 - c.p
			}
		}
		with := w * (1 - free) / free * in.on[i] / in.off[i]
		if with == 0 {
			continue
		}
		for _, c := range e.m.children[i] {
			with *= 1 - c.p // the effect stays away; undone when it joins
		}
		// The bounds hold with that factor in: an effect that joins later brings
		// odds no larger than those with all its causes present.
		if with*e.best[t+1]*bound < e.least || e.budget <= 0 {
			e.dropped += with * e.sum[t+1] * bound
			continue
		}
		e.budget--
		copy(next, off)
		for _, l := range in.pulls[i] {
			next[l.bit] *= 1 - l.q
		}
		value := with
		for j, b := range in.bits {
			value *= b.w1 + (b.w0-b.w1)*next[j]
		}
		e.set = append(e.set, i)
		old := e.member
		e.member = e.member.with(i)
		e.out(e.set, value)
		e.grow(t+1, with, depth+1)
		e.member = old
		e.set = e.set[:len(e.set)-1]
	}
}

// empty returns the weights of no fault at all: prior and folded findings, as
// the unit of walk, in logs, and the factor of the bits.
func (in *instance) empty() (logUnit, bits float64) {
	for i, p := range in.pi {
		logUnit += math.Log1p(-p) + math.Log(in.off[i])
	}
	bits = 1
	for _, b := range in.bits {
		bits *= b.w1 + (b.w0-b.w1)*(1-b.leak)
	}
	return logUnit, bits
}

// approximateBudget bounds the sets that approximate visits per round.
const approximateBudget = 1 << 16

// approximate fills the posterior from sets of faults. It lowers the threshold
// until the weight left out is below a millionth or the budget is spent.
func (p *Posterior) approximate(budget int) error {
	m, in := p.model, p.in
	order := m.order
	logUnit, none := in.empty()
	everything, _ := in.walk(m, order, math.Inf(1), 0, nil)
	total := 0.0
	round := func(least float64) (bound float64, exhausted bool) {
		clear(p.Faults)
		clear(p.main)
		clear(p.need)
		total = 0
		if m.opts.AllowNone {
			total = none
		}
		dropped, left := in.walk(m, order, least, budget, func(set []int, w float64) {
			total += w
			var main, need setOf
			for _, i := range set {
				p.Faults[i] += w
				f := &m.family.Faults[i]
				main, need = main.with(f.Part), need.with(f.Part)
				for _, a := range f.AlsoParts {
					need = need.with(a)
				}
			}
			for part := range p.main {
				if main.has(part) {
					p.main[part] += w
				}
				if need.has(part) {
					p.need[part] += w
				}
			}
		})
		return dropped / (total + dropped), left <= 0
	}
	if everything == 0 && !(m.opts.AllowNone && none > 0) {
		return ErrImpossible
	}
	least := everything * 1e-2
	p.Bound = 1
	for p.Bound > 1e-6 {
		bound, exhausted := round(least)
		if exhausted && bound > p.Bound { // a spent budget cuts blindly: the round before was better
			p.Bound, _ = round(least * 10)
			break
		}
		p.Bound = bound
		if exhausted || least < everything*1e-30 {
			break
		}
		least /= 10
	}
	if !(total > 0) {
		return fmt.Errorf("%w within %d sets of faults", ErrImpossible, budget)
	}
	for i := range p.Faults {
		p.Faults[i] = min(p.Faults[i]/total, 1)
	}
	for i := range p.main {
		p.main[i], p.need[i] = min(p.main[i]/total, 1), min(p.need[i]/total, 1)
	}
	p.Method = Bounded
	p.logMass = logUnit + math.Log(total)
	return nil
}
