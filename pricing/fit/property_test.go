package fit_test

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"onevisit/pricing/fit"
	"onevisit/pricing/marking"
	"onevisit/pricing/part"
	"pgregory.net/rapid"
)

func pick[T any](t *rapid.T, name string, of ...T) T { return rapid.SampledFrom(of).Draw(t, name) }

// drawCapacitor draws a capacitor mark; complete ones always state value and voltage.
func drawCapacitor(t *rapid.T, complete bool) string {
	value := pick(t, "value", "8uF", "8.2uF", "10uF", "12.5uF", "dual 40+5uF", "88-108uF", "two singles 4uF + 4uF",
		"4uF + 4uF in parallel", "16uF + 16uF in series")
	volts := pick(t, "volts", "300V", "400V", "425V", "450V B", "400V B / 450V C", "500V A", "50VDC")
	if complete && volts == "50VDC" {
		volts = "450V"
	}
	if !complete {
		value, volts = pick(t, "drop value", value, value, ""), pick(t, "drop volts", volts, volts, "")
	}
	rest := []string{value, volts,
		pick(t, "tolerance", "", "±5%", "±10%"), pick(t, "protection", "", "S0", "S1", "S2", "S3", "P2"),
		pick(t, "climate", "", "25/085/21", "25/070/21", "40/100/56"), pick(t, "Hz", "", "50Hz", "60Hz", "50/60Hz"),
		pick(t, "tabs", "", "single tabs", "double tabs", "leads"), pick(t, "bleed", "", "bleed", "no bleed"),
		pick(t, "type", "", "", "", "start", "X2")}
	return strings.TrimSpace(strings.Join(rest, " ") + " cap")
}

func drawBelt(t *rapid.T, complete bool) string {
	marks := []string{"1236J5 EL", "1240J5 EL", "1236J5", "1240J5", "1245J5", "490J5", "1236J6", "1236H5", "A38", "A 965 Li", "A 1000",
		"Z 1000 Li", "Z 1022 Lw", "4L400", "AX38", "450-5M-15", "455-5M-15", "450-5M-20", "10 T5/455", "120XL037"}
	if !complete {
		marks = append(marks, "1236 mm", "J5", "5 ribs", "450-5M", "section A", "flat belt", "belt")
	}
	return pick(t, "belt", marks...)
}

func draw(t *rapid.T, kind string, complete bool) part.Spec {
	text := ""
	if kind == part.DriveBelt {
		text = drawBelt(t, complete)
	} else {
		text = drawCapacitor(t, complete)
	}
	return marking.Must(kind, text).Spec
}

func drawContext(t *rapid.T) fit.Context {
	return fit.Context{Family: pick(t, "family", "", "tumble_dryer", "range_hood"), SupplyHertz: pick(t, "site Hz", 0, 50, 60),
		SupplyVolts: pick(t, "site V", 0, 120, 230), Tension: pick(t, "tension", fit.TensionUnknown, fit.FixedCentres, fit.Adjustable),
		Heat: pick(t, "heat", fit.HeatUnknown, fit.CoolPlace, fit.HotPlace)}
}

var bothKinds = []string{part.RunCapacitor, part.DriveBelt}

// TestDecide_EqualsCheck: the fast path and the explained one are one verdict,
// and the verdict is the heaviest reason.
func TestDecide_EqualsCheck(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := pick(t, "kind", bothKinds...)
		o, c, ctx := draw(t, kind, false), draw(t, kind, false), drawContext(t)
		got := rules.Check(fit.Request{Original: o, Candidate: c, Context: ctx})
		if fast := rules.Decide(&o, &c, &ctx); fast != got.Verdict {
			t.Fatalf("%q -> %q: Decide %v, Check %v\n%+v", o.Text, c.Text, fast, got.Verdict, got.Reasons)
		}
		if all := rules.DecideAll(o, []part.Spec{c}, ctx); all[0] != got.Verdict {
			t.Fatalf("DecideAll %v, Check %v", all[0], got.Verdict)
		}
		if all := rules.CheckAll(o, []part.Spec{c, o}, ctx); len(all) != 2 || all[0].Verdict != got.Verdict {
			t.Fatalf("CheckAll %+v", all)
		}
	})
}

