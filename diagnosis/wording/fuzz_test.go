package wording

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// checkSpans verifies what Reading promises of offsets.
func checkSpans(t *testing.T, text string, r Reading) {
	t.Helper()
	span := func(what, words string, a, b int) {
		if a < 0 || b < a || b > len(text) || text[a:b] != words {
			t.Fatalf("%s: %q is not text[%d:%d]", what, words, a, b)
		}
		if a < len(text) && !utf8.RuneStart(text[a]) && utf8.ValidString(text) || b < len(text) && !utf8.RuneStart(text[b]) && utf8.ValidString(text) {
			t.Fatalf("%s: [%d:%d] cuts a rune", what, a, b)
		}
	}
	seen := map[string]bool{}
	for _, o := range r.Observations {
		span(o.Finding, o.Words, o.Start, o.End)
		if seen[o.Finding] {
			t.Fatalf("%s is there twice", o.Finding)
		}
		seen[o.Finding] = true
		if !(o.Ratio >= 1) || o.Ratio > 1000 {
			t.Fatalf("%s: ratio %v", o.Finding, o.Ratio)
		}
	}
	for _, p := range r.Parts {
		span(p.PartKind, p.Words, p.Start, p.End)
	}
	for _, h := range r.Hazards {
		span(h.Code, h.Words, h.Start, h.End)
	}
	for _, g := range r.Ignored {
		span(g.Reason.String(), g.Words, g.Start, g.End)
	}
	if !slices.IsSortedFunc(r.Hazards, func(a, b HazardHit) int { return a.Start - b.Start }) {
		t.Fatal("hazards are not in order")
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"",                             // nothing said
		"it hums but won\u2019t turn",  // curly apostrophe
		"drum\u200bs won\u200b't turn", // zero-width space inside words
		"\ufeffno heat",                // byte order mark
		"🔥🔥 smoke 🔥",                   // emoji
		"барабан не крутится, no spin",     // mixed scripts
		"ｎｏ ｈｅａｔ",                          // full-width forms
		"call 00 55 5123 456, no heat",     // something like a telephone number
		"x\x00y\x1b[31mno heat\x07",        // control characters
		"no heat\xff\xfe",                  // broken UTF-8
		"''''it's''s'd o'clock '",          // apostrophes alone
		"-a--b- --drum-- won-t",            // hyphens
		"2,5.3.1 8µF 425V~",                // numbers with marks
		"e\u0301\u0301 dru\u0301m",         // combining marks
		strings.Repeat("no ", 7000),        // 20 kB of triggers
		strings.Repeat("drum turn ", 2000), // 20 kB of hits without marks
		strings.Repeat("a", 20000),         // one word
		strings.Repeat(",", 20000),         // marks only
		"\u0130\u0131 K SMOKE ß",           // letters that change length in lower case
	} {
		f.Add(s)
	}
	l := english(f)
	f.Fuzz(func(t *testing.T, text string) {
		for _, fam := range []string{"tumble_dryer", "washing_machine", "no_such_family"} {
			r := l.Read(text, fam)
			checkSpans(t, text, r)
			if fam == "no_such_family" && (r.Observations != nil || r.Parts != nil) {
				t.Fatal("findings for an unknown family")
			}
			if show(r) != show(l.Read(text, fam)) {
				t.Fatal("two readings of one text differ")
			}
		}
	})
}

func FuzzDistance(f *testing.F) {
	f.Add("heating", "heting") // one letter lost
	f.Add("spin", "sipn")      // neighbours swapped
	f.Add("", "a")             // empty
	f.Fuzz(func(t *testing.T, a, b string) {
		if len(a) > 40 || len(b) > 40 {
			return
		}
		want := slowDistance(a, b)
		for limit := 0; limit < 4; limit++ {
			got := distance(a, b, limit)
			if want <= limit && got != want || want > limit && got <= limit {
				t.Fatalf("distance(%q, %q, %d) = %d, want %d", a, b, limit, got, want)
			}
		}
	})
}

// slowDistance is the textbook table, without a limit.
func slowDistance(a, b string) int {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			c := 1
			if a[i-1] == b[j-1] {
				c = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+c)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(a)][len(b)]
}

const callOf400 = "Hello, my tumble dryer hums when I press start but the drum won't go round unless I give it a " +
	"push, then it runs fine and gets hot. It used to squeal a bit as well, maybe for a month. I cleaned the filter " +
	"and the vent hose looks fine. No burning smell and it doesn't trip anything. Neighbour reckons the motor's had " +
	"it, could it be the belt? It is about nine years old and stands in the garage behind the house, thank you very much."

func BenchmarkRead400(b *testing.B) {
	l := english(b)
	b.SetBytes(int64(len(callOf400)))
	b.ReportAllocs()
	for b.Loop() {
		l.Read(callOf400, "tumble_dryer")
	}
}

func BenchmarkReadTypos(b *testing.B) {
	l := english(b)
	const text = "my drier is not heeting at all, the drumm turnes but cloths stil wett afterr two ours, filtter is cleen, strnage nosie"
	b.ReportAllocs()
	for b.Loop() {
		l.Read(text, "tumble_dryer")
	}
}

func BenchmarkDefault(b *testing.B) {
	codes := shippedCodes(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Default("en", codes); err != nil {
			b.Fatal(err)
		}
	}
}
