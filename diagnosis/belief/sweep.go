package belief

import (
	"fmt"
	"math"
	"slices"
)

// The sweep. Go through the faults one by one and keep, for every set S of bits
// that are on (set by a leak or by a fault passed already), the probability of
// S. A present fault turns each bit on that it pulls; bits never go off. At the
// end S is weighed with the evidence. Going back with those weights gives every
// fault's share. Causing faults not yet done with add a bit of their own.
//
// It is the noisy-OR sum of Quickscore (Heckerman 1989) without its alternating
// signs: the cost is k times larger, the result keeps its digits when the
// evidence is improbable, where inclusion and exclusion loses all of them.

// sweepLimit bounds the numbers held at once; beyond it sets are enumerated.
const sweepLimit = 1 << 20

// arena is reusable memory of sweeps.
type arena struct {
	floats []float64
	steps  []int
	at     []int // by fault: index in steps, -1 when not swept
	start  []int // by step: offset of its incoming vector in floats
}

// swept says whether a fault must take part in the sweep; the others are
// independent of everything given the evidence.
func (m *Model) swept(in *instance, i int) bool {
	return len(in.pulls[i]) > 0 || len(m.parents[i]) > 0 || len(m.children[i]) > 0
}

func (m *Model) sweepable(in *instance) bool {
	k := len(in.bits)
	if k > 20 {
		return false
	}
	total := 0
	for t := range m.order {
		if s := &m.order[t]; m.swept(in, s.fault) {
			if s.live > 20 {
				return false
			}
			total += 1 << (k + s.live)
		}
	}
	return total <= sweepLimit
}

// turnOn moves, in every vector over bit sets, the share q of the sets without
// the bit to those with it.
func turnOn(x []float64, p pull) {
	half := 1 << p.bit
	keep := 1 - p.q
	for b := 0; b < len(x); b += 2 * half {
		lo, hi := x[b:b+half:b+half], x[b+half:b+2*half]
		hi = hi[:len(lo)]
		for r, v := range lo {
			hi[r] += p.q * v
			lo[r] = keep * v
		}
	}
}

// turnOnBack is the transpose of turnOn.
func turnOnBack(y []float64, p pull) {
	half := 1 << p.bit
	keep := 1 - p.q
	for b := 0; b < len(y); b += 2 * half {
		lo, hi := y[b:b+half:b+half], y[b+half:b+2*half]
		hi = hi[:len(lo)]
		for r := range lo {
			lo[r] = keep*lo[r] + p.q*hi[r]
		}
	}
}

func dot(x, y []float64) float64 {
	y = y[:len(x)]
	var a, b float64
	i := 0
	for ; i+1 < len(x); i += 2 {
		a += x[i] * y[i]
		b += x[i+1] * y[i+1]
	}
	if i < len(x) {
		a += x[i] * y[i]
	}
	return a + b
}

// product fills out with the product over bits of a when off and b when on.
func (in *instance) product(out []float64, of func(bit) (off, on float64)) {
	out[0] = 1
	for j, b := range in.bits {
		off, on := of(b)
		half := 1 << j
		for s := range half {
			out[s+half] = out[s] * on
			out[s] *= off
		}
	}
}

// forward writes to out the vector after step s, from x before it, and returns
// its length. With absent set, the fault is held to be absent. out needs room
// for twice x; tmp for one block.
func (in *instance) forward(out, x, tmp []float64, s *step, absent bool) int {
	size := 1 << len(in.bits)
	blocks := 1 << s.live
	on, off := in.on[s.fault], in.off[s.fault]
	for l := range blocks {
		from := x[l*size : (l+1)*size]
		to := out[l*size : (l+1)*size]
		p := in.prior(s, l)
		keep := (1 - p) * off
		for i, v := range from {
			to[i] = keep * v
		}
		if absent {
			if s.causes {
				clear(out[(blocks+l)*size : (blocks+l+1)*size])
			}
			continue
		}
		moved := tmp[:size]
		if s.causes {
			moved = out[(blocks+l)*size : (blocks+l+1)*size]
		}
		p *= on
		for i, v := range from {
			moved[i] = p * v
		}
		for _, l := range in.pulls[s.fault] {
			turnOn(moved, l)
		}
		if !s.causes {
			for i, v := range moved {
				to[i] += v
			}
		}
	}
	if s.causes {
		blocks *= 2
	}
	for _, slot := range s.drop {
		blocks /= 2
		for r := range blocks {
			a := r>>slot<<(slot+1) | r&(1<<slot-1)
			b := a | 1<<slot
			for i := range size {
				out[r*size+i] = out[a*size+i] + out[b*size+i]
			}
		}
	}
	return blocks * size
}

// undrop brings back, as equal halves, the slots that the step dropped.
func undrop(y []float64, s *step, size int) {
	blocks := 1 << s.live
	if s.causes {
		blocks *= 2
	}
	blocks >>= len(s.drop)
	for _, slot := range slices.Backward(s.drop) {
		for r := blocks - 1; r >= 0; r-- { // downwards: a block moves up or stays
			a := r>>slot<<(slot+1) | r&(1<<slot-1)
			b := a | 1<<slot
			copy(y[b*size:(b+1)*size], y[r*size:(r+1)*size])
			copy(y[a*size:(a+1)*size], y[r*size:(r+1)*size])
		}
		blocks *= 2
	}
}

