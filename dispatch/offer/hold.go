package offer

import (
	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

// hold keeps scarce parts for open urgent jobs: a normal job may take a part
// only if all free parts of the region can afterwards serve as many of the
// urgent jobs' needs as before.
//
// It counts parts, not who could fit them: a part on any van or shelf counts as
// able to serve, since parts can be handed over.
type hold struct {
	m      *matcher
	needs  []job.Need
	wanted map[string]bool // the kinds of needs
	pool   []shelf         // all free parts of the region, one shelf per kind and mark
	served int
	one    map[[2]string]bool // whether a single part may go
}

// newHold returns nil when nothing has to be held.
func newHold(m *matcher, r Request) *hold {
	if r.Job.Urgent() {
		return nil
	}
	h := &hold{m: m, wanted: map[string]bool{}, one: map[[2]string]bool{}}
	for _, j := range r.OpenUrgent {
		if j.ID == r.Job.ID {
			continue
		}
		for _, n := range j.Requirement.Parts {
			if j.Requirement.Certain || n.Probability >= r.Costs.HoldForUrgent {
				h.needs = append(h.needs, n)
				h.wanted[n.PartKind] = true
			}
		}
	}
	if len(h.needs) == 0 {
		return nil
	}
	at := map[[2]string]int{}
	add := func(stock fleet.Stock) {
		for _, s := range shelves(stock, "", h.wanted) {
			key := [2]string{s.partKind, s.mark}
			if i, ok := at[key]; ok {
				h.pool[i].free += s.free
				continue
			}
			at[key] = len(h.pool)
			h.pool = append(h.pool, s)
		}
	}
	for _, t := range r.Technicians {
		add(t.Stock)
	}
	for _, w := range r.Warehouses {
		add(w.Stock)
	}
	h.served = h.count(h.pool)
	return h
}

func (h *hold) count(pool []shelf) int {
	takes, _ := h.m.allocate(h.needs, pool, len(pool))
	n := 0
	for _, t := range takes {
		n += t.quantity
	}
	return n
}

// allows reports whether the job may take these parts.
func (h *hold) allows(takes []take, from []shelf) bool {
	if h == nil {
		return true
	}
	pool := append([]shelf(nil), h.pool...)
	for _, t := range takes {
		for i := range pool {
			if pool[i].partKind == from[t.shelf].partKind && pool[i].mark == from[t.shelf].mark {
				pool[i].free -= t.quantity
			}
		}
	}
	return h.count(pool) == h.served
}

// withhold returns the shelves with nothing free where not even a single part
// may go. What is left may still be too much together: see allows.
func (h *hold) withhold(from []shelf) []shelf {
	if h == nil {
		return from
	}
	out := append([]shelf(nil), from...)
	for i, s := range out {
		key := [2]string{s.partKind, s.mark}
		ok, known := h.one[key]
		if !known {
			ok = h.allows([]take{{quantity: 1}}, []shelf{s})
			h.one[key] = ok
		}
		if !ok {
			out[i].free = 0
		}
	}
	return out
}