// TestCheck_Reflexive: a complete mark fits itself, in every machine whose mains
// it is rated for.
func TestCheck_Reflexive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := pick(t, "kind", bothKinds...)
		o, ctx := draw(t, kind, true), drawContext(t)
		ctx.SupplyHertz = 0 // a 60 Hz mark is rightly asked about on 50 Hz
		got := rules.Check(fit.Request{Original: o, Candidate: o, Context: ctx})
		if got.Verdict != fit.Fits && o.Text != "" {
			t.Fatalf("%q -> itself: %v by %s", o.Text, got.Verdict, got.Deciding)
		}
	})
}

// TestCheck_HigherVoltageNeverWorse: raising every AC voltage of a candidate by
// the same step never makes the verdict worse; lowering the highest below the
// original's is never accepted.
func TestCheck_HigherVoltageNeverWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, c, ctx := draw(t, part.RunCapacitor, false), draw(t, part.RunCapacitor, false), drawContext(t)
		before := rules.Decide(&o, &c, &ctx)
		raised := *c.Capacitor
		step := part.Volts(rapid.IntRange(1, 300).Draw(t, "step"))
		for i := range raised.Ratings {
			if raised.Ratings[i].Volts > 0 {
				raised.Ratings[i].Volts += step
			}
		}
		c2 := c
		c2.Capacitor, c2.Text = &raised, ""
		if after := rules.Decide(&o, &c2, &ctx); after < before {
			t.Fatalf("%q -> %q: %v, raised by %d V: %v", o.Text, c.Text, before, step, after)
		}
		low, high := c.Capacitor.Ratings.Highest(), o.Capacitor.Ratings.Highest()
		if low > 0 && high > 0 && low < high && before.Accepts() {
			t.Fatalf("%q -> %q accepted with %d V for %d V", o.Text, c.Text, low, high)
		}
	})
}

// TestCheck_CapacitanceDiffers: two single values that differ are never
// accepted, whatever else is printed, in either direction.
func TestCheck_CapacitanceDiffers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, c, ctx := draw(t, part.RunCapacitor, false), draw(t, part.RunCapacitor, false), drawContext(t)
		a, b := o.Capacitor, c.Capacitor
		if a.Assembly != part.Single || b.Assembly != part.Single || a.Upper+b.Upper > 0 || a.Capacitance == b.Capacitance {
			t.Skip("not two different single values")
		}
		if rules.Decide(&o, &c, &ctx).Accepts() || rules.Decide(&c, &o, &ctx).Accepts() {
			t.Fatalf("%q and %q accepted for each other", o.Text, c.Text)
		}
	})
}

// TestCheck_MissingCoreNeverAccepted: without the candidate's capacitance or
// voltage there is no acceptance.
func TestCheck_MissingCoreNeverAccepted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, c, ctx := draw(t, part.RunCapacitor, false), draw(t, part.RunCapacitor, false), drawContext(t)
		if c.Capacitor.Capacitance != 0 && c.Capacitor.Ratings.Highest() != 0 {
			t.Skip("complete")
		}
		if rules.Decide(&o, &c, &ctx).Accepts() {
			t.Fatalf("%q accepted for %q", c.Text, o.Text)
		}
	})
}

// TestCheck_SymmetricFacts: what only compares for sameness reads the same from
// both sides.
func TestCheck_SymmetricFacts(t *testing.T) {
	same := map[string]bool{"belt-sort-same": true, "profile-same": true, "section-same": true, "cord-same": true,
		"tooth-form-same": true, "pitch-same": true, "teeth-equal": true}
	rapid.Check(t, func(t *rapid.T) {
		a, b, ctx := draw(t, part.DriveBelt, true), draw(t, part.DriveBelt, true), drawContext(t)
		there := outcomes(rules.Check(fit.Request{Original: a, Candidate: b, Context: ctx}))
		back := outcomes(rules.Check(fit.Request{Original: b, Candidate: a, Context: ctx}))
		if a.Belt.Form != b.Belt.Form {
			t.Skip("rules of different sorts")
		}
		for id := range same {
			if there[id] != back[id] {
				t.Fatalf("%s: %q -> %q %v, back %v", id, a.Text, b.Text, there[id], back[id])
			}
		}
	})
}

