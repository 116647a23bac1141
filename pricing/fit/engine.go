package fit

import (
	"strings"

	"onevisit/pricing/part"
)

// rule is one compiled rule.
type rule struct {
	id        string
	field     part.Field
	compare   func(r *rule, o, c *part.Spec, ctx *Context) finding
	onDiffer  Outcome
	onMissing Outcome
	// needed: the original must state the property too.
	needed bool
	// The rule is asked only where the scope field's code is in scopeIs.
	scope        *part.Field
	scopeIs      uint64
	scopeUnknown bool
	// silent is what a mark means that does not state the property; content is
	// the value of an original that any candidate satisfies.
	silent, content part.Value
	cross           []cross
	below, above    int64
	tight, loose    int64
	slack           int64
	askOver         int64
	hot             []string

	say, asks, equalSay, why, source string
}

// cross is an exception for one pair of words.
type cross struct {
	original, candidate int64
	outcome             Outcome
	say                 string
}

// finding is an outcome and which sentence explains it: an index into cross,
// or one of the notes below.
type finding struct {
	outcome Outcome
	note    int8
}

const (
	noteDefault    int8 = -1
	noteEqualMarks int8 = -2
	noteInch       int8 = -3
	noteIdler      int8 = -4
	noteBasis      int8 = -5
	noteMillimetre int8 = -6
)

var notes = map[int8]string{
	noteInch:       "equal if the three figures are tenths of an inch: confirm by measuring the old belt",
	noteIdler:      "check that the idler or the slotted motor still works in mid-travel",
	noteBasis:      "the two lengths are not measured along the same line: measure both belts",
	noteMillimetre: "equal only if the three figures are millimetres, which is unusual: measure the old belt",
}

func agrees() finding { return finding{Agrees, noteDefault} }

func (r *rule) differs() finding { return finding{r.onDiffer, noteDefault} }
func (r *rule) lacks() finding   { return finding{r.onMissing, noteDefault} }

// find applies the rule if its scope is met. The scope is the original's word;
// where the original is silent, the candidate's.
func (r *rule) find(o, c *part.Spec, ctx *Context) finding {
	if r.scope != nil {
		v := r.scope.Get(o)
		if !v.Set {
			v = r.scope.Get(c)
		}
		if v.Set && (v.N > 63 || r.scopeIs&(1<<uint(v.N)) == 0) || !v.Set && !r.scopeUnknown {
			return finding{}
		}
	}
	return r.compare(r, o, c, ctx)
}

// reason puts a finding in words.
func (r *rule) reason(f finding, o, c *part.Spec) Reason {
	var b strings.Builder
	ot, ct := r.field.Describe(o), r.field.Describe(c)
	b.WriteString(r.field.Label)
	if ot == ct && f.outcome == Agrees {
		b.WriteString(": " + ot + " on both")
	} else {
		b.WriteString(": original " + ot + ", candidate " + ct)
	}
	add := func(s string) {
		if s != "" {
			b.WriteString("; " + s)
		}
	}
	switch {
	case f.note >= 0:
		add(r.cross[f.note].say)
	case f.note == noteEqualMarks:
		add(r.equalSay)
	case f.note != noteDefault:
		add(notes[f.note])
	case f.outcome == Condition, f.outcome == Noted:
		add(r.say)
	case f.outcome == Ask:
		add(r.asks)
	}
	return Reason{Rule: r.id, Field: r.field.Name, Outcome: f.outcome, Gate: r.onDiffer == Differs,
		Text: b.String(), Why: r.why, Source: r.source}
}

// missing names whose value is not stated.
func (r *rule) missing(o, c *part.Spec) []string {
	var out []string
	if !r.field.Get(o).Set {
		out = append(out, r.field.Label+" of the original")
	}
	if !r.field.Get(c).Set {
		out = append(out, r.field.Label+" of the candidate")
	}
	if out == nil { // a part of the property, such as one class of several
		out = append(out, r.field.Label)
	}
	return out
}

// values reads both sides, with a silent mark taken to mean what the rule says
// it means. done is true when the finding is settled by what is not stated.
func (r *rule) values(o, c *part.Spec) (ov, cv part.Value, f finding, done bool) {
	ov, cv = r.field.Get(o), r.field.Get(c)
	if r.silent.Set {
		if !ov.Set && !cv.Set {
			return ov, cv, finding{}, true // nothing printed on either, nothing to say
		}
		if !ov.Set {
			ov = r.silent
		}
		if !cv.Set {
			cv = r.silent
		}
	}
	switch {
	case !ov.Set && ov.Unreadable:
		return ov, cv, r.lacks(), true
	case !ov.Set && r.needed:
		return ov, cv, finding{Missing, noteDefault}, true
	case !ov.Set:
		return ov, cv, finding{}, true
	case r.content.Set && r.content.N == ov.N:
		return ov, cv, agrees(), true
	case !cv.Set:
		return ov, cv, r.lacks(), true
	}
	for i := range r.cross {
		if x := &r.cross[i]; x.original == ov.N && x.candidate == cv.N {
			return ov, cv, finding{x.outcome, int8(i)}, true
		}
	}
	return ov, cv, finding{}, false
}

// simple makes a comparison of two stated numbers.
func simple(ok func(r *rule, o, c int64) bool) func(*rule, *part.Spec, *part.Spec, *Context) finding {
	return func(r *rule, o, c *part.Spec, _ *Context) finding {
		ov, cv, f, done := r.values(o, c)
		switch {
		case done:
			return f
		case ok(r, ov.N, cv.N):
			return agrees()
		case r.askOver > 0 && cv.N > ov.N && cv.N-ov.N <= r.askOver:
			return finding{Ask, noteDefault}
		}
		return r.differs()
	}
}

// comparisons are the words a rule may use in compare.
var comparisons = map[string]func(*rule, *part.Spec, *part.Spec, *Context) finding{
	"same":     simple(func(_ *rule, o, c int64) bool { return o == c }),
	"equal":    simple(func(_ *rule, o, c int64) bool { return o == c }),
	"at_least": simple(func(_ *rule, o, c int64) bool { return c >= o }),
	"at_most":  simple(func(_ *rule, o, c int64) bool { return c <= o }),
	"within":   simple(func(r *rule, o, c int64) bool { return c >= o-r.below && c <= o+r.above }),

	"by_eye": func(*rule, *part.Spec, *part.Spec, *Context) finding { return finding{Ask, noteDefault} },

	"capacitance":        compareCapacitance,
	"class_at_voltage":   compareClass,
	"above_site_voltage": compareSiteVoltage,
	"climate":            compareClimate,
	"frequency":          compareFrequency,
	"belt_length":        compareLength,
}
