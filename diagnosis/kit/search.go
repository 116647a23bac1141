package kit

import (
	"fmt"
	"slices"
)

// searchLimit bounds the branches of one search. Twenty candidate parts never
// need as many.
const searchLimit = 1 << 22

// search is a depth-first branch and bound over parts: in or out, one by one.
type search struct {
	*state
	order []int  // undecided parts, most promising first
	share []Cost // scratch of bound
	left  int    // branches
	best  []bool // parts of the best plan found
	worth Cost   // its Return·Complete - Carry
	cheap Cost   // Reach: its carry
}

func newSearch(p Problem) *search {
	s := &search{state: settle(p, false), left: searchLimit}
	needed := make([]float64, len(p.Carry))
	for i, o := range p.Outcomes {
		for _, part := range o.Parts {
			if !s.dead[i] && s.undecided(part) {
				needed[part] += o.P
			}
		}
	}
	for part := range p.Carry {
		if s.undecided(part) {
			s.order = append(s.order, part)
		}
	}
	slices.SortStableFunc(s.order, func(a, b int) int {
		switch {
		case needed[a] > needed[b]:
			return -1
		case needed[a] < needed[b]:
			return 1
		default:
			return 0
		}
	})
	s.share = make([]Cost, len(p.Carry))
	s.best = make([]bool, len(p.Carry))
	return s
}

// BestWithin is [Best] with at most slots parts (at least 0). Branch and bound:
// exact, with Proven set, for twenty parts that may pay and usually for many
// more; otherwise the best plan found. Errors wrap [ErrProblem].
func BestWithin(p Problem, slots int) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, err
	}
	if slots < 0 {
		return Plan{}, fmt.Errorf("%w: %d slots", ErrProblem, slots)
	}
	s := newSearch(p)
	s.worth = s.now()
	s.within(0, slots)
	plan := p.plan(s.best)
	plan.Proven = s.left > 0
	return plan, nil
}

// now is the worth of what is carried: Return·Complete - Carry.
func (s *search) now() Cost {
	var w Cost
	for i, o := range s.p.Outcomes {
		if !s.dead[i] && s.missing[i] == 0 {
			w += s.p.Return * Cost(o.P)
		}
	}
	for part, yes := range s.carried {
		if yes {
			w -= s.p.Carry[part]
		}
	}
	return w
}

// bound returns the most that up to slots further parts can be worth. Every
// outcome still open splits its worth evenly over what it lacks, which is no
// less than what those parts together earn.
func (s *search) bound(slots int) Cost {
	clear(s.share)
	for i, o := range s.p.Outcomes {
		if m := s.missing[i]; !s.dead[i] && m > 0 && m <= slots {
			each := s.p.Return * Cost(o.P/float64(m))
			for _, part := range o.Parts {
				if s.undecided(part) {
					s.share[part] += each
				}
			}
		}
	}
	var gains [64]Cost
	top := gains[:0]
	for _, part := range s.order {
		if s.undecided(part) && s.share[part] > s.p.Carry[part] {
			top = append(top, s.share[part]-s.p.Carry[part])
		}
	}
	slices.Sort(top)
	var sum Cost
	for k := range min(slots, len(top)) {
		sum += top[len(top)-1-k]
	}
	return sum
}

// add and drop decide a part and return how to undo it.
func (s *search) add(part int) {
	s.carried[part] = true
	for i, o := range s.p.Outcomes {
		if slices.Contains(o.Parts, part) {
			s.missing[i]--
		}
	}
}

func (s *search) remove(part int) {
	s.carried[part] = false
	for i, o := range s.p.Outcomes {
		if slices.Contains(o.Parts, part) {
			s.missing[i]++
		}
	}
}

// refuse marks a part as left at home and returns the outcomes that died.
func (s *search) refuse(part int) (died []int) {
	s.out[part] = true
	for i, o := range s.p.Outcomes {
		if !s.dead[i] && slices.Contains(o.Parts, part) {
			s.dead[i] = true
			died = append(died, i)
		}
	}
	return died
}

func (s *search) restore(part int, died []int) {
	s.out[part] = false
	for _, i := range died {
		s.dead[i] = false
	}
}

// tiny keeps a plan from being replaced by one that is better by rounding only.
const tiny = 1e-9

func (s *search) within(k, slots int) {
	if s.left--; s.left <= 0 {
		return
	}
	now := s.now()
	if now > s.worth+tiny {
		s.worth = now
		copy(s.best, s.carried)
	}
	if k == len(s.order) || slots == 0 || now+s.bound(slots) <= s.worth+tiny {
		return
	}
	part := s.order[k]
	s.add(part)
	s.within(k+1, slots-1)
	s.remove(part)
	died := s.refuse(part)
	s.within(k+1, slots)
	s.restore(part, died)
}

// Reach returns the plan with the least Carry that is complete with probability
// target at least. When even all parts do not reach it, the error wraps
// [ErrProblem]. Search and Proven as in [BestWithin].
func Reach(p Problem, target float64) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, err
	}
	// A part pays however dear when the target needs it, so none settles.
	free := p
	free.Return = 1
	free.Carry = make([]Cost, len(p.Carry))
	s := newSearch(free)
	s.p = p
	all := slices.Clone(s.carried)
	for _, part := range s.order {
		all[part] = true
	}
	top := p.plan(all)
	if top.Complete < target-tiny {
		return Plan{}, fmt.Errorf("%w: at most %v complete, %v wanted", ErrProblem, top.Complete, target)
	}
	copy(s.best, all)
	s.cheap = top.Carry
	s.reach(0, 0, target)
	plan := p.plan(s.best)
	plan.Proven = s.left > 0
	return plan, nil
}

func (s *search) reach(k int, carry Cost, target float64) {
	if s.left--; s.left <= 0 {
		return
	}
	complete, possible := 0.0, 0.0
	for i, o := range s.p.Outcomes {
		if !s.dead[i] {
			possible += o.P
			if s.missing[i] == 0 {
				complete += o.P
			}
		}
	}
	if possible < target-tiny || carry >= s.cheap-tiny && complete < target-tiny {
		return
	}
	if complete >= target-tiny {
		if carry < s.cheap-tiny {
			s.cheap = carry
			copy(s.best, s.carried)
		}
		return
	}
	if k == len(s.order) {
		return
	}
	part := s.order[k]
	s.add(part)
	s.reach(k+1, carry+s.p.Carry[part], target)
	s.remove(part)
	died := s.refuse(part)
	s.reach(k+1, carry, target)
	s.restore(part, died)
}
