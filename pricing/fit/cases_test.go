package fit_test

import (
	"testing"

	"onevisit/pricing/fit"
	"onevisit/pricing/marking"
	"onevisit/pricing/part"
)

var rules = fit.Default()

func check(kind, original, candidate string, ctx fit.Context) fit.Result {
	return rules.Check(fit.Request{Original: marking.Must(kind, original).Spec,
		Candidate: marking.Must(kind, candidate).Spec, Context: ctx})
}

// fitCase is a pair of marks with the verdict and the rule that decides it,
// empty where the part simply fits. Ids are those of the trade's case list; the
// source of each is that of the rule named, as written in rules/*.yaml.
type fitCase struct {
	id, original, candidate string
	ctx                     fit.Context
	want                    fit.Verdict
	deciding                string
}

var capacitorCases = []fitCase{
	{"CAP-1", "8 µF ±5 % 400 VAC B S2", "8 µF ±5 % 450 VAC B S2", fit.Context{}, fit.Fits, ""},
	{"CAP-2", "8 µF 450 VAC", "8 µF 400 VAC", fit.Context{}, fit.DoesNotFit, "voltage-not-lower"},
	{"CAP-3", "8 µF 400 VAC", "10 µF 450 VAC", fit.Context{}, fit.DoesNotFit, "capacitance-equal"},
	{"CAP-4", "8 µF ±10 % 400 VAC", "8.2 µF ±5 % 450 VAC", fit.Context{}, fit.CannotTell, "capacitance-equal"},
	{"CAP-5", "8 µF 400 V B / 450 V C", "8 µF 450 V C", fit.Context{}, fit.FitsWithConditions, "class-of-operation"},
	{"CAP-6", "9 µF 425 VAC S2", "9 µF 450 VAC S0", fit.Context{}, fit.DoesNotFit, "protection-not-lower"},
	{"CAP-7", "9 µF 425 VAC P2", "9 µF 450 VAC S2", fit.Context{}, fit.Fits, ""},
	{"CAP-8 dryer", "12.5 µF 400 VAC 25/085/21", "12,5 µF 450 VAC 25/070/21", fit.Context{Family: "tumble_dryer"}, fit.DoesNotFit, "upper-temperature"},
	{"CAP-8 hood", "12.5 µF 400 VAC 25/085/21", "12,5 µF 450 VAC 25/070/21", fit.Context{Family: "range_hood"}, fit.CannotTell, "upper-temperature"},
	{"CAP-9", "15 µF 450 VAC, double tabs", "15 µF 450 VAC, single tabs", fit.Context{}, fit.FitsWithConditions, "terminals-adaptable"},
	{"CAP-10", "16 µF 450 VAC run", "16 µF 50 V DC", fit.Context{}, fit.DoesNotFit, "type-same"},
	{"CAP-11", "2.5 µF 450 VAC run", "2.2 µF X2 275 VAC", fit.Context{}, fit.DoesNotFit, "type-same"},
	{"CAP-12", "8 µF 400 VAC", "8 µF, voltage unreadable", fit.Context{}, fit.CannotTell, "voltage-not-lower"},
	{"CAP-13", "10 µF 400 VAC 50 Hz", "10 µF 400 VAC 50/60 Hz", fit.Context{}, fit.Fits, ""},
	{"CAP-14", "8 µF 450 VAC", "4 µF + 4 µF 450 VAC in parallel", fit.Context{}, fit.CannotTell, "assembly-same"},
	{"CAP-15", "8 µF 450 VAC", "two 16 µF 250 VAC in series", fit.Context{}, fit.DoesNotFit, "assembly-same"},
	{"STC-1", "start 88–108 µF 250 VAC", "start 88–108 µF 330 VAC", fit.Context{}, fit.Fits, ""},
	{"STC-2", "start 88–108 µF 330 VAC", "start 88–108 µF 250 VAC", fit.Context{}, fit.DoesNotFit, "voltage-not-lower"},
	{"STC-3", "start 88–108 µF 250 VAC", "start 108–130 µF 250 VAC", fit.Context{}, fit.DoesNotFit, "capacitance-equal"},
	{"STC-4", "start 88–108 µF 250 VAC", "run 100 µF 250 VAC film", fit.Context{}, fit.CannotTell, "type-same"},
	{"STC-5", "run 25 µF 450 VAC", "start 25–30 µF 330 VAC", fit.Context{}, fit.DoesNotFit, "type-same"},
	{"STC-6", "start 189–227 µF 330 VAC with 15 kΩ bleed", "start 189–227 µF 330 VAC without bleed", fit.Context{}, fit.FitsWithConditions, "discharge-resistor"},
	{"DRC-1", "dual 40+5 µF 440 VAC", "dual 40+5 µF 440 VAC", fit.Context{}, fit.Fits, ""},
	{"DRC-2", "dual 40+5 µF 370 VAC", "dual 40+5 µF 440 VAC", fit.Context{}, fit.Fits, ""},
	{"DRC-3", "dual 40+5 µF 440 VAC", "dual 40+7.5 µF 440 VAC", fit.Context{}, fit.DoesNotFit, "capacitance-equal"},
	{"DRC-4", "dual 35+5 µF 440 VAC", "singles 35 µF and 5 µF 450 VAC", fit.Context{}, fit.FitsWithConditions, "assembly-same"},
	{"DRC-5", "single 5 µF 440 VAC", "dual 40+5 µF 440 VAC, FAN–C only", fit.Context{}, fit.CannotTell, "assembly-same"},
	{"DRC-6", "dual 40+5 µF 440 VAC", "dual 40+5 µF 370 VAC", fit.Context{}, fit.DoesNotFit, "voltage-not-lower"},

	// Decisions of this project where the list is silent.
	{"everyday pair", "8 µF 450 V", "8 µF 450 V", fit.Context{}, fit.Fits, ""},
	{"issue: 425 to 450", "8 µF 425 V", "8 µF 450 V", fit.Context{}, fit.Fits, ""},
	{"issue: 425 to 500", "8 µF 425 V", "8 µF 500 V", fit.Context{}, fit.Fits, ""},
	{"issue: 425 to 300", "8 µF 425 V", "8 µF 300 V", fit.Context{}, fit.DoesNotFit, "voltage-not-lower"},
	{"issue: 8 to 10", "8 µF 425 V", "10 µF 450 V", fit.Context{}, fit.DoesNotFit, "capacitance-equal"},
	{"candidate says more", "8 µF 400 VAC", "8 µF ±5% 450 VAC B S2 25/085/21 50/60Hz", fit.Context{}, fit.Fits, ""},
	{"protection silent", "8 µF 400 VAC S2", "8 µF 450 VAC", fit.Context{}, fit.CannotTell, "protection-not-lower"},
	{"class silent", "8 µF 400 VAC B", "8 µF 450 VAC", fit.Context{}, fit.FitsWithConditions, "class-of-operation"},
	{"nearest size, no band", "8 µF 400 VAC", "8.2 µF 450 VAC", fit.Context{}, fit.DoesNotFit, "capacitance-equal"},
	{"edge of the band", "8 µF ±10 % 400 VAC", "8.8 µF 450 VAC", fit.Context{}, fit.CannotTell, "capacitance-equal"},
	{"just outside the band", "8 µF ±10 % 400 VAC", "8.81 µF 450 VAC", fit.Context{}, fit.DoesNotFit, "capacitance-equal"},
	{"one pair lower", "8 µF 400/450 V", "8 µF 425 V", fit.Context{}, fit.DoesNotFit, "voltage-not-lower"},
	{"longer life at higher volts", "8 µF 400 V C", "8 µF 450 V B", fit.Context{}, fit.Fits, ""},
	{"60 Hz mark on 50 Hz", "8 µF 450 V 50Hz", "8 µF 450 V 60Hz", fit.Context{}, fit.CannotTell, "frequency-covered"},
	{"60 Hz mark on a 60 Hz site", "8 µF 450 V 50/60Hz", "8 µF 450 V 60Hz", fit.Context{SupplyHertz: 60}, fit.Fits, ""},
	{"half of the list, site unknown", "8 µF 450 V 50/60Hz", "8 µF 450 V 50Hz", fit.Context{}, fit.CannotTell, "frequency-covered"},
	{"frequency silent", "8 µF 450 V 50Hz", "8 µF 450 V", fit.Context{}, fit.CannotTell, "frequency-covered"},
	{"protection printed but unreadable", "8 µF 450 V S?", "8 µF 450 V S0", fit.Context{}, fit.CannotTell, "protection-not-lower"},
	{"S3 and S2 are equal", "8 µF 450 V S3", "8 µF 450 V S2", fit.Context{}, fit.Fits, ""},
	{"wider tolerance", "8 µF ±5% 450 V", "8 µF ±10% 450 V", fit.Context{}, fit.FitsWithConditions, "tolerance-not-wider"},
	{"below the mains", "8 µF 200 V", "8 µF 200 V", fit.Context{SupplyVolts: 230}, fit.DoesNotFit, "voltage-above-mains"},
	{"climate silent in a dryer", "8 µF 450 V 25/085/21", "8 µF 450 V", fit.Context{Family: "tumble_dryer"}, fit.CannotTell, "upper-temperature"},
	{"climate silent elsewhere", "8 µF 450 V 25/085/21", "8 µF 450 V", fit.Context{}, fit.FitsWithConditions, "upper-temperature"},
	{"same incomplete mark", "8 µF", "8 µF", fit.Context{}, fit.CannotTell, "voltage-not-lower"},
	{"AC volts against DC volts", "8 µF 450 V", "8 µF 630 VDC", fit.Context{}, fit.DoesNotFit, "type-same"},
}