func outcomes(r fit.Result) map[string]fit.Outcome {
	m := map[string]fit.Outcome{}
	for _, x := range r.Reasons {
		m[x.Rule] = x.Outcome
	}
	return m
}

// TestBeltLength_Brute checks the limits against the plain inequality in
// exact integers, over every millimetre around the edges.
func TestBeltLength_Brute(t *testing.T) {
	for _, original := range []int{1000, 1195, 1236, 1930, 2010} {
		for off := -30; off <= 30; off++ {
			o, c := ribbedBelt(original, part.Yes), ribbedBelt(original+off, part.Yes)
			ctx := fit.Context{}
			want := fit.DoesNotFit
			if max(off, -off)*200 <= original { // 0.5 %
				want = fit.Fits
			}
			if got := rules.Decide(&o, &c, &ctx); got != want {
				t.Errorf("elastic %d -> %d: %v, want %v", original, original+off, got, want)
			}
			o, c = ribbedBelt(original, part.Unsaid), ribbedBelt(original+off, part.Unsaid)
			ctx.Tension, want = fit.Adjustable, fit.DoesNotFit
			if max(off, -off)*100 <= original { // 1 %
				want = fit.Fits
			}
			if got := rules.Decide(&o, &c, &ctx); got != want {
				t.Errorf("stiff %d -> %d: %v, want %v", original, original+off, got, want)
			}
		}
	}
}

func ribbedBelt(mm int, elastic part.Presence) part.Spec {
	return part.Spec{Kind: part.DriveBelt, Belt: &part.Belt{Form: part.Ribbed, Profile: 'J', Ribs: 5, Elastic: elastic,
		Length: part.Length{Micrometres: part.Micrometres(mm) * part.Millimetre, Basis: part.Effective}}}
}

