package wording

import (
	"strings"
	"testing"

	"onevisit/diagnosis/evidence"

	"pgregory.net/rapid"
)

// negatedAt tells whether the longest target hit that overlaps the phrase is
// negated, and whether its clause is hedged.
func negatedAt(t *testing.T, l *Lexicon, text, phrase string) (neg, hedged bool) {
	t.Helper()
	at := strings.Index(text, phrase)
	if at < 0 {
		t.Fatalf("%q is not in %q", phrase, text)
	}
	s := new(scratch)
	s.toks, s.buf = l.tokenise(nil, text, nil)
	s.hits, s.nodes = l.find(nil, s.toks, nil)
	l.segment(s)
	l.describe(s, l.families["washing_machine"])
	best := -1
	var bestLen int32
	for ci := range s.clauses {
		l.polarise(s, ci)
		c := &s.clauses[ci]
		for i := c.hitStart; i < c.hitEnd; i++ {
			h := &s.hits[i]
			a, b := s.span(h.start, h.end)
			if 1<<h.role&(1<<roleFunction|1<<roleAnomaly) == 0 || int(b) <= at || int(a) >= at+len(phrase) || h.used {
				continue
			}
			if best < 0 || h.end-h.start > bestLen {
				best, bestLen = int(i), h.end-h.start
				neg, hedged = h.neg, c.is(roleHedge)
			}
		}
	}
	if best < 0 {
		t.Errorf("%q: nothing found for %q", text, phrase)
	}
	return neg, hedged
}

// The nine sentences of the project's scope table E82, with a window of 5 after
// NegEx (Chapman et al. 2001); and the classes of trigger named there.
func TestPolarity_ScopeTable(t *testing.T) {
	l := english(t)
	for _, tt := range []struct {
		text          string
		negated, free []string
	}{
		{"The drum turns but there is no heat", []string{"heat"}, []string{"turns"}},
		{"It is not only noisy but also leaking", nil, []string{"noisy", "leaking"}},
		{"No leak, no burning smell and no error code", []string{"leak", "burning smell", "error code"}, nil},
		{"The squealing has stopped however it now vibrates", []string{"squealing"}, []string{"vibrates"}},
		{"Not sure if water leaks from the door", nil, []string{"leaks"}},
		{"Doesn't spin although it drains", []string{"spin"}, []string{"drains"}},
		{"No change in the grinding noise", nil, []string{"grinding noise"}},
		{"heats up fine without tripping the breaker but smells of burning", []string{"tripping"}, []string{"smells", "burning"}},
		{"The error code is gone but the door will not lock", []string{"error code", "lock"}, nil},
		// Beyond the table.
		{"it won't stop leaking", nil, []string{"leaking"}},
		{"not without noise", nil, []string{"noise"}},
		{"it doesn't make no noise", []string{"noise"}, nil},
		{"it has stopped heating", []string{"heating"}, nil},
		{"no smoke, sparks or flames", []string{"smoke", "sparks", "flames"}, nil},
		{"everything works except the heat", []string{"heat"}, []string{"works"}},
		{"the noise has not stopped", nil, []string{"noise"}},
		{"I don't think it leaks", []string{"leaks"}, nil},
		{"can't hear it draining", []string{"draining"}, nil},
	} {
		for _, p := range tt.negated {
			if neg, _ := negatedAt(t, l, tt.text, p); !neg {
				t.Errorf("%q: %q is not negated", tt.text, p)
			}
		}
		for _, p := range tt.free {
			if neg, _ := negatedAt(t, l, tt.text, p); neg {
				t.Errorf("%q: %q is negated", tt.text, p)
			}
		}
	}
	if _, hedged := negatedAt(t, l, "Not sure if water leaks from the door", "leaks"); !hedged {
		t.Error("a report that the caller is not sure of must count as hedged")
	}
}

// polarities maps each finding to its polarity.
func polarities(r Reading) map[string]bool {
	m := map[string]bool{}
	for _, o := range r.Observations {
		m[o.Finding] = o.Present
	}
	return m
}

var plainSentences = []string{
	"The drum turns but there is no heat.", "It hums and won't turn.", "No leak and no burning smell.",
	"It squeals on start up.", "The door won't stay shut.", "Clothes are still damp after a full cycle.",
	"It trips the breaker.", "The filter is clean.", "It is completely dead.", "It won't drain.",
}

