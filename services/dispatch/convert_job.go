package dispatch

import (
	"fmt"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/durationpb"

	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
)

var states = map[job.State]dispatchv1.JobState{
	job.Created:   dispatchv1.JobState_JOB_STATE_WAITING, // nothing decided yet: it waits
	job.Waiting:   dispatchv1.JobState_JOB_STATE_WAITING,
	job.Assigned:  dispatchv1.JobState_JOB_STATE_ASSIGNED,
	job.UnderWay:  dispatchv1.JobState_JOB_STATE_UNDER_WAY,
	job.Done:      dispatchv1.JobState_JOB_STATE_DONE,
	job.Cancelled: dispatchv1.JobState_JOB_STATE_CANCELLED,
}

var actions = map[job.Action]dispatchv1.Action{
	job.ActionNone:      dispatchv1.Action_ACTION_UNSPECIFIED,
	job.ActionAssign:    dispatchv1.Action_ACTION_ASSIGN,
	job.ActionBookLater: dispatchv1.Action_ACTION_BOOK_LATER,
	job.ActionOrderPart: dispatchv1.Action_ACTION_ORDER_PART,
	job.ActionPhoneFix:  dispatchv1.Action_ACTION_PHONE_FIX,
	job.ActionEscalate:  dispatchv1.Action_ACTION_ESCALATE,
}

var reasons = map[offer.Reason]dispatchv1.CandidateReason{
	offer.Chosen:          dispatchv1.CandidateReason_CANDIDATE_REASON_CHOSEN,
	offer.Farther:         dispatchv1.CandidateReason_CANDIDATE_REASON_FARTHER,
	offer.Costlier:        dispatchv1.CandidateReason_CANDIDATE_REASON_COSTLIER,
	offer.SkillMissing:    dispatchv1.CandidateReason_CANDIDATE_REASON_SKILL_MISSING,
	offer.ToolMissing:     dispatchv1.CandidateReason_CANDIDATE_REASON_TOOL_MISSING,
	offer.PartMissing:     dispatchv1.CandidateReason_CANDIDATE_REASON_PART_MISSING,
	offer.PartReserved:    dispatchv1.CandidateReason_CANDIDATE_REASON_PART_RESERVED,
	offer.RatingMismatch:  dispatchv1.CandidateReason_CANDIDATE_REASON_RATING_MISMATCH,
	offer.RatingUnknown:   dispatchv1.CandidateReason_CANDIDATE_REASON_RATING_UNKNOWN,
	offer.WindowMissed:    dispatchv1.CandidateReason_CANDIDATE_REASON_WINDOW_MISSED,
	offer.ShiftTooShort:   dispatchv1.CandidateReason_CANDIDATE_REASON_SHIFT_TOO_SHORT,
	offer.OffShift:        dispatchv1.CandidateReason_CANDIDATE_REASON_OFF_SHIFT,
	offer.PromiseBroken:   dispatchv1.CandidateReason_CANDIDATE_REASON_PROMISE_BROKEN,
	offer.PositionUnknown: dispatchv1.CandidateReason_CANDIDATE_REASON_POSITION_UNKNOWN,
	offer.WarehouseClosed: dispatchv1.CandidateReason_CANDIDATE_REASON_WAREHOUSE_CLOSED,
	offer.VisitNotNeeded:  dispatchv1.CandidateReason_CANDIDATE_REASON_VISIT_NOT_NEEDED,
}

// The case of a job is a Job message with what dispatch itself does not read:
// the appliance as described, answers, the assessment and the quote. It is kept
// with the job as bytes; the rest of the message is filled from the record.

func packCase(c *dispatchv1.Job) ([]byte, error) {
	b, err := proto.MarshalOptions{Deterministic: true}.Marshal(c)
	if err != nil {
		return nil, fmt.Errorf("dispatch: pack case: %w", err)
	}
	return b, nil
}

func unpackCase(b []byte) (*dispatchv1.Job, error) {
	c := &dispatchv1.Job{}
	if err := proto.Unmarshal(b, c); err != nil {
		return nil, fmt.Errorf("%w: case: %w", job.ErrFormat, err)
	}
	return c, nil
}

