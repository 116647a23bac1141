package belief

import (
	"fmt"
	"math"
	"slices"
)

// The sweep. Go through the faults one by one and keep, for every set of
// findings that are on (set by a leak or by a fault passed already), the
// probability of that set. A present fault turns findings on; they never go off.
// When the last fault that can cause a finding is passed, its two values are
// weighed with the evidence and summed. Going back with those weights gives
// every fault's share. A causing fault is kept beside the findings until its
// last effect is passed.
//
// It is the noisy-OR sum of Quickscore (Heckerman 1989) without its alternating
// signs, so the result keeps its digits when the evidence is improbable, where
// inclusion and exclusion loses all of them; and by letting go of findings it
// needs 2 to the number in play, not to the number heard.

// turnOn moves, in a vector, the share q of what is without the variable to
// what is with it.
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

func dot(x, y []float64) (sum float64) {
	y = y[:len(x)]
	for i, v := range x {
		sum += v * y[i]
	}
	return sum
}

// prior returns the probability of the fault of a step at an index of the
// vector, which says which of its causes are present.
func (in *instance) prior(s *step, index int) float64 {
	free := 1 - in.pi[s.fault]
	for _, c := range s.parents {
		if index>>c.place&1 == 1 {
			free *= 1 - c.p
		}
	}
	return 1 - free
}

// forward writes to out the vector after a step, from x before it, and returns
// its length. With absent set, the fault is held to be absent.
func (in *instance) forward(out, x, tmp []float64, s *step, absent bool) int {
	n := copy(out, x)
	for _, j := range s.enter {
		leak := in.bits[j].leak
		lo, hi := out[:n], out[n:2*n]
		for i, v := range lo {
			hi[i] = leak * v
			lo[i] = (1 - leak) * v
		}
		n *= 2
	}
	to := out[:n]
	on, off := in.on[s.fault], in.off[s.fault]
	moved := tmp[:n]
	if s.causes {
		moved = out[n : 2*n]
	}
	if len(s.parents) == 0 {
		p := in.pi[s.fault]
		with, without := p*on, (1-p)*off
		for i, v := range to {
			moved[i] = with * v
			to[i] = without * v
		}
	} else {
		for i, v := range to {
			p := in.prior(s, i)
			moved[i] = p * on * v
			to[i] = (1 - p) * off * v
		}
	}
	switch {
	case !absent:
		for _, l := range s.pulls {
			turnOn(moved, l)
		}
		if !s.causes {
			for i, v := range moved {
				to[i] += v
			}
		}
	case s.causes:
		clear(moved)
	}
	if s.causes {
		n *= 2
	}
	for _, l := range s.leave {
		n /= 2
		low := 1<<l.place - 1
		for r := range n {
			a := r&^low<<1 | r&low
			out[r] = l.w0*out[a] + l.w1*out[a|1<<l.place]
		}
	}
	return n
}

// backward turns y, of length n after a step, into the vector before it, and
// leaves in z the part that goes through the fault being present. It returns
// the length of both.
func (in *instance) backward(y, z []float64, n int, s *step) int {
	for _, l := range slices.Backward(s.leave) {
		low := 1<<l.place - 1
		for r := n - 1; r >= 0; r-- { // downwards: an entry moves up or stays
			a, v := r&^low<<1|r&low, y[r]
			y[a|1<<l.place] = l.w1 * v
			y[a] = l.w0 * v
		}
		n *= 2
	}
	if s.causes {
		n /= 2
		copy(z[:n], y[n:2*n])
	} else {
		copy(z[:n], y[:n])
	}
	present, both := z[:n], y[:n]
	for _, l := range s.pulls {
		turnOnBack(present, l)
	}
	on, off := in.on[s.fault], in.off[s.fault]
	if len(s.parents) == 0 {
		p := in.pi[s.fault]
		with, without := p*on, (1-p)*off
		for i, v := range present {
			present[i] = with * v
			both[i] = without*both[i] + present[i]
		}
	} else {
		for i, v := range present {
			p := in.prior(s, i)
			present[i] = p * on * v
			both[i] = (1-p)*off*both[i] + present[i]
		}
	}
	for _, j := range slices.Backward(s.enter) {
		leak := in.bits[j].leak
		n /= 2
		for i := range n {
			z[i] = (1-leak)*z[i] + leak*z[n+i]
			y[i] = (1-leak)*y[i] + leak*y[n+i]
		}
	}
	return n
}

