package wording

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

// small is the least lexicon that loads, in two files.
const smallLanguage = `
settings: {stemmer: english, window: 5, infinitive: to, gerund: ing, one_edit: 5, two_edits: 8, inflections: [s, ing]}
strengths: {plain: 25, emphatic: 40, hedged: 5, indirect: 8, absent: 12, absent_hedged: 4, theory: 1.2,
            seen_bad: 20, said_bad: 6, seen_good: 0.15, seen_good_hedged: 0.5, replaced: 0.3}
grammar: {aux: [is], pronoun: [it]}
common: [kitchen]
concepts:
  negation: {not: [not, no]}
  component: {drum: [drum]}
  function: {turn: [turn]}
  anomaly: {smoke: [smoke]}
hazards: {smoke: ["+smoke"]}
`

const smallFamily = `
families: [dryer]
findings: {still: ["[drum] -turn"]}
`

func smallCodes() Codes {
	return Codes{Families: map[string]FamilyCodes{"dryer": {Findings: []string{"still"}, Parts: []string{"belt"}}}, Hazards: []string{"smoke"}}
}

func loadSmall(language, family string) (*Lexicon, error) {
	return Load(fstest.MapFS{
		"language.yaml": {Data: []byte(language)},
		"dryer.yaml":    {Data: []byte(family)},
	}, smallCodes())
}

func TestLoad_SmallLexiconWorks(t *testing.T) {
	l, err := loadSmall(smallLanguage, smallFamily)
	if err != nil {
		t.Fatal(err)
	}
	r := l.Read("the drum is not turning in the kitchen, smoke", "dryer")
	if len(r.Observations) != 1 || !r.Observations[0].Present || len(r.Hazards) != 1 {
		t.Errorf("got\n%s", show(r))
	}
}

func TestLoad_Problems(t *testing.T) {
	for _, tt := range []struct {
		name, language, family string
		want                   []string
	}{
		{"unknown finding, with the nearest", smallLanguage, "families: [dryer]\nfindings: {stil: [\"-turn drum\"]}",
			[]string{`dryer.yaml:2:12: unknown finding "stil" of dryer; did you mean "still"?`}},
		{"unknown concept", smallLanguage, "families: [dryer]\nfindings:\n  still:\n    - \"-turn drum\"\n    - \"+wheel\"",
			[]string{`dryer.yaml:5:7: unknown concept "wheel" in pattern "+wheel"`}},
		{"several at once, in order", smallLanguage, "families: [dryer]\nfindings:\n  stil: [\"-turn drum\"]\n  still: [\"+wheel\", \"drum -turn {sometimes}\"]",
			[]string{"dryer.yaml:3:3: unknown finding", "dryer.yaml:4:11: unknown concept", "dryer.yaml:4:21: unknown flag {sometimes}"}},
		{"unused concept", strings.Replace(smallLanguage, "{drum: [drum]}", "{drum: [drum], door: [door]}", 1), smallFamily,
			[]string{`concept "door" is not used`}},
		{"pattern of context only", smallLanguage, "families: [dryer]\nfindings: {still: [\"@drum\", \"-turn drum\"]}",
			[]string{`dryer.yaml:2:20: pattern "@drum" has no item that must stand in the clause`}},
		{"too many items", smallLanguage, "families: [dryer]\nfindings: {still: [\"-turn" + strings.Repeat(" drum", 20) + "\"]}",
			[]string{`dryer.yaml:2:20: pattern has 21 items; at most 12`}},
		{"empty list of patterns", smallLanguage, "families: [dryer]\nfindings: {still: []}",
			[]string{`dryer.yaml:2:12: "still" has no patterns`}},
		{"unknown part kind", smallLanguage, smallFamily + "parts: {bel: [drum]}",
			[]string{`unknown part kind "bel"`}},
		{"unknown family", smallLanguage, "families: [oven]\nfindings: {}", []string{`dryer.yaml:1:12: unknown family "oven"`}},
		{"unknown section", smallLanguage, smallFamily + "colour: blue", []string{`dryer.yaml:4:1: unknown section "colour"`}},
		{"key twice", smallLanguage, "families: [dryer]\nfindings: {}\nfindings: {}", []string{`dryer.yaml:3:1: key "findings" is there twice`}},
		{"unknown hazard", strings.Replace(smallLanguage, "hazards: {smoke:", "hazards: {smok:", 1), smallFamily,
			[]string{`unknown hazard "smok"; did you mean "smoke"?`}},
		{"missing strength", strings.Replace(smallLanguage, "plain: 25, ", "", 1), smallFamily, []string{"strengths: plain is missing"}},
		{"strength out of range", strings.Replace(smallLanguage, "plain: 25", "plain: -3", 1), smallFamily,
			[]string{`plain is "-3"; must be a number from`}},
		{"unknown role", strings.Replace(smallLanguage, "component:", "compnent:", 1), smallFamily, []string{`unknown role "compnent"`}},
		{"no YAML", "a: [", smallFamily, []string{"language.yaml:1:1: not YAML"}},
		{"not a mapping", "- a", smallFamily, []string{"language.yaml:1:1: the file must be a mapping"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := loadSmall(tt.language, tt.family)
			if !errors.Is(err, ErrLexicon) {
				t.Fatalf("got %v, want a bad lexicon", err)
			}
			var p Problem
			if !errors.As(err, &p) || p.Line < 1 || p.Column < 1 {
				t.Errorf("no problem with a place in %v", err)
			}
			at := 0
			for _, w := range tt.want {
				i := strings.Index(err.Error()[at:], w)
				if i < 0 {
					t.Fatalf("got %v\nwant %q", err, w)
				}
				at += i
			}
		})
	}
}

