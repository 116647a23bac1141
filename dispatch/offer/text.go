package offer

import (
	"fmt"
	"math"
	"time"

	"onevisit/dispatch/job"
)

// maxBecause bounds how many passed-over technicians are explained by name.
const maxBecause = 4

func name(n job.Need) string {
	s := n.PartKind
	if n.Mark != "" {
		s += " " + n.Mark
	}
	if n.Quantity > 1 {
		s = fmt.Sprintf("%d × %s", n.Quantity, s)
	}
	return s
}

// clock is what a person is told: the time, and the day unless it is today.
func (c *chooser) clock(t time.Time) string {
	t = t.In(c.r.Now.Location())
	if nights(c.r.Now, t, c.r.Now.Location()) == 0 {
		return t.Format("15:04")
	}
	return t.Format("2006-01-02 15:04")
}

func (c *chooser) candidate(l look) job.Candidate {
	k := job.Candidate{TechnicianID: l.t.ID, Reason: string(l.reason), Text: c.text(l)}
	if !math.IsNaN(l.km) {
		k.Kilometres = l.km
	}
	if l.best != nil {
		k.Cost, k.Chance, k.Kilometres, k.Arrive = l.best.cost.Total(), l.best.chance, max(l.best.in.Kilometres, 0), l.best.in.Arrive
	}
	return k
}

// text says the reason for a person. It names no customer.
func (c *chooser) text(l look) string {
	if l.best != nil {
		s := fmt.Sprintf("adds %.1f km, arrives %s, finishes %s", max(l.best.in.Kilometres, 0), c.clock(l.best.in.Arrive), c.clock(l.best.in.Finish))
		if l.best.warehouse != nil {
			s += ", through warehouse " + l.best.warehouse.ID
		}
		if !c.r.Job.Requirement.Certain && len(c.r.Job.Requirement.Outcomes) > 0 {
			s += fmt.Sprintf(", ends it in one visit with %.0f %%", 100*l.best.chance)
		}
		return s
	}
	s := ""
	switch l.reason {
	case SkillMissing:
		s = "does not hold the skill or licence " + l.detail
		if l.detail == "" {
			s = "licence runs out before the visit would end"
		}
	case ToolMissing:
		s = "has no " + l.detail
	case PartMissing:
		s = "does not carry enough of " + l.detail
	case PartReserved:
		s = "the part is promised to, or held for, another job: " + l.detail
	case RatingMismatch:
		s = "carries the part with a rating that must not replace " + l.detail
	case RatingUnknown:
		s = "carries the part, but nobody could tell whether it may replace " + l.detail
	case WindowMissed:
		s = "cannot begin in the time the customer accepts"
	case ShiftTooShort:
		s = "would finish after the end of the shift"
	case WarehouseClosed:
		s = "would find the warehouse closed"
	case OffShift:
		s = "has no shift left for it"
	case PromiseBroken:
		s = "would break a promise to another customer"
	case PositionUnknown:
		s = "has reported no position"
	case VisitNotNeeded:
		s = "no visit needed yet"
	default:
		s = string(l.reason)
	}
	if l.detail == "through the warehouse" {
		s += " going through the warehouse"
	}
	if !math.IsNaN(l.km) {
		s += fmt.Sprintf(" (%.1f km away)", l.km)
	}
	return s
}

// becauseChosen explains the choice, and those nearer who were passed over.
func (c *chooser) becauseChosen(looks []look, ks []job.Candidate) []string {
	first := looks[0]
	out := []string{fmt.Sprintf("%s goes: %s.", first.t.ID, ks[0].Text)}
	if first.best.warehouse != nil && c.r.Job.Requirement.Certain {
		out = append(out, "No technician who could go has every part on the van.")
	}
	more := 0
	for i, l := range looks[1:] {
		if l.best == nil && !(l.km < first.km) {
			continue // farther and unable: no question about those
		}
		if l.best != nil && l.reason == Farther && i > 0 {
			continue // one farther one is example enough
		}
		if len(out) > maxBecause {
			more++
			continue
		}
		out = append(out, fmt.Sprintf("%s: %s.", l.t.ID, ks[i+1].Text))
	}
	if more > 0 {
		out = append(out, fmt.Sprintf("%d more are in the list of candidates.", more))
	}
	if c.h != nil {
		out = append(out, "Parts that open urgent jobs need were left for them.")
	}
	return out
}

// becauseNobody explains why nobody goes.
func (c *chooser) becauseNobody(d Decision, looks []look) []string {
	var out []string
	switch d.Action {
	case job.ActionEscalate:
		out = append(out, "Nobody here holds every skill and tool the job takes; a person must decide, and nobody unlicensed is sent.")
	case job.ActionOrderPart:
		out = append(out, "Nobody able to do the job can get every part from a van or a warehouse; order it, then book.")
	case job.ActionBookLater:
		out = append(out, "The parts are there, but nobody who may use them can come in the time asked for.")
		if d.Assignment != nil {
			out = append(out, fmt.Sprintf("Soonest otherwise: %s at %s.", d.Assignment.TechnicianID, c.clock(d.Assignment.Arrive)))
		}
	}
	for i, l := range looks {
		if i >= maxBecause {
			out = append(out, fmt.Sprintf("%d more are in the list of candidates.", len(looks)-i))
			break
		}
		out = append(out, fmt.Sprintf("%s: %s.", l.t.ID, c.text(l)))
	}
	if d.NeedsPerson && c.r.Job.Urgent() {
		out = append(out, "The job is urgent: a person must look for another way now.")
	}
	return out
}
