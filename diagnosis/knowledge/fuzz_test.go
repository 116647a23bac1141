package knowledge_test

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"onevisit/diagnosis/knowledge"
)

// FuzzLoad puts anything in the place of one file: loading never panics, a
// refusal names its problems in order, and what loads is whole.
func FuzzLoad(f *testing.F) {
	names := []string{"version.yaml", "terms.yaml", "hazards.yaml", "kettle/family.yaml", "kettle/parts.yaml",
		"kettle/findings.yaml", "kettle/access.yaml", "kettle/faults.yaml", "kettle/causes.yaml", "kettle/questions.yaml", "kettle/checks.yaml"}
	set := good(f)
	for i, name := range names {
		f.Add(uint8(i), string(set[name].Data)) // good ones, to mutate
	}
	for _, seed := range []string{
		"",                                     // nothing
		"---\n---\n",                           // two empty documents
		"a: &x [*x]",                           // an alias to itself
		"? [a]\n: b",                           // a key that is a list
		"faults: !!binary aGk=",                // a tag that changes the value
		"faults: [{links: {cold: .inf}}]",      // no number
		"faults: [{links: {cold: 1e999}}]",     // overflow
		"parts: [{kind: 0x10, label: 0o7}]",    // numbers in other bases
		"\xff\xfe",                             // no text
		"\ufeffversion: x",                     // byte order mark
		"x: " + strings.Repeat("[", 300),       // deep
		"%YAML 9.9\n---\nversion: x",           // a directive of the future
		"version: |\n  a\n  b\n",               // a text over lines
		"access: [{code: a, parent: a}]",       // behind itself
		"version: \"\\u0000\"",                 // a zero in a text
		"causes: [{from: lime, to: lime}]",     // brings itself
		"variants: [{code: a, share: -0}]",     // minus zero
		"questions: [{answers: [{}, {}, {}]}]", // hollow entries
	} {
		for i := range names {
			f.Add(uint8(i), seed)
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, data string) {
		set := good(t)
		set[names[int(which)%len(names)]] = &fstest.MapFile{Data: []byte(data)}
		b, err := knowledge.Load(set)
		if err != nil {
			problems := knowledge.Problems(err)
			if !errors.Is(err, knowledge.ErrInvalid) || len(problems) == 0 {
				t.Fatalf("refused without a problem: %v", err)
			}
			for i, p := range problems {
				if p.Message == "" || p.File == "" || !utf8.ValidString(p.Message) {
					t.Fatalf("hollow problem %+v", p)
				}
				if i > 0 && p.File == problems[i-1].File && p.Line != 0 && p.Line < problems[i-1].Line {
					t.Fatalf("out of order: %v after %v", p, problems[i-1])
				}
			}
			return
		}
		for _, fam := range b.Families {
			whole(t, fam)
		}
	})
}

// whole fails the test when an index points nowhere or a number is out of range.
func whole(t *testing.T, f *knowledge.Family) {
	t.Helper()
	for _, x := range f.Faults {
		if x.Part < 0 || x.Part >= len(f.Parts) || x.Access < 0 || x.Access >= len(f.Access) || !(x.Prior > 0 && x.Prior < 1) || len(x.Links) == 0 {
			t.Fatalf("fault %+v", x)
		}
		for _, l := range x.Links {
			if l.Finding < 0 || l.Finding >= len(f.Findings) || !(l.P > 0 && l.P <= 1) {
				t.Fatalf("link %+v of %s", l, x.Code)
			}
		}
	}
	for _, x := range f.Findings {
		if !(x.Leak > 0 && x.Leak < 1) {
			t.Fatalf("finding %+v", x)
		}
	}
	for _, c := range f.Causes {
		if c.From == c.To || !(c.P > 0 && c.P <= 1) {
			t.Fatalf("cause %+v", c)
		}
	}
	for _, c := range f.Checks {
		if len(c.Faults) == 0 || c.Expect == "" || !(c.Detects > c.FalseAlarm) {
			t.Fatalf("check %+v", c)
		}
	}
	for i := range f.Access {
		for at, steps := i, 0; at >= 0; at, steps = f.Access[at].Parent, steps+1 {
			if steps > len(f.Access) {
				t.Fatalf("access group %d is behind itself", i)
			}
		}
	}
}