func TestLoad_NothingThere(t *testing.T) {
	if _, err := Load(fstest.MapFS{}, smallCodes()); !errors.Is(err, ErrLexicon) {
		t.Errorf("got %v", err)
	}
	if _, err := Default("xx", smallCodes()); err == nil {
		t.Error("a language that is not there loads")
	}
}

// Every finding of the shipped knowledge can be said, or is marked as one that
// is only asked for or measured.
func TestDefault_EveryFindingCanBeSaid(t *testing.T) {
	l := english(t)
	codes := shippedCodes(t)
	for fam := range l.families {
		if len(codes.Families[fam].Findings) < 50 {
			t.Errorf("%s has only %d findings: the check would pass on nothing", fam, len(codes.Families[fam].Findings))
		}
		if missing := l.Unspoken(fam); len(missing) > 0 {
			t.Errorf("%s: no wording for %v", fam, missing)
		}
	}
	st := l.Stats()
	t.Logf("%+v", st)
}

// Start-up is to be ready in half a second; the lexicon may take a fifth of it.
func TestDefault_LoadsQuickly(t *testing.T) {
	codes := shippedCodes(t)
	best := time.Hour
	for range 3 {
		t0 := time.Now()
		if _, err := Default("en", codes); err != nil {
			t.Fatal(err)
		}
		best = min(best, time.Since(t0))
	}
	if best > 2*time.Second { // generous: a loaded machine under the race detector
		t.Errorf("loading takes %v", best)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add([]byte(smallLanguage))                                   // loads
	f.Add([]byte("concepts: {component: {drum: [=drum, <n> x]}}")) // term marks
	f.Add([]byte("concepts: &a {component: *a}"))                  // alias loop
	f.Add([]byte("? [a]\n: b"))                                    // key that is a list
	f.Add([]byte("families: [dryer]\ncombine: [{still: [+]}]"))    // sign without name
	f.Add([]byte("hazards: {smoke: [\"{\", \"[\", \"!\", \"@-|\", \">\"]}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := Load(fstest.MapFS{"a.yaml": {Data: data}, "b.yaml": {Data: []byte(smallLanguage)}}, smallCodes())
		if err != nil {
			if !errors.Is(err, ErrLexicon) {
				t.Fatalf("%v", err)
			}
			return
		}
		l.Read("the drum is not turning, smoke", "dryer")
	})
}
