package part_test

import (
	"math"
	"testing"

	"onevisit/pricing/part"
)

func TestDecimal(t *testing.T) {
	for _, c := range []struct {
		n      int64
		places int
		want   string
	}{
		{12_500_000, 6, "12.5"}, {8_000_000, 6, "8"}, {4_700, 6, "0.0047"}, {0, 6, "0"}, {1, 0, "1"},
		{-2_540, 3, "-2.54"}, {-25, 0, "-25"}, {math.MinInt64, 0, "-9223372036854775808"},
	} {
		if got := part.Decimal(c.n, c.places); got != c.want {
			t.Errorf("Decimal(%d, %d) = %q, want %q", c.n, c.places, got, c.want)
		}
	}
}

// Hours of the classes: IEC 60252-1, as printed on capacitor sheets.
func TestClass(t *testing.T) {
	for letter, want := range map[string]int{"A": 30000, "B": 10000, "C": 3000, "D": 1000} {
		c := part.ClassA - part.Class(letter[0]-'A')
		if c.Letter() != letter || c.Hours() != want {
			t.Errorf("class %s: letter %s, %d h", letter, c.Letter(), c.Hours())
		}
	}
	if part.ClassUnset.Letter() != "" || part.ClassUnset.Hours() != 0 {
		t.Error("an unset class has a letter or hours")
	}
	if !(part.ClassA > part.ClassB && part.ClassB > part.ClassC && part.ClassC > part.ClassD && part.ClassD > part.ClassUnset) {
		t.Error("classes do not rise with life")
	}
}

func TestRatings_BestClassAt(t *testing.T) {
	r := part.Ratings{{Volts: 400, Class: part.ClassB}, {Volts: 450, Class: part.ClassC}}
	for volts, want := range map[part.Volts]part.Class{300: part.ClassB, 400: part.ClassB, 401: part.ClassC, 450: part.ClassC, 451: part.ClassUnset} {
		if got := r.BestClassAt(volts); got != want {
			t.Errorf("at %d V: %v, want %v", volts, got, want)
		}
	}
	if r.Highest() != 450 || (part.Ratings{}).Highest() != 0 {
		t.Error("highest voltage")
	}
}

// One inch is 25.4 mm exactly: 49.0 in is 1244.6 mm, 120 in is 3048 mm.
func TestLength_Other(t *testing.T) {
	if got := (part.Length{Micrometres: 490_000, Doubt: part.TenthsOfIn}).Other(); got != 1_244_600 {
		t.Errorf("490 tenths of an inch = %v", got)
	}
	if got := (part.Length{Micrometres: 120_000, Doubt: part.WholeInches}).Other(); got != 3_048_000 {
		t.Errorf("120 in = %v", got)
	}
	if got := (part.Length{Micrometres: 1_930_000}).Other(); got != 0 {
		t.Errorf("no doubt, other reading %v", got)
	}
}

// TestFields_UnsetIsNotStated: a spec that states nothing has no set field but
// the assembly, which means one capacitor unless a mark says more, and nothing
// set is described as stated. A spec without its typed half does not panic.
func TestFields_UnsetIsNotStated(t *testing.T) {
	for _, s := range []part.Spec{
		{Kind: part.RunCapacitor, Capacitor: &part.Capacitor{}}, {Kind: part.DriveBelt, Belt: &part.Belt{}},
		{Kind: part.RunCapacitor}, {Kind: part.DriveBelt},
	} {
		for _, f := range part.Fields(s.Kind) {
			v, text := f.Get(&s), f.Describe(&s)
			if f.Name == "assembly" {
				continue
			}
			if v.Set || text != "not stated" {
				t.Errorf("%s: %v, %q", f.Name, v, text)
			}
		}
	}
	if _, ok := part.Lookup(part.RunCapacitor, "ribs"); ok || part.Fields("lamp") != nil {
		t.Error("a capacitor has ribs, or a lamp a spec")
	}
}
