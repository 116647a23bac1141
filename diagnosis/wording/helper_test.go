package wording

import (
	"fmt"
	"strings"
	"testing"

	"onevisit/diagnosis/knowledge"
)

// english loads the lexicon that is shipped, against the knowledge that is
// shipped.
func english(t testing.TB) *Lexicon {
	t.Helper()
	l, err := Default("en", shippedCodes(t))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func shippedCodes(t testing.TB) Codes {
	t.Helper()
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	return CodesOf(b)
}

// show prints a reading for failure messages.
func show(r Reading) string {
	var b strings.Builder
	for _, o := range r.Observations {
		s := "+"
		if !o.Present {
			s = "-"
		}
		fmt.Fprintf(&b, "  %s%s %.0f %q\n", s, o.Finding, o.Ratio, o.Words)
	}
	for _, p := range r.Parts {
		fmt.Fprintf(&b, "  part %s kind=%d %.2f %q\n", p.PartKind, p.Kind, p.Ratio, p.Words)
	}
	for _, h := range r.Hazards {
		fmt.Fprintf(&b, "  HAZARD %s %.0f %q\n", h.Code, h.Ratio, h.Words)
	}
	for _, i := range r.Ignored {
		fmt.Fprintf(&b, "  ignored %s %q\n", i.Reason, i.Words)
	}
	return b.String()
}