var beltCases = []fitCase{
	{"BLT-1", "1236J5 EL", "1236 PJE 5", fit.Context{}, fit.Fits, ""},
	{"BLT-2", "1236J5 EL", "1240J5 EL", fit.Context{}, fit.Fits, ""},
	{"BLT-3", "1236J5 EL", "1246J5 EL", fit.Context{}, fit.DoesNotFit, "ribbed-length"},
	{"BLT-4", "1195J5 EL", "1195J5 (not elastic)", fit.Context{}, fit.DoesNotFit, "cord-same"},
	{"BLT-5", "1195J5", "1195J6", fit.Context{}, fit.CannotTell, "ribs-equal"},
	{"BLT-6", "1930H7", "1935H7", fit.Context{Tension: fit.Adjustable}, fit.Fits, ""},
	{"BLT-7", "1930H7", "1930J7", fit.Context{}, fit.DoesNotFit, "profile-same"},
	{"BLT-8", "490J5", "1245J5", fit.Context{}, fit.FitsWithConditions, "ribbed-length"},
	{"BLT-9", "6PK1200", "6PK1205", fit.Context{Tension: fit.Adjustable}, fit.Fits, ""},
	{"VBT-1", "4L400", "A38", fit.Context{}, fit.CannotTell, "section-same"},
	{"VBT-2", "Z 1000 Li", "Z 1005 Li", fit.Context{Tension: fit.Adjustable}, fit.Fits, ""},
	{"VBT-3", "A 1000", "Z 1000", fit.Context{}, fit.DoesNotFit, "section-same"},
	{"VBT-4", "SPZ 1000 Lw", "Z 1000 Li", fit.Context{}, fit.DoesNotFit, "section-same"},
	{"VBT-5", "3L280", "3L290", fit.Context{}, fit.DoesNotFit, "vee-length"},
	{"VBT-6", "A 40 plain", "A 40 cogged", fit.Context{}, fit.Fits, ""},
	{"TTH-1", "450-5M-15", "450-5M-15", fit.Context{}, fit.Fits, ""},
	{"TTH-2", "450-5M-15", "455-5M-15", fit.Context{}, fit.DoesNotFit, "teeth-equal"},
	{"TTH-3", "450-5M-15", "T5/450 15 wide", fit.Context{}, fit.DoesNotFit, "tooth-form-same"},
	{"TTH-4", "120XL037", "120XL050", fit.Context{}, fit.DoesNotFit, "width-within"},
	{"TTH-5", "10 T5/455", "10 T5/455", fit.Context{}, fit.Fits, ""},
	{"TTH-6", "300-3M-9", "300-3M-10", fit.Context{}, fit.Fits, ""},

	{"stiff, 0.5 to 1 %, idler unseen", "1930H7", "1945H7", fit.Context{}, fit.FitsWithConditions, "ribbed-length"},
	{"stiff, 0.5 to 1 %, idler seen", "1930H7", "1945H7", fit.Context{Tension: fit.Adjustable}, fit.Fits, ""},
	{"stiff, 0.5 to 1 %, fixed centres", "1930H7", "1945H7", fit.Context{Tension: fit.FixedCentres}, fit.DoesNotFit, "ribbed-length"},
	{"elastic edge 0.5 %", "1200J5 EL", "1206J5 EL", fit.Context{}, fit.Fits, ""},
	{"elastic past 0.5 %", "1200J5 EL", "1207J5 EL", fit.Context{}, fit.DoesNotFit, "ribbed-length"},
	{"stiff edge 1 %", "1200J5", "1212J5", fit.Context{Tension: fit.Adjustable}, fit.Fits, ""},
	{"stiff past 1 %", "1200J5", "1213J5", fit.Context{Tension: fit.Adjustable}, fit.DoesNotFit, "ribbed-length"},
	{"elastic for unmarked", "1195J5", "1195J5 EL", fit.Context{}, fit.DoesNotFit, "cord-same"},
	{"one rib fewer", "1195J6", "1195J5", fit.Context{}, fit.DoesNotFit, "ribs-equal"},
	{"two ribs more", "1195J5", "1195J7", fit.Context{}, fit.DoesNotFit, "ribs-equal"},
	{"same old inch mark", "490J5", "490J5", fit.Context{}, fit.Fits, ""},
	{"millimetre reading", "490J5", "490 mm J5", fit.Context{}, fit.CannotTell, "ribbed-length"},
	{"length only, equal", "1930 mm", "1930mm", fit.Context{}, fit.FitsWithConditions, "belt-sort-same"},
	{"length only, other", "1930 mm", "2010 mm", fit.Context{}, fit.DoesNotFit, "unknown-sort-length"},
	{"length only, near", "1930 mm", "1935 mm", fit.Context{}, fit.CannotTell, "belt-sort-same"},
	{"length only against full", "1930 mm", "1930H7", fit.Context{}, fit.CannotTell, "belt-sort-same"},
	{"length only against wrong full", "1930 mm", "2010H7", fit.Context{}, fit.DoesNotFit, "ribbed-length"},
	{"inside against datum", "Z 1000 Li", "Z 1022 Lw", fit.Context{}, fit.CannotTell, "vee-length"},
	{"inside inches against mm", "A38", "A 965 Li", fit.Context{}, fit.Fits, ""},
	{"width missing", "450-5M-15", "450-5M", fit.Context{}, fit.CannotTell, "width-within"},
	{"ribbed against toothed", "1200J5", "450-5M-15", fit.Context{}, fit.DoesNotFit, "belt-sort-same"},
}

