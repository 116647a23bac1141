package screen

import (
	"fmt"

	"onevisit/cmd/internal/page"
	partsv1 "onevisit/proto/onevisit/parts/v1"
)

// verdicts are the answers to "may it replace the original?".
var verdicts = map[partsv1.Verdict]string{
	partsv1.Verdict_VERDICT_FITS:                 "yes",
	partsv1.Verdict_VERDICT_FITS_WITH_CONDITIONS: "yes, on conditions",
	partsv1.Verdict_VERDICT_DOES_NOT_FIT:         "NO",
	partsv1.Verdict_VERDICT_CANNOT_TELL:          "cannot tell",
}

// Fit sets a verdict with its reasons.
func Fit(p *page.Page, kind string, r *partsv1.CheckFitResponse) {
	p.Strong(0, fmt.Sprintf("May it replace the original? %s", verdicts[r.GetVerdict()]))
	p.Field("Part", Words(kind))
	p.Field("Original", r.GetOriginalMark())
	p.Field("Candidate", r.GetCandidateMark())
	for i, c := range r.GetConditions() {
		p.Field(once("Conditions", i), c)
	}
	for i, m := range r.GetMissing() {
		p.Field(once("Missing", i), m)
	}
	for i, why := range r.GetReasons() {
		p.Field(once("Because", i), fmt.Sprintf("%s: %s", verdicts[why.GetVerdict()], why.GetText()))
		p.Faint(14, why.GetRule()+" – "+why.GetSource())
	}
}

// once is the label on the first line of a list and nothing on the others.
func once(label string, i int) string {
	if i > 0 {
		return ""
	}
	return label
}

// likeliestRepairs is how many repairs are priced on a screen.
const likeliestRepairs = 4

// Quote sets a price with its lines and the likeliest repairs.
func Quote(p *page.Page, q *partsv1.QuoteRepairResponse) {
	if q == nil {
		return
	}
	p.Field("Price", PriceRange(q))
	rows := make([][]string, 0, len(q.GetLines()))
	for _, l := range q.GetLines() {
		rows = append(rows, []string{Money(l.GetAmount()), l.GetLabel()})
	}
	p.Table(14, []string{">amount", "on the likeliest bill"}, append(rows, []string{Money(q.GetLikely()), "in all"}))
	rows = nil
	for i, o := range q.GetOutcomes() {
		if i == likeliestRepairs {
			break
		}
		rows = append(rows, []string{Percent(o.GetProbability()), Money(o.GetTotal()), Money(o.GetParts()), o.GetLabel()})
	}
	if len(rows) > 0 {
		p.Blank()
		p.Table(14, []string{">chance", ">in all", ">parts of it", "if it is"}, rows)
	}
	for i, n := range q.GetNotes() {
		p.Field(once("Note", i), n)
	}
	if d := q.GetValidity().AsDuration(); d > 0 {
		p.Field("Stands for", fmt.Sprintf("%d days", int(d.Hours()/24)))
	}
}

// PriceRange is a price in one line.
func PriceRange(q *partsv1.QuoteRepairResponse) string {
	return fmt.Sprintf("%s; eight bills in ten are %s to %s, the mean is %s",
		Money(q.GetLikely()), Money(q.GetLow()), Money(q.GetHigh()), Money(q.GetExpected()))
}

// PriceShort is a price in half a line.
func PriceShort(q *partsv1.QuoteRepairResponse) string {
	return fmt.Sprintf("most likely %s, from %s to %s", Money(q.GetLikely()), Money(q.GetLow()), Money(q.GetHigh()))
}