// TestLoad_BadFiles: each bad file is refused with file, line and what is wrong.
func TestLoad_BadFiles(t *testing.T) {
	head := "format: 1\nkind: run_capacitor\nrules:\n"
	good := "  - {id: v, field: voltage, compare: at_least, effect: gate, why: w, source: s}\n"
	for _, c := range []struct{ name, text, want string }{
		{"unknown key", head + "  - {id: v, feild: voltage}\n", "r.yaml:4: invalid file: field feild not known here"},
		{"unknown field", head + good + "  - {id: w, field: volts, compare: same, effect: gate, why: w, source: s}\n", `r.yaml:5: invalid file: rule "w": no field "volts"`},
		{"unknown comparison", head + "  - id: v\n    field: voltage\n    compare: about\n    effect: gate\n    why: w\n    source: s\n", `r.yaml:6: invalid file: rule "v": unknown comparison "about"`},
		{"unknown effect", head + "  - {id: v, field: voltage, compare: same, effect: stop, why: w, source: s}\n", `r.yaml:4: invalid file: rule "v": effect "stop"`},
		{"no source", head + "  - {id: v, field: voltage, compare: same, effect: gate, why: w}\n", "why and source must be given"},
		{"condition says nothing", head + "  - {id: v, field: voltage, compare: same, effect: condition, why: w, source: s}\n", "a condition must say what to do"},
		{"same id twice", head + good + good, `r.yaml:5: invalid file: rule id "v" twice`},
		{"same key twice", head + "  - {id: v, id: w}\n", "r.yaml:4: invalid file: mapping key \"id\" already defined at line 4"},
		{"unknown kind", "format: 1\nkind: hat\nrules: []\n", `r.yaml:2: invalid file: part kind "hat" has no typed spec`},
		{"unknown word", head + "  - {id: a, field: assembly, compare: same, effect: gate, why: w, source: s, except: [{original: triple, candidate: single, outcome: ask}]}\n", `field assembly has no word "triple"`},
		{"no limits", head + "  - {id: a, field: voltage, compare: within, effect: gate, why: w, source: s}\n", "within needs its limits"},
		{"need without say", "format: 1\nkind: drive_belt\nequal_incomplete_marks_need: [length]\nrules:\n  - {id: v, field: length, compare: same, effect: gate, why: w, source: s}\n", "r.yaml:3: invalid file: equal_incomplete"},
		{"no rules", "format: 1\nkind: run_capacitor\nrules: []\n", "r.yaml:3: invalid file: no rules"},
		{"other format", "format: 2\nkind: run_capacitor\n", "r.yaml:1: invalid file: format must be 1"},
		{"broken", "format: [1\n", "r.yaml:"},
		{"empty", "", "r.yaml:1: invalid file: empty"},
	} {
		_, err := fit.Load(fstest.MapFS{"r.yaml": {Data: []byte(c.text)}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
	if _, err := fit.Load(fstest.MapFS{}); err == nil {
		t.Error("an empty folder loaded: nothing would be refused")
	}
	if _, err := fit.Load(fstest.MapFS{"r.yaml": {Data: []byte(head + good)}}); err != nil {
		t.Errorf("the good file of these cases: %v", err)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add("format: 1\nkind: run_capacitor\nrules:\n  - {id: v, field: voltage, compare: at_least, effect: gate, why: w, source: s}\n") // a good file
	f.Add("format: 1\nkind: drive_belt\nrules:\n  - {id: v, field: length, compare: capacitance, effect: gate, why: w, source: s}\n")  // a comparison of another kind
	f.Add("a: &a [*a]")                                                                                                                // an alias of itself
	f.Fuzz(func(t *testing.T, text string) {
		rs, err := fit.Load(fstest.MapFS{"r.yaml": {Data: []byte(text)}})
		if err != nil {
			return
		}
		for _, kind := range bothKinds {
			o := marking.Must(kind, "8uF 450V 1236J5 EL").Spec
			ctx := fit.Context{}
			if rs.Decide(&o, &o, &ctx) != rs.Check(fit.Request{Original: o, Candidate: o}).Verdict {
				t.Error("loaded rules disagree with themselves")
			}
		}
	})
}

func BenchmarkCheck(b *testing.B) {
	for _, c := range []struct{ name, kind, original, candidate string }{
		{"capacitor_fits", part.RunCapacitor, "8µF ±5% 400V~ B 25/085/21 S2 50/60Hz", "8µF ±5% 450V~ B 25/085/21 S2 50/60Hz"},
		{"capacitor_plain", part.RunCapacitor, "8 µF 450 V", "8 µF 450 V"},
		{"capacitor_refused", part.RunCapacitor, "8 µF 450 V", "10 µF 450 V"},
		{"belt_fits", part.DriveBelt, "1236J5 EL", "1240J5 EL"},
	} {
		o, k := marking.Must(c.kind, c.original).Spec, marking.Must(c.kind, c.candidate).Spec
		ctx := fit.Context{}
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				rules.Decide(&o, &k, &ctx)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "checks/s")
		})
		b.Run(c.name+"_explained", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				rules.Check(fit.Request{Original: o, Candidate: k, Context: ctx})
			}
		})
	}
}

func TestDecide_DoesNotAllocate(t *testing.T) {
	o, c := marking.Must(part.RunCapacitor, "8 µF 450 V S2").Spec, marking.Must(part.RunCapacitor, "8 µF 500 V S2").Spec
	ctx := fit.Context{Family: "tumble_dryer"}
	if n := testing.AllocsPerRun(100, func() { rules.Decide(&o, &c, &ctx) }); n != 0 {
		t.Errorf("Decide allocates %v times", n)
	}
}

func ExampleRules_Check() {
	old := marking.Must(part.RunCapacitor, "8uF 425V").Spec
	van := marking.Must(part.RunCapacitor, "8 µF 300 VAC").Spec
	got := fit.Default().Check(fit.Request{Original: old, Candidate: van})
	fmt.Println(got.Verdict, "by", got.Deciding)
	// Output: does not fit by voltage-not-lower
}