func TestCheck_TradeCases(t *testing.T) {
	run := func(kind string, cases []fitCase) {
		for _, c := range cases {
			got := check(kind, c.original, c.candidate, c.ctx)
			if got.Verdict != c.want || got.Deciding != c.deciding {
				t.Errorf("%s: %q -> %q = %v by %q, want %v by %q\n%+v", c.id, c.original, c.candidate,
					got.Verdict, got.Deciding, c.want, c.deciding, got.Reasons)
			}
			for _, r := range got.Reasons {
				if r.Text == "" || r.Why == "" || r.Source == "" {
					t.Errorf("%s: reason %q lacks text, why or source", c.id, r.Rule)
				}
			}
			if got.Verdict == fit.FitsWithConditions && len(got.Conditions) == 0 {
				t.Errorf("%s: conditions promised but none given", c.id)
			}
		}
	}
	run(part.RunCapacitor, capacitorCases)
	run(part.DriveBelt, beltCases)
}

// TestCheck_OtherKinds: kinds without rules compare by equal marks and say so.
func TestCheck_OtherKinds(t *testing.T) {
	if got := check("heating_element", "2400 W 230 V", "2400w 230v", fit.Context{}); got.Verdict != fit.Fits {
		t.Errorf("equal marks: %v", got)
	}
	if got := check("heating_element", "2400 W 230 V", "2200 W 230 V", fit.Context{}); got.Verdict != fit.CannotTell || got.Deciding != fit.RuleNoRules || len(got.Missing) == 0 {
		t.Errorf("other marks: %v", got)
	}
	got := rules.Check(fit.Request{Original: marking.Must(part.RunCapacitor, "8uF 450V").Spec, Candidate: marking.Must("lamp", "8uF 450V").Spec})
	if got.Verdict != fit.DoesNotFit || got.Deciding != fit.RulePartKind {
		t.Errorf("other kind: %v", got)
	}
	empty := part.Spec{Kind: "lamp"}
	if got := rules.Check(fit.Request{Original: empty, Candidate: empty}); got.Verdict != fit.CannotTell {
		t.Errorf("no mark at all: %v", got)
	}
}
