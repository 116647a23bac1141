package screen

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"onevisit/cmd/internal/page"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

var actions = map[dispatchv1.Action]string{
	dispatchv1.Action_ACTION_ASSIGN:     "somebody goes",
	dispatchv1.Action_ACTION_BOOK_LATER: "book another day: the parts are there, the time is not",
	dispatchv1.Action_ACTION_ORDER_PART: "order the part, then book",
	dispatchv1.Action_ACTION_PHONE_FIX:  "settle it on the phone, no visit",
	dispatchv1.Action_ACTION_ESCALATE:   "a person must decide",
}

var states = map[dispatchv1.JobState]string{
	dispatchv1.JobState_JOB_STATE_WAITING:   "waiting",
	dispatchv1.JobState_JOB_STATE_ASSIGNED:  "assigned",
	dispatchv1.JobState_JOB_STATE_UNDER_WAY: "under way",
	dispatchv1.JobState_JOB_STATE_DONE:      "done",
	dispatchv1.JobState_JOB_STATE_CANCELLED: "cancelled",
}

var reasons = map[dispatchv1.CandidateReason]string{
	dispatchv1.CandidateReason_CANDIDATE_REASON_CHOSEN:           "goes",
	dispatchv1.CandidateReason_CANDIDATE_REASON_FARTHER:          "farther",
	dispatchv1.CandidateReason_CANDIDATE_REASON_COSTLIER:         "costs more",
	dispatchv1.CandidateReason_CANDIDATE_REASON_SKILL_MISSING:    "skill missing",
	dispatchv1.CandidateReason_CANDIDATE_REASON_TOOL_MISSING:     "tool missing",
	dispatchv1.CandidateReason_CANDIDATE_REASON_PART_MISSING:     "part missing",
	dispatchv1.CandidateReason_CANDIDATE_REASON_RATING_MISMATCH:  "wrong rating",
	dispatchv1.CandidateReason_CANDIDATE_REASON_RATING_UNKNOWN:   "rating unsure",
	dispatchv1.CandidateReason_CANDIDATE_REASON_PART_RESERVED:    "part promised",
	dispatchv1.CandidateReason_CANDIDATE_REASON_WINDOW_MISSED:    "too late",
	dispatchv1.CandidateReason_CANDIDATE_REASON_SHIFT_TOO_SHORT:  "shift too short",
	dispatchv1.CandidateReason_CANDIDATE_REASON_OFF_SHIFT:        "off shift",
	dispatchv1.CandidateReason_CANDIDATE_REASON_PROMISE_BROKEN:   "promised away",
	dispatchv1.CandidateReason_CANDIDATE_REASON_POSITION_UNKNOWN: "place unknown",
	dispatchv1.CandidateReason_CANDIDATE_REASON_VISIT_NOT_NEEDED: "not needed",
}

// Job sets what became of a booking: who goes, when, with what, at what price,
// and why not the others. Times are said as seen from now, in its zone.
func Job(p *page.Page, j *dispatchv1.Job, now time.Time, d Depth) {
	Hazards(p, j.GetHazards())
	Outcome(p, j, now)
	if j.GetPhoneAdvice() != "" && j.GetAction() == dispatchv1.Action_ACTION_PHONE_FIX {
		p.Good("Say", j.GetPhoneAdvice())
	}
	if d == Normal {
		Candidates(p, j, now)
		for i, o := range j.GetOutcomes() {
			if i == briefFaults {
				break
			}
			p.Entry(once("May be", i), Percent(o.GetProbability()), o.GetLabel())
		}
		Quote(p, j.GetQuote())
	} else if j.GetQuote() != nil {
		p.Field("Price", PriceRange(j.GetQuote()))
	}
	if q := j.GetNextQuestion(); q != nil && j.GetDisposition() == triagev1.Disposition_DISPOSITION_CANNOT_TELL {
		p.Field("Ask first", q.GetText()+"  ["+q.GetCode()+"]")
	}
	for _, away := range j.GetDegraded() {
		p.Strong(0, "Poorer answer than usual: "+away+" was away. Reassign the job when it is back.")
	}
}

// Outcome sets who goes when with which part, or what is to be done instead.
func Outcome(p *page.Page, j *dispatchv1.Job, now time.Time) {
	id := ""
	if name := last(j.GetName()); name != "" {
		id = name + " "
	}
	a := j.GetAssignment()
	if j.GetAction() != dispatchv1.Action_ACTION_ASSIGN || a == nil {
		p.Field("Job", id+cmp.Or(states[j.GetState()], "not booked")+": "+cmp.Or(actions[j.GetAction()], "nothing decided yet"))
		for i, b := range j.GetBecause() {
			p.Field(once("Because", i), Words(b))
		}
		if j.GetNeedsPerson() {
			p.Strong(14, "A person must look at this before anything else happens.")
		}
		return
	}
	p.Good("Job", fmt.Sprintf("%s%s: %s goes, %s", id, states[j.GetState()], last(a.GetTechnician()), times(a, now)))
	where := fmt.Sprintf("%.1f km, %s on the road", a.GetDistanceKm(), minutes(a.GetTravelDuration()))
	if a.GetWarehouse() != "" {
		where += ", by way of warehouse " + last(a.GetWarehouse())
	}
	p.Field("Way", where)
	p.Field("Reserved", reserved(a.GetParts()))
	p.Field("One visit", Percent(a.GetFirstVisitProbability())+" that this van ends it")
}

