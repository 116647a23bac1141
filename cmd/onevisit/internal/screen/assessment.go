package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"onevisit/cmd/internal/page"
	commonv1 "onevisit/proto/onevisit/common/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// Depth is how much of an answer is set.
type Depth int

// Depths.
const (
	Brief  Depth = iota // what is needed while somebody waits
	Normal              // with the reasons
)

// Assessment sets what a call-taker reads while the caller is on the phone:
// dangers before anything else.
func Assessment(p *page.Page, a *triagev1.AssessResponse, d Depth) {
	Hazards(p, a.GetHazards())
	switch a.GetDisposition() {
	case triagev1.Disposition_DISPOSITION_STOPPED:
		p.Strong(0, "Triage stops here. No advice on the repair, and no further question, until the danger is dealt with.")
		heard(p, a)
		return
	case triagev1.Disposition_DISPOSITION_CANNOT_TELL:
		p.Strong(0, "Cannot tell yet: nothing said so far tells one fault from another.")
		Question(p, a)
		heard(p, a)
		return
	}
	if d == Normal {
		heard(p, a)
	}
	faults(p, a, d)
	if a.GetPhoneAdvice() != "" {
		p.Good("On the phone", fmt.Sprintf("%s (%s that this settles it)", a.GetPhoneAdvice(), Percent(a.GetPhoneAdviceProbability())))
	}
	Question(p, a)
	carry(p, a, d)
	if d == Normal {
		for _, c := range a.GetCautions() {
			p.Field("Caution", c)
		}
	}
}

var severities = map[commonv1.HazardSeverity]string{
	commonv1.HazardSeverity_HAZARD_SEVERITY_EMERGENCY: "EMERGENCY",
	commonv1.HazardSeverity_HAZARD_SEVERITY_URGENT:    "URGENT",
	commonv1.HazardSeverity_HAZARD_SEVERITY_STOP:      "LEAVE IT OFF",
}

var bookings = map[commonv1.HazardBooking]string{
	commonv1.HazardBooking_HAZARD_BOOKING_NONE:     "Book nothing until the place has been declared safe.",
	commonv1.HazardBooking_HAZARD_BOOKING_PRIORITY: "Book a priority visit, with a note not to use the machine.",
	commonv1.HazardBooking_HAZARD_BOOKING_NORMAL:   "A visit may be booked as usual, with a note.",
}

// Hazards sets the dangers reported with all that is to be said, in order.
func Hazards(p *page.Page, hazards []*commonv1.Hazard) {
	for _, h := range hazards {
		p.Danger(fmt.Sprintf("%s: %s", cmp.Or(severities[h.GetSeverity()], "CARE"), h.GetLabel()))
		if w := h.GetHeard().GetWords(); w != "" {
			p.Para(2, "Heard: “"+w+"”. Say, in this order:")
		} else {
			p.Para(2, "Say, in this order:")
		}
		for i, s := range h.GetSteps() {
			p.Item(2, fmt.Sprintf("%d.", i+1), s)
		}
		if b := bookings[h.GetBooking()]; b != "" {
			p.Para(2, b)
		}
	}
	if len(hazards) > 0 {
		p.Faint(2, "Emergency services, licensed people and the local rules come first.")
	}
}

// heard sets what was understood, with the words it came from.
func heard(p *page.Page, a *triagev1.AssessResponse) {
	label := "Heard"
	for _, f := range a.GetFindings() {
		text := f.GetLabel()
		if !f.GetPresent() {
			text = "not: " + text
		}
		switch f.GetSource() {
		case triagev1.FindingSource_FINDING_SOURCE_SAID:
			text += " – “" + f.GetHeard().GetWords() + "”"
		case triagev1.FindingSource_FINDING_SOURCE_ANSWERED:
			text += " – answered"
		case triagev1.FindingSource_FINDING_SOURCE_MEASURED:
			text += " – measured"
		}
		p.Field(label, text)
		label = ""
	}
	for _, m := range a.GetPartMentions() {
		if m.GetKind() == triagev1.MentionKind_MENTION_KIND_LIKENESS {
			continue // not heard: it shows among the reasons
		}
		p.Field(label, fmt.Sprintf("%s: %s – “%s”", Words(m.GetPartKind()), mentions[m.GetKind()], m.GetHeard().GetWords()))
		label = ""
	}
	if label != "" {
		p.Field(label, "nothing that tells about a fault")
	}
}

