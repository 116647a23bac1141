package offer

import (
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

// Request is everything a choice depends on. Choose neither keeps nor changes
// any of it.
type Request struct {
	Job         job.Job
	Technicians []fleet.Technician
	Warehouses  []fleet.Warehouse
	// OpenUrgent are the urgent jobs nobody is sent to yet (job.Snapshot.Urgent).
	// The job itself may be among them and is then left out.
	OpenUrgent []job.Job
	// Fits says what stock may serve a need where the marks differ. Nil means
	// nobody can tell, and then only equal marks serve.
	Fits   Fits
	Travel travel.Model
	Costs  Costs
	// Now is the moment of choosing, in the local zone of the region: its
	// location says where one day ends and the next begins.
	Now time.Time
	// PhoneFix is triage's advice when it is likelier than not to settle the call
	// without a visit; empty otherwise. It does not count for a job for which a
	// person has named parts.
	PhoneFix string
}

// Verdict is what is known of one stock mark serving one needed mark.
type Verdict int

const (
	// Unknown: not asked, no answer, or not decidable from what is known. The
	// part is then not used: a wrong part costs a visit, or worse.
	Unknown Verdict = iota
	// Serves: fits, or fits with conditions a technician can meet.
	Serves
	// DoesNot serve.
	DoesNot
)

// Fits is the port to the part rules. Implementations must give the same
// answer to the same pair during one Choose.
type Fits interface {
	Verdict(Pair) Verdict
}

// Pair is a question to the part rules: may a part marked Stock replace one
// marked Need? Both marks are as printed and not empty.
type Pair struct {
	PartKind, Need, Stock string
}

// Table is a Fits from answers fetched beforehand; see Pairs. Missing pairs are
// Unknown.
type Table map[Pair]Verdict

// Verdict looks the pair up.
func (t Table) Verdict(p Pair) Verdict { return t[p] }

// Decision is what Choose decided.
type Decision struct {
	Action job.Action
	// Assignment is set when Action is assign. When it is book later it is the
	// earliest proposal outside the time asked for, if one is known; it is then
	// not booked.
	Assignment *job.Assignment
	// Day is the technician's day with the new stop, when Action is assign.
	Day []fleet.Stop
	// Candidates are all technicians: the chosen one first, then the able ones by
	// cost, then the rest by id.
	Candidates []job.Candidate
	// Because tells a dispatcher why, in sentences, without customer data.
	Because []string
	// NeedsPerson is true when a person must look before anything else happens.
	NeedsPerson bool
	// Advice is PhoneFix when Action is phone fix.
	Advice string
}

// Reason is why a candidate was chosen or not.
type Reason string

const (
	// Chosen: this one goes.
	Chosen Reason = "chosen"
	// Farther: able, but adds more road than the one chosen.
	Farther Reason = "farther"
	// Costlier: able and no farther, but later or with fewer of the parts.
	Costlier Reason = "costlier"
	// SkillMissing: a skill or licence is not held, or runs out before the end.
	SkillMissing Reason = "skill_missing"
	// ToolMissing: a tool is not on the van.
	ToolMissing Reason = "tool_missing"
	// PartMissing: a needed kind is not on the van at all.
	PartMissing Reason = "part_missing"
	// PartReserved: it is on the van, but promised to, or held for, another job.
	PartReserved Reason = "part_reserved"
	// RatingMismatch: the kind is on the van, but with a rating that must not
	// replace the one needed.
	RatingMismatch Reason = "rating_mismatch"
	// RatingUnknown: the kind is on the van, but whether it may replace could not
	// be told.
	RatingUnknown Reason = "rating_unknown"
	// WindowMissed: cannot begin within the time the customer accepts.
	WindowMissed Reason = "window_missed"
	// ShiftTooShort: would not finish before the shift ends.
	ShiftTooShort Reason = "shift_too_short"
	// WarehouseClosed: the part is at a warehouse that is shut when reached.
	WarehouseClosed Reason = "warehouse_closed"
	// OffShift: no shift is left to do it in.
	OffShift Reason = "off_shift"
	// PromiseBroken: would break another customer's window or delay an urgent
	// visit.
	PromiseBroken Reason = "promise_broken"
	// PositionUnknown: neither a position nor a base to start from.
	PositionUnknown Reason = "position_unknown"
	// VisitNotNeeded: the phone may settle it.
	VisitNotNeeded Reason = "visit_not_needed"
)

// Reasons returns every reason code, for those who must know them all.
func Reasons() []Reason {
	return []Reason{Chosen, Farther, Costlier, SkillMissing, ToolMissing, PartMissing, PartReserved,
		RatingMismatch, RatingUnknown, WindowMissed, ShiftTooShort, WarehouseClosed, OffShift, PromiseBroken,
		PositionUnknown, VisitNotNeeded}
}