// onlyLeaks fills x with the vector before a step while no fault is present,
// scaled.
func (in *instance) onlyLeaks(x []float64, s *step, scale float64) {
	x[0] = scale
	for place, j := range s.before {
		half := 1 << place
		leak := 0.0 // a causing fault, absent
		if j >= 0 {
			leak = in.bits[j].leak
		}
		for i := range half {
			x[i+half] = x[i] * leak
			x[i] *= 1 - leak
		}
	}
}

// rest fills in the faults outside the sweep, which are independent given the
// evidence. It returns the probability that any of them is present, and the
// logarithm of their weight.
func (p *Posterior) rest(a *arena) (someone, log float64, err error) {
	in := p.in
	none := 1.0
	for i := range p.Faults {
		if a.at[i] >= 0 {
			continue
		}
		present, absent := in.pi[i]*in.on[i], (1-in.pi[i])*in.off[i]
		sum := present + absent
		if sum == 0 {
			return 0, 0, fmt.Errorf("%w: of %s", ErrImpossible, p.model.family.Faults[i].Code)
		}
		p.Faults[i] = present / sum
		log += math.Log(sum)
		someone += none * p.Faults[i]
		none *= absent / sum
	}
	return someone, log, nil
}

// sweep fills the posterior exactly, along the route laid out in a.
func (p *Posterior) sweep(a *arena) error {
	in := p.in
	someoneElse, logRest, err := p.rest(a)
	if err != nil {
		return err
	}
	width := 1 << a.widest
	if need := a.total + 5*width; cap(a.floats) < need {
		a.floats = make([]float64, need)
	}
	free := a.floats[:cap(a.floats)]
	take := func(n int) (part []float64) { part, free = free[:n:n], free[n:]; return part }
	y, z, tmp := take(width), take(width), take(width)
	spare := [2][]float64{take(width), take(width)}
	vectors := free[:a.total]

	// none is the weight of no swept fault, and of the findings let go by then:
	// by it the weight of "at least one" is a sum of positive terms, each for
	// the first fault present, and not a difference.
	nones := make([]float64, len(a.steps)+1)
	nones[0] = 1
	if len(a.steps) > 0 {
		vectors[0] = 1
	}
	for t := range a.steps {
		s := &a.steps[t]
		x := vectors[a.start[t]:][:1<<s.live]
		if t+1 < len(a.steps) {
			n := in.forward(spare[0], x, tmp, s, false)
			copy(vectors[a.start[t+1]:], spare[0][:n])
		}
		nones[t+1] = nones[t] * (1 - in.pi[s.fault]) * in.off[s.fault]
		for _, l := range s.leave {
			if j := s.variable(l.place); j >= 0 {
				b := in.bits[j]
				nones[t+1] *= b.w1 + (b.w0-b.w1)*(1-b.leak)
			}
		}
	}
	noneWeight := nones[len(a.steps)]
	anyWeight := 0.0
	y[0] = 1
	n := 1
	for t := len(a.steps) - 1; t >= 0; t-- {
		s := &a.steps[t]
		p.unions(a, t, vectors, y[:n], spare, tmp)
		n = in.backward(y, z, n, s)
		p.Faults[s.fault] = dot(vectors[a.start[t]:][:n], z)
		in.onlyLeaks(tmp, s, nones[t])
		anyWeight += dot(tmp[:n], z)
	}
	all := y[0]
	given := all // weight of everything in accord with the evidence and the condition
	if !p.model.opts.AllowNone {
		given = anyWeight + noneWeight*someoneElse
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

// variable returns the bit at a place within a step, before any leaves; -1 for
// a causing fault.
func (s *step) variable(place int) int {
	switch {
	case place < s.live:
		return s.before[place]
	case place < s.live+len(s.enter):
		return s.enter[place-s.live]
	default:
		return -1
	}
}
