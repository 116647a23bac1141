package screen

import (
	"cmp"
	"fmt"
	"strings"

	"onevisit/cmd/internal/page"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// Glance is an assessment in one line: the likeliest faults.
func Glance(a *triagev1.AssessResponse) string {
	var out []string
	for i, f := range a.GetFaults() {
		if i == briefFaults || i > 0 && f.GetProbability() < worthSaying {
			break
		}
		out = append(out, Percent(f.GetProbability())+" "+f.GetLabel())
	}
	if len(out) == 0 {
		return "nothing known to be wrong"
	}
	return strings.Join(out, "; ")
}

// Summary sets an assessment in a few lines: likeliest faults, why, what to
// carry.
func Summary(p *page.Page, a *triagev1.AssessResponse) {
	p.StrongField("Likely", Glance(a))
	if f := a.GetFaults(); len(f) > 0 {
		if why := because(f[0], 2); why != "" {
			p.Faint(14, why)
		}
	}
	if a.GetPhoneAdvice() != "" {
		p.Field("On the phone", fmt.Sprintf("%s that advice settles it", Percent(a.GetPhoneAdviceProbability())))
	}
	var parts []string
	for i, l := range a.GetKit().GetLines() {
		if i == briefFaults {
			parts = append(parts, "…")
			break
		}
		text := cmp.Or(l.GetLabel(), Words(l.GetPartKind()))
		if r := l.GetRatings(); len(r) > 0 {
			text += " " + r[0].GetMark()
			if len(r) > 1 && !l.GetRatingKnown() {
				text += " or another"
			}
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		parts = []string{"no part"}
	}
	p.Field("Carry", fmt.Sprintf("%s; about %s on site", strings.Join(parts, ", "), minutes(a.GetKit().GetDuration())))
}

// Saving says what a question is worth.
func Saving(q *triagev1.Question) string { return short(q.GetNetSaving().AsDuration()) }