var unrelated = []string{
	"We live on the corner.", "My name is on the letter box.", "Can you come on Tuesday afternoon?",
	"Thanks very much.", "The house is the blue one.", "Please bring change for parking.",
	"I will be home after lunch.", "There is a steep driveway.", "My phone number ends in four.",
}

// E83: appending an unrelated sentence never flips a polarity, and adds nothing.
func TestRead_UnrelatedSentenceChangesNothing(t *testing.T) {
	l := english(t)
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.SampledFrom(plainSentences).Draw(t, "said")
		b := rapid.SampledFrom(unrelated).Draw(t, "unrelated")
		fam := rapid.SampledFrom([]string{"tumble_dryer", "washing_machine"}).Draw(t, "family")
		want := polarities(l.Read(a, fam))
		for _, text := range []string{a + " " + b, b + " " + a} {
			got := polarities(l.Read(text, fam))
			if len(got) != len(want) {
				t.Fatalf("%q gives %v, alone %v", text, got, want)
			}
			for f, p := range want {
				if q, ok := got[f]; !ok || q != p {
					t.Fatalf("%q: %s is %v, alone %v", text, f, q, p)
				}
			}
		}
	})
}

// E83: case and typographic punctuation do not matter.
func TestRead_CaseAndPunctuation(t *testing.T) {
	l := english(t)
	curly := strings.NewReplacer("'", "\u2019")
	for line := range strings.Lines(utterances) {
		f := strings.Split(strings.TrimSpace(line), " | ")
		if len(f) != 3 {
			continue
		}
		family := map[string]string{"d": "tumble_dryer", "w": "washing_machine"}[f[0]]
		want := show(stripWords(l.Read(f[1], family)))
		for _, v := range []string{strings.ToUpper(f[1]), strings.ToLower(f[1]), curly.Replace(f[1]), f[1] + "...", f[1] + "!!", "  " + f[1]} {
			if got := show(stripWords(l.Read(v, family))); got != want {
				t.Errorf("%q reads\n%s%q reads\n%s", f[1], want, v, got)
			}
		}
	}
}

func stripWords(r Reading) Reading {
	out := Reading{}
	for _, o := range r.Observations {
		o.Words = ""
		out.Observations = append(out.Observations, o)
	}
	for _, p := range r.Parts {
		p.Words = ""
		out.Parts = append(out.Parts, p)
	}
	for _, h := range r.Hazards {
		h.Words = ""
		out.Hazards = append(out.Hazards, h)
	}
	return out
}

// E83: a double negation is affirmed or left unknown, never negated.
func TestRead_DoubleNegationIsNeverDenied(t *testing.T) {
	l := english(t)
	for _, text := range []string{
		"it is not without a squeal", "it never stops leaking", "it won't stop leaking",
		"never runs without squealing", "it doesn't run without leaking",
	} {
		for _, fam := range []string{"tumble_dryer", "washing_machine"} {
			for _, o := range l.Read(text, fam).Observations {
				if !o.Present && (o.Finding == "squeal" || o.Finding == "water_leak") {
					t.Errorf("%s: %q reads %s as absent", fam, text, o.Finding)
				}
			}
		}
	}
}

func TestRead_Strengths(t *testing.T) {
	l := english(t)
	ratio := func(text, finding string) (float64, bool) {
		for _, o := range l.Read(text, "tumble_dryer").Observations {
			if o.Finding == finding {
				return o.Ratio, o.Present
			}
		}
		return 0, false
	}
	plain, p := ratio("there is no heat", "no_heat")
	hedged, h := ratio("I think there is no heat", "no_heat")
	strong, s := ratio("there is absolutely definitely no heat", "no_heat")
	absent, a := ratio("it heats fine", "no_heat")
	if !p || !h || !s || a {
		t.Fatalf("polarities: %v %v %v %v", p, h, s, a)
	}
	if !(strong > plain && plain > hedged && hedged > 1 && absent > 1) {
		t.Errorf("emphatic %v, plain %v, hedged %v, absent %v", strong, plain, hedged, absent)
	}
	for _, m := range l.Read("I reckon the motor's had it", "tumble_dryer").Parts {
		if m.Kind != evidence.Theory || m.Ratio < 1 || m.Ratio > 1.3 {
			t.Errorf("a theory counts %v", m)
		}
	}
}