// reserved says parts and who holds them: "drive belt 1930H7; idler pulley, on
// the van of T1".
func reserved(parts []*dispatchv1.ReservedPart) string {
	var holders []string
	of := map[string][]string{}
	for _, r := range parts {
		if of[r.GetHolder()] == nil {
			holders = append(holders, r.GetHolder())
		}
		of[r.GetHolder()] = append(of[r.GetHolder()], Part(r))
	}
	for i, h := range holders {
		where := ", on the van of "
		if shelf(h) {
			where = ", at warehouse "
		}
		holders[i] = strings.Join(of[h], "; ") + where + last(h)
	}
	return cmp.Or(strings.Join(holders, "; "), "no part")
}

func shelf(holder string) bool { return strings.Contains(holder, "/warehouses/") }

// Part says a part with its mark and how many.
func Part(r *dispatchv1.ReservedPart) string {
	text := strings.TrimSpace(Words(r.GetPartKind()) + " " + r.GetMark())
	if r.GetQuantity() > 1 {
		text = fmt.Sprintf("%d × %s", r.GetQuantity(), text)
	}
	return text
}

// Candidates sets every technician who was looked at and not chosen, with the
// reason.
func Candidates(p *page.Page, j *dispatchv1.Job, now time.Time) {
	label := "Not"
	for _, c := range j.GetCandidates() {
		if c.GetReason() == dispatchv1.CandidateReason_CANDIDATE_REASON_CHOSEN {
			continue
		}
		p.Field(label, fmt.Sprintf("%s: %s – %s", last(c.GetTechnician()), reasons[c.GetReason()], Words(c.GetText())))
		label = ""
	}
}

// Decision sets what became of a booking in few lines: who goes when with what,
// and for each of the others a few words.
func Decision(p *page.Page, j *dispatchv1.Job, now time.Time) {
	a := j.GetAssignment()
	if j.GetAction() != dispatchv1.Action_ACTION_ASSIGN || a == nil {
		Outcome(p, j, now)
		return
	}
	way := fmt.Sprintf("%.1f km", a.GetDistanceKm())
	if a.GetWarehouse() != "" {
		way += " by way of warehouse " + last(a.GetWarehouse())
	}
	p.Good("Job", fmt.Sprintf("%s goes, %s; %s; %s that this van ends it in one visit", last(a.GetTechnician()),
		times(a, now), way, Percent(a.GetFirstVisitProbability())))
	p.Field("Reserved", reserved(a.GetParts()))
	var others []string
	for _, c := range j.GetCandidates() {
		switch {
		case c.GetReason() == dispatchv1.CandidateReason_CANDIDATE_REASON_CHOSEN:
		case c.ExpectedCost != nil:
			others = append(others, fmt.Sprintf("%s %s (%.1f km, there %s, %s)", last(c.GetTechnician()), lacking(c, a),
				c.GetDistanceKm(), clock(c.GetArriveTime().AsTime(), now), Percent(c.GetFirstVisitProbability())))
		default:
			others = append(others, last(c.GetTechnician())+" "+Words(c.GetText()))
		}
	}
	if len(others) > 0 {
		p.Field("Not", strings.Join(others, "; "))
	}
}

// times says when a visit happens: "there 09:06, begins 10:00, done by about
// 10:49"; the beginning only where it waits for the window the caller named.
func times(a *dispatchv1.Assignment, now time.Time) string {
	there := "there " + clock(a.GetArriveTime().AsTime(), now)
	if begin := a.GetStartTime().AsTime(); begin.Sub(a.GetArriveTime().AsTime()) >= time.Minute {
		there += ", begins " + begin.In(now.Location()).Format("15:04")
	}
	return there + ", done by about " + a.GetFinishTime().AsTime().In(now.Location()).Format("15:04")
}

// lacking says in two or three words why c does not go where a does. What costs
// more because the visit would often be in vain is called that.
func lacking(c *dispatchv1.Candidate, a *dispatchv1.Assignment) string {
	const clearly = 0.05
	if c.GetReason() == dispatchv1.CandidateReason_CANDIDATE_REASON_COSTLIER &&
		c.GetFirstVisitProbability() < a.GetFirstVisitProbability()-clearly {
		return "less likely to end it"
	}
	return reasons[c.GetReason()]
}

// Jobs sets a list of jobs.
func Jobs(p *page.Page, jobs []*dispatchv1.Job, now time.Time) {
	if len(jobs) == 0 {
		p.Para(0, "No jobs.")
		return
	}
	rows := make([][]string, 0, len(jobs))
	for _, j := range jobs {
		who, when := "–", "–"
		if a := j.GetAssignment(); a != nil {
			who, when = last(a.GetTechnician()), clock(a.GetStartTime().AsTime(), now)
		}
		likely := actions[j.GetAction()]
		if len(j.GetOutcomes()) > 0 && j.GetAction() == dispatchv1.Action_ACTION_ASSIGN {
			likely = j.GetOutcomes()[0].GetLabel()
		}
		rows = append(rows, []string{last(j.GetName()), states[j.GetState()], who, when, Words(j.GetAppliance().GetFamily()), likely})
	}
	p.Table(0, []string{"job", "state", "who", "when", "appliance", "likeliest, or what is to be done"}, rows)
}
