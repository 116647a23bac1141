package screen

import (
	"fmt"
	"strings"

	"onevisit/cmd/internal/page"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

var work = map[triagev1.WorkClass]string{
	triagev1.WorkClass_WORK_CLASS_OUTSIDE:   "from outside",
	triagev1.WorkClass_WORK_CLASS_ISOLATED:  "isolated and proved dead",
	triagev1.WorkClass_WORK_CLASS_ENERGISED: "live, competent person only",
	triagev1.WorkClass_WORK_CLASS_LICENSED:  "licensed person only",
}

// PartsList sets what the technician's client shows: parts, tools, what to do
// before touching anything, checks in order with their cautions, and what to do
// after. A most above 0 cuts it short for a demonstration: so many checks, and of
// what comes after the repair only how much there is.
func PartsList(p *page.Page, l *dispatchv1.PartsList, most int) {
	for _, c := range l.GetCautions() {
		p.Danger(Words(c))
	}
	p.Field("Parts", reserved(l.GetParts()))
	var missing []string
	for _, n := range l.GetNotOnVan() {
		missing = append(missing, strings.TrimSpace(Words(n.GetPartKind())+" "+n.GetMark()))
	}
	if len(missing) > 0 {
		p.Field("Not on van", strings.Join(missing, "; "))
	}
	if len(l.GetTools()) > 0 {
		p.Field("Tools", list(l.GetTools()))
	}
	Checks(p, l.GetChecks(), most)
}

// Checks sets a plan of checks.
func Checks(p *page.Page, c *triagev1.PlanChecksResponse, most int) {
	if c == nil {
		return
	}
	Hazards(p, c.GetHazards())
	said := map[string]bool{}
	for i, s := range c.GetChecks() {
		if most > 0 && i == most {
			p.Faint(2, fmt.Sprintf("and %d more checks", len(c.GetChecks())-most))
			break
		}
		p.Item(0, fmt.Sprintf("%2d.", i+1), fmt.Sprintf("%s (%s, %s; finds it with %s)", s.GetLabel(), minutes(s.GetDuration()), work[s.GetWorkClass()], Percent(s.GetFindProbability())))
		if s.GetOpenFirst() != "" {
			p.Para(4, fmt.Sprintf("Open first: %s (%s)", s.GetOpenFirst(), minutes(s.GetOpenDuration())))
		}
		for _, b := range s.GetBefore() {
			p.Item(4, ">", b)
		}
		for _, w := range s.GetCautions() {
			// Within one list the same caution is set in full once: what is always
			// there is read by nobody. What must be done before a step is not
			// shortened.
			if said[w] {
				continue
			}
			said[w] = true
			p.Item(4, "!", w)
		}
		p.Para(4, s.GetInstruction())
		p.Faint(4, fmt.Sprintf("good: %s; bad: %s", s.GetExpected(), s.GetFailing()))
	}
	if most > 0 {
		p.Faint(0, fmt.Sprintf("Then %d tests before the machine is handed back; %d kinds of work are left to licensed people.",
			len(c.GetFinalTests()), len(c.GetLeftToLicensed())))
		return
	}
	for i, s := range c.GetLeftToLicensed() {
		p.Field(once("Licensed", i), s)
	}
	for i, s := range c.GetFinalTests() {
		p.Field(once("After", i), s)
	}
	if d := c.GetExpectedDuration(); d != nil {
		p.Faint(0, fmt.Sprintf("In about %s one of these finds the fault with %s.", minutes(d), Percent(c.GetFindProbability())))
	}
}
