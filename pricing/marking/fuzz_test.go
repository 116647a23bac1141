package marking_test

import (
	"errors"
	"strings"
	"testing"

	"onevisit/pricing/marking"
	"onevisit/pricing/part"
	"pgregory.net/rapid"
)

// stable holds the contract of Parse: the canonical mark reads back to the same
// spec and prints the same.
func stable(t interface {
	Helper()
	Errorf(string, ...any)
}, kind, text string) {
	t.Helper()
	first, err := marking.Parse(kind, text)
	if err != nil || first.Canonical == "" {
		return
	}
	again, err := marking.Parse(kind, first.Canonical)
	if err != nil {
		t.Errorf("%q -> %q does not parse: %v", text, first.Canonical, err)
		return
	}
	if again.Canonical != first.Canonical || !again.Spec.Equal(first.Spec) {
		t.Errorf("%q -> %q -> %q\n first %+v %+v\n again %+v %+v", text, first.Canonical, again.Canonical,
			first.Spec.Capacitor, first.Spec.Belt, again.Spec.Capacitor, again.Spec.Belt)
	}
	if len(again.Unread) > 0 && !strings.Contains(first.Canonical, "S?") { // S? says itself that it is unread
		t.Errorf("%q -> %q leaves %v unread", text, first.Canonical, again.Unread)
	}
}

func fuzzParse(f *testing.F, kind string) {
	f.Fuzz(func(t *testing.T, text string) {
		p, err := marking.Parse(kind, text)
		if err != nil {
			if !errors.Is(err, marking.ErrEmpty) && !errors.Is(err, marking.ErrLong) {
				t.Fatalf("Parse(%q): %v", text, err)
			}
			return
		}
		if len(p.Canonical) <= marking.MaxBytes {
			stable(t, kind, text)
		}
	})
}

func FuzzParseCapacitor(f *testing.F) {
	for _, c := range capacitorMarks {
		f.Add(c.text)
	}
	for _, hard := range []string{
		"1,2,3,4uF",                                  // decimal commas that share digits
		"B 400V C 450V D 500V A",                     // letters before and after voltages
		"\x01 8uF \x00450V\xff",                      // the reader's own gap sign and broken UTF-8
		"999999999999uF 99999V",                      // more digits than any field holds
		"8uF 1V 2V 3V 400V 450V",                     // more voltages than a spec holds
		"00008uF 0000V",                              // zeros
		"X X X 2x2x2uF",                              // multiplication everywhere
		"01X001", "00 001 to 0002 mf", "1000000kohm", // found by fuzzing: printed what was not read back
		"99999999999 kohm bleed",  // resistor beyond the field
		"-25/85/21 40/70/21 8/5",  // two climates
		"±±5%% 8uF +10-5% 12.34%", // tolerances in a heap
	} {
		f.Add(hard)
	}
	fuzzParse(f, part.RunCapacitor)
}

func FuzzParseBelt(f *testing.F) {
	for _, c := range beltMarks {
		f.Add(c.text)
	}
	for _, hard := range []string{
		"5M5M5M", "4L4L400", "AAA38", "1000Li1000Lw", "EEPJ5E1195E", // repeated signs
		"99999 in", "0.1 in J5", "000J00", "0000-5M-0", // outside every range
		"XPA10\"", "1RIB J 100LA", "07L100", "4L070", // found by fuzzing: basis or zeros lost in printing
		"T2.5/1000-2.5", "9999H099", "38\"A", // short fields at their limits
	} {
		f.Add(hard)
	}
	fuzzParse(f, part.DriveBelt)
}

func FuzzParseFree(f *testing.F) {
	for _, s := range []string{"2400 W 230 V", "1 2 V A M K", "1,2,3,4", ".5.5.5", "\u2126 \u00b5 \ufb01 ½"} {
		f.Add(s)
	}
	fuzzParse(f, "heating_element")
}

// TestParse_AnyOrder: the pieces of a capacitor mark may stand in any order,
// with any of the usual spellings, and mean the same.
func TestParse_AnyOrder(t *testing.T) {
	values := []string{"12.5uF", "12,5 µF", "12.5 MFD", "12.5 microfarad", "12µ5", "12500 nF"}
	volts := []string{"450V", "450 VAC", "450V~", "450 volts", "AC 450 V"}
	tolerances := []string{"±5%", "+/-5 %", "5%"}
	want := "12.5 µF ±5 % 450 VAC 25/085/21 S2 50 Hz"
	rapid.Check(t, func(t *rapid.T) {
		pieces := rapid.Permutation([]string{
			rapid.SampledFrom(values).Draw(t, "value"), rapid.SampledFrom(volts).Draw(t, "volts"),
			rapid.SampledFrom(tolerances).Draw(t, "tolerance"), "25/085/21", "S2", "50Hz",
		}).Draw(t, "order")
		text := strings.Join(pieces, " ")
		if rapid.Bool().Draw(t, "lower") {
			text = strings.ToLower(text)
		}
		if got := marking.Must(part.RunCapacitor, text).Canonical; got != want {
			t.Fatalf("%q -> %q, want %q", text, got, want)
		}
	})
}

func TestParse_RandomMarksAreStable(t *testing.T) {
	bits := []string{"8", "450", "12,5", "uF", "MFD", "V", "VAC", "~", "B", "C", "CL.", "/", "-", "+", "±5%", " ", " ",
		"S2", "P1", "DC", "X2", "start", "dual", "two", "series", "25/085/21", "50Hz", "J", "H7", "1930", "PJ", "E", "EL",
		"A", "38", "Z", "Li", "5M", "T5", "XL", "037", "mm", "in", "ribs", "teeth", "wide", "?", "x", "tabs", "kΩ", "bleed"}
	for _, kind := range []string{part.RunCapacitor, part.DriveBelt, "lamp"} {
		rapid.Check(t, func(t *rapid.T) {
			text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(bits), 1, 14).Draw(t, "bits"), "")
			stable(t, kind, text)
		})
	}
}

func BenchmarkParse(b *testing.B) {
	for _, c := range []struct{ name, kind, text string }{
		{"capacitor", part.RunCapacitor, "8µF ±5% 400V~ B 25/085/21 S2 50/60Hz"},
		{"belt", part.DriveBelt, "1236J5 EL"},
		{"free", "lamp", "25 W 230 V"},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				marking.Must(c.kind, c.text)
			}
		})
	}
}

func TestParse_Errors(t *testing.T) {
	for _, c := range []struct {
		kind, text string
		want       error
	}{
		{"", "8uF", marking.ErrKind},
		{"lamp", " \t", marking.ErrEmpty},
		{"lamp", strings.Repeat("x", marking.MaxBytes+1), marking.ErrLong},
	} {
		if _, err := marking.Parse(c.kind, c.text); !errors.Is(err, c.want) {
			t.Errorf("Parse(%q, …) error %v, want %v", c.kind, err, c.want)
		}
	}
}