func (a *arena) resize(faults, floats int) {
	if cap(a.floats) < floats {
		a.floats = make([]float64, floats)
	}
	a.floats = a.floats[:floats]
	if cap(a.at) < faults {
		a.at = make([]int, faults)
		a.start = make([]int, faults)
		a.steps = make([]int, faults)
	}
	a.at, a.steps, a.start = a.at[:faults], a.steps[:0], a.start[:0]
}

// sweep fills the posterior exactly.
func (p *Posterior) sweep() error {
	m, in := p.model, p.in
	size := 1 << len(in.bits)
	a := m.scratch.Get().(*arena)
	defer m.scratch.Put(a)

	// Faults outside the sweep, given the evidence: independent.
	total, widest := 0, 1
	restAny, restNone, logRest := 0.0, 1.0, 0.0
	for t := range m.order {
		s := &m.order[t]
		i := s.fault
		if m.swept(in, i) {
			total += size << s.live
			widest = max(widest, 2<<s.live)
			continue
		}
		present, absent := in.pi[i]*in.on[i], (1-in.pi[i])*in.off[i]
		sum := present + absent
		if sum == 0 {
			return fmt.Errorf("%w: of %s", ErrImpossible, m.family.Faults[i].Code)
		}
		p.Faults[i] = present / sum
		logRest += math.Log(sum)
		restAny += restNone * p.Faults[i]
		restNone *= absent / sum
	}
	a.resize(len(m.order), max(total, size)+(3*widest+2)*size)
	free := a.floats
	take := func(n int) (part []float64) { part, free = free[:n], free[n:]; return part }
	tmp, weigh := take(size), take(size)
	y, spare := take(widest*size), [2][]float64{take(widest * size), take(widest * size)}
	vectors := free

	// Forward. The vector after the last step is needed only as its sum.
	at := 0
	x := vectors[:size]
	in.product(x, func(b bit) (float64, float64) { return 1 - b.leak, b.leak })
	in.product(weigh, func(b bit) (float64, float64) { return b.w0, b.w1 })
	for t := range m.order {
		s := &m.order[t]
		a.at[s.fault] = -1
		if !m.swept(in, s.fault) {
			continue
		}
		if len(a.steps) > 0 { // the result of the step before
			at += len(x)
			n := in.forward(spare[0], x, tmp, &m.order[a.steps[len(a.steps)-1]], false)
			x = vectors[at : at+n]
			copy(x, spare[0])
		}
		a.at[s.fault] = len(a.steps)
		a.steps = append(a.steps, t)
		a.start = append(a.start, at)
	}
	leaks := vectors[:size]
	copy(y, weigh)

	// none is the weight of "no swept fault so far, going forward": by that the
	// weight of "at least one" is a sum of positive terms, each for the first
	// fault present, and not a difference.
	none := 1.0
	for _, t := range a.steps {
		i := m.order[t].fault
		none *= (1 - in.pi[i]) * in.off[i]
	}
	noneWeight := none * dot(leaks, weigh)
	anyWeight := 0.0
	for step := len(a.steps) - 1; step >= 0; step-- {
		s := &m.order[a.steps[step]]
		i := s.fault
		p.unions(a, step, vectors, y, spare, tmp)
		undrop(y, s, size)
		before := 1.0
		for _, t := range a.steps[:step] {
			j := m.order[t].fault
			before *= (1 - in.pi[j]) * in.off[j]
		}
		blocks := 1 << s.live
		sum := 0.0
		for l := range blocks {
			from := vectors[a.start[step]+l*size:][:size]
			absent := y[l*size:][:size]
			present := tmp[:size]
			if s.causes {
				copy(present, y[(blocks+l)*size:][:size])
			} else {
				copy(present, absent)
			}
			for _, q := range in.pulls[i] {
				turnOnBack(present, q)
			}
			prior := in.prior(s, l)
			on, off := prior*in.on[i], (1-prior)*in.off[i]
			sum += on * dot(from, present)
			if l == 0 {
				anyWeight += before * on * dot(leaks, present)
			}
			for r := range absent {
				absent[r] = off*absent[r] + on*present[r]
			}
		}
		p.Faults[i] = sum
	}
	all := dot(leaks, y[:size])
	given := all // weight of everything in accord with the evidence and the condition
	if !m.opts.AllowNone {
		given = anyWeight + noneWeight*restAny
	}
	if !(given > 0) {
		return ErrImpossible
	}
	for i := range p.Faults {
		if a.at[i] < 0 {
			p.Faults[i] *= all
		}
		p.Faults[i] = min(p.Faults[i]/given, 1)
	}
	p.finishUnions(a, all, given)
	p.Method = Exact
	p.logMass = math.Log(given) + logRest
	return nil
}