func fromJob(j job.Job) (*dispatchv1.Job, error) {
	out, err := unpackCase(j.Case)
	if err != nil {
		return nil, err
	}
	out.Name = jobName(j.Region, j.ID)
	out.Place = &dispatchv1.Place{Location: fromPlace(j.Place), Label: string(j.Address)}
	out.CustomerWords = string(j.Words)
	out.CustomerReference = string(j.Customer)
	out.Window = fromWindow(j.Window)
	out.Priority = dispatchv1.Priority_PRIORITY_NORMAL
	if j.Urgent() {
		out.Priority = dispatchv1.Priority_PRIORITY_URGENT
	}
	out.WaitUntilTime = fromTime(j.WaitUntil)
	out.State, out.Action = states[j.State], actions[j.Action]
	out.Because, out.NeedsPerson, out.Degraded = j.Because, j.NeedsPerson, j.Degraded
	if j.Advice != "" {
		out.PhoneAdvice = j.Advice
	}
	out.CreateTime, out.Etag = fromTime(j.CreatedAt), etagOf(j.Version)
	for _, c := range j.Candidates {
		out.Candidates = append(out.Candidates, fromCandidate(j.Region, c))
	}
	if j.Assignment != nil {
		out.Assignment = fromAssignment(j.Region, *j.Assignment)
	}
	if r := j.Result; r != nil {
		out.Outcome = &dispatchv1.Outcome{Fault: r.Fault, Fixed: r.Fixed, CompleteTime: fromTime(r.At)}
		for _, u := range r.Used {
			n := int32(u.Quantity)
			out.Outcome.PartsUsed = append(out.Outcome.PartsUsed, &commonv1.PartNeed{PartKind: u.PartKind, Mark: u.Mark, Quantity: &n})
		}
	}
	return out, nil
}

func fromAssignment(region string, a job.Assignment) *dispatchv1.Assignment {
	return &dispatchv1.Assignment{
		Technician: technicianName(region, a.TechnicianID),
		ArriveTime: fromTime(a.Arrive), StartTime: fromTime(a.Start), FinishTime: fromTime(a.Finish),
		Warehouse: optional(warehouseName, region, a.WarehouseID),
		Parts:     fromReserved(region, a), FirstVisitProbability: a.Chance,
		DistanceKm: a.Kilometres, TravelDuration: durationpb.New(a.Drive),
		ExpectedCost: int64(a.Cost.Total()),
	}
}

func fromReserved(region string, a job.Assignment) []*dispatchv1.ReservedPart {
	var out []*dispatchv1.ReservedPart
	for _, r := range a.Reserved {
		holder := technicianName(region, a.TechnicianID)
		if r.WarehouseID != "" {
			holder = warehouseName(region, r.WarehouseID)
		}
		out = append(out, &dispatchv1.ReservedPart{Holder: holder, PartKind: r.PartKind, Mark: r.Mark, Quantity: int32(r.Quantity)})
	}
	return out
}

func fromCandidate(region string, c job.Candidate) *dispatchv1.Candidate {
	out := &dispatchv1.Candidate{
		Technician: technicianName(region, c.TechnicianID), Reason: reasons[offer.Reason(c.Reason)], Text: c.Text,
		DistanceKm: c.Kilometres, ArriveTime: fromTime(c.Arrive), FirstVisitProbability: c.Chance,
	}
	switch offer.Reason(c.Reason) {
	case offer.Chosen, offer.Farther, offer.Costlier:
		cost := int64(c.Cost)
		out.ExpectedCost = &cost
	}
	return out
}

func quantity(p *commonv1.PartNeed) int {
	if p.Quantity == nil {
		return 1
	}
	return int(p.GetQuantity())
}

func toNeed(p *commonv1.PartNeed, probability float64) job.Need {
	return job.Need{PartKind: p.GetPartKind(), Mark: p.GetMark(), Quantity: quantity(p), Probability: probability}
}

// explicit turns what a person decided into a certain requirement.
func explicit(r *dispatchv1.Requirement) job.Requirement {
	out := job.Requirement{Certain: true, Skills: r.GetSkills(), Tools: r.GetTools(), Duration: r.GetDuration().AsDuration()}
	for _, p := range r.GetParts() {
		out.Parts = append(out.Parts, toNeed(p, 1))
	}
	return out
}

// wholeMinutes rounds up: a visit is planned in whole minutes.
func wholeMinutes(d time.Duration) time.Duration {
	return (d + time.Minute - 1).Truncate(time.Minute)
}