var mentions = map[triagev1.MentionKind]string{
	triagev1.MentionKind_MENTION_KIND_UNSPECIFIED: "spoken of",
	triagev1.MentionKind_MENTION_KIND_THEORY:      "the caller's theory, hardly counts",
	triagev1.MentionKind_MENTION_KIND_SEEN_BAD:    "seen to be bad",
	triagev1.MentionKind_MENTION_KIND_SEEN_GOOD:   "seen to be good",
	triagev1.MentionKind_MENTION_KIND_REPLACED:    "replaced lately",
	triagev1.MentionKind_MENTION_KIND_LIKENESS:    "worded like calls that needed it",
}

// How many faults are set, and from which probability on.
const (
	briefFaults, normalFaults = 3, 5
	worthSaying               = 0.02
)

func faults(p *page.Page, a *triagev1.AssessResponse, d Depth) {
	most := normalFaults
	if d == Brief {
		most = briefFaults
	}
	label := "Likely"
	for i, f := range a.GetFaults() {
		if i >= most || i > 0 && f.GetProbability() < worthSaying {
			break
		}
		p.Entry(label, Percent(f.GetProbability()), f.GetLabel())
		label = ""
		if d == Normal && i < briefFaults || i == 0 {
			if why := because(f, 3); why != "" {
				p.Faint(page.EntryColumn, why)
			}
		}
	}
}

// telling is the least change of log-odds worth a word: odds × 1.2.
const telling = 0.18

// because names the contributions that moved a fault most, at most n of them.
func because(f *triagev1.Fault, n int) string {
	moved := slices.Clone(f.GetContributions())
	slices.SortStableFunc(moved, func(a, b *triagev1.Contribution) int {
		return cmp.Compare(math.Abs(b.GetLogOdds()), math.Abs(a.GetLogOdds()))
	})
	var out []string
	for _, c := range moved {
		if len(out) == n || math.Abs(c.GetLogOdds()) < telling {
			break
		}
		out = append(out, fmt.Sprintf("%s (%s)", c.GetLabel(), odds(c.GetLogOdds())))
	}
	if len(out) == 0 {
		return ""
	}
	return fmt.Sprintf("%s before the call; then %s", Percent(f.GetPrior()), strings.Join(out, ", "))
}

// Question sets the question to ask next and what it is worth, or why there is
// none.
func Question(p *page.Page, a *triagev1.AssessResponse) {
	q := a.GetNextQuestion()
	if q == nil {
		if r := a.GetNoQuestionReason(); r != "" {
			p.Field("Ask next", "nothing: "+r)
		}
		return
	}
	p.Field("Ask next", q.GetText())
	for _, one := range q.GetAnswers() {
		text, chance := one.GetText(), ""
		if to := one.GetLeadsTo(); to != "" {
			text += " → " + Words(to)
		}
		if one.GetProbability() > 0 {
			chance = Percent(one.GetProbability())
		}
		p.Entry("", chance, text+" ["+q.GetCode()+"="+one.GetCode()+"]")
	}
	if s := q.GetNetSaving().AsDuration(); s > 0 {
		p.Faint(14, fmt.Sprintf("worth %s of a technician's time; asking takes %s", short(s), short(q.GetDuration().AsDuration())))
	}
}

// carry sets what to bring.
func carry(p *page.Page, a *triagev1.AssessResponse, d Depth) {
	k := a.GetKit()
	if k == nil {
		return
	}
	label := "Carry"
	for _, l := range k.GetLines() {
		text := cmp.Or(l.GetLabel(), Words(l.GetPartKind()))
		if r := ratings(l, d); r != "" {
			text += ": " + r
		}
		p.Entry(label, Percent(l.GetProbability()), text)
		label = ""
	}
	if label != "" {
		p.Field(label, "no part is worth carrying for it")
	}
	if t := k.GetTools(); len(t) > 0 {
		p.Field("Tools", list(t))
	}
	if s := k.GetSkills(); len(s) > 0 && d == Normal {
		p.Field("Skills", list(s))
	}
	p.Field("On site", fmt.Sprintf("about %s; %s that this kit is all it takes", minutes(k.GetDuration()), Percent(k.GetFirstVisitProbability())))
}

// ratings says the marks of a part worth carrying, most usual first.
func ratings(l *triagev1.KitLine, d Depth) string {
	if l.GetRatingKnown() {
		if len(l.GetRatings()) == 0 {
			return ""
		}
		return l.GetRatings()[0].GetMark() + ", as on this machine"
	}
	most := 4
	if d == Brief {
		most = 2
	}
	var out []string
	for i, r := range l.GetRatings() {
		if i == most {
			out = append(out, "…")
			break
		}
		out = append(out, fmt.Sprintf("%s (%s)", r.GetMark(), Percent(r.GetShare())))
	}
	return strings.Join(out, ", ")
}
