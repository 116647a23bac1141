package marking_test

import (
	"testing"

	"onevisit/pricing/marking"
	"onevisit/pricing/part"
)

// Forms after ISO 9982 and DIN 7867 (ribbed), ISO 4184 and light-duty practice
// (V), ISO 13050, ISO 17396 and ISO 5296 (toothed); spellings are common
// practice, no source.
var beltMarks = []struct{ text, want string }{
	{"1236J5 EL", "5 PJ 1236 elastic"},
	{"1236J5EL", "5 PJ 1236 elastic"},
	{"1236 PJE 5", "5 PJ 1236 elastic"},
	{"1236 EPJ 5", "5 PJ 1236 elastic"},
	{"PJE1195/5", "5 PJ 1195 elastic"},
	{"epj5 1195", "5 PJ 1195 elastic"},
	{"5EPJ1195", "5 PJ 1195 elastic"},
	{"J5 EL 1195", "5 PJ 1195 elastic"},
	{"5 ribs J 1195 mm elastic", "5 PJ 1195 elastic"},
	{"1195J5 (not elastic)", "5 PJ 1195 not elastic"},
	{"6PK1200", "6 PK 1200"},
	{"1200-6PK", "6 PK 1200"},
	{"6 pk 1200", "6 PK 1200"},
	{"H7 1930", "7 PH 1930"},
	{"1930 H7", "7 PH 1930"},
	{"1930h7", "7 PH 1930"},
	{"7PH1930", "7 PH 1930"},
	{"PH 1930 7 ribs", "7 PH 1930"},
	{"1930mm 7 ribs PH", "7 PH 1930"},
	{"PH7-1930", "7 PH 1930"},
	{"belt 1930H7 dryer", "7 PH 1930"},
	{"1930H7 / 7PH1930", "7 PH 1930"},
	{"490J5", "5 PJ 490"},
	{"490 mm J5", "5 PJ 490 mm"},
	{"49.0 in J5", "5 PJ 1244.6 mm"},
	{"1930 mm", "1930 mm"},
	{"1,930 mm", "1930 mm"},
	{"a 1930 mm belt", "1930 mm"},
	{"1930", "1930 mm"},
	{"1930H", "profile PH 1930 mm"},
	{"7 ribs 1930 mm", "7 ribs 1930 mm"},
	{"4L400", "4L400"},
	{"4L 400", "4L400"},
	{"A38", "A38"},
	{"a 38", "A38"},
	{"A-38", "A38"},
	{"A 38 in", "A38"},
	{"AX38", "A38 cogged"},
	{"A 40 plain", "A40 plain"},
	{"A 40 cogged", "A40 cogged"},
	{"Z 1000 Li", "Z 1000 mm Li"},
	{"Z1000Li", "Z 1000 mm Li"},
	{"1000 Li Z", "Z 1000 mm Li"},
	{"10x1000 Li", "Z 1000 mm Li"},
	{"13X8X965 Li", "A 965 mm Li"},
	{"A 1000", "A 1000 mm"},
	{"Z 500", "Z 500 mm"},
	{"A 105", "A 105"},
	{"A 990", "A 990 mm"},
	{"1200M6", "6 PM 1200"},
	{"SPZ 1000 Lw", "SPZ 1000 mm Lw"},
	{"SPZ1000", "SPZ 1000 mm Lw"},
	{"450-5M-15", "450-5M-15"},
	{"5M-450-15", "450-5M-15"},
	{"450 5m 15", "450-5M-15"},
	{"450-5M 15 mm wide", "450-5M-15"},
	{"450-5M-15 90 teeth", "450-5M-15"},
	{"10 T5/455", "10 T5/455"},
	{"10T5/455", "10 T5/455"},
	{"T5/450 15 wide", "15 T5/450"},
	{"T5-455-10", "10 T5/455"},
	{"455-T5-10", "10 T5/455"},
	{"AT5/450-25", "25 AT5/450"},
	{"120XL037", "120XL037"},
	{"120xl050", "120XL050"},
	{"187L075", "188L075"}, // 18.75 in, 50 teeth: both codes mean it
	{"PJ1236 5 rib", "5 PJ 1236"},
	{"490J5 inch", "5 PJ 1244.6 mm"},
	{"belt 1.900 m H7", "7 PH 1900"},
	{"Z-1000-Li", "Z 1000 mm Li"},
	{"450-5M15", "450-5M-15"},
	// What must not be read.
	{"4L400 / A38", ""},
	{"193?H7", ""},
	{"1930H7 1935H7", ""},
	{"452-5M-15", ""},
	{"450-5M-15 91 teeth", ""},
	{"black rubber", ""},
}

func TestParse_Belt(t *testing.T) {
	for _, c := range beltMarks {
		got, err := marking.Parse(part.DriveBelt, c.text)
		if err != nil || got.Canonical != c.want {
			t.Errorf("Parse(%q) = %q, %v; want %q (unread %v)", c.text, got.Canonical, err, c.want, got.Unread)
		}
		stable(t, part.DriveBelt, c.text)
	}
}

// TestParse_BeltLength: 490J5 is 49.0 in = 1244.6 mm in the old inch form (one
// inch is 25.4 mm exactly); A38 is 965.2 mm inside.
func TestParse_BeltLength(t *testing.T) {
	if l := marking.Must(part.DriveBelt, "490J5").Spec.Belt.Length; l.Doubt != part.TenthsOfIn || l.Other() != 1_244_600 {
		t.Errorf("490J5: doubt %v, other reading %v", l.Doubt, l.Other())
	}
	if l := marking.Must(part.DriveBelt, "A38").Spec.Belt.Length; l.Micrometres != 965_200 || l.Basis != part.Inside {
		t.Errorf("A38: %v", l)
	}
	if b := marking.Must(part.DriveBelt, "120XL037").Spec.Belt; b.Teeth != 60 || b.Width != 9525 {
		t.Errorf("120XL037: %d teeth, %v wide", b.Teeth, b.Width)
	}
}

func TestParse_FreeMarks(t *testing.T) {
	for _, c := range []struct{ a, b string }{
		{"2400 W 230 V", "2400w  230v"},
		{"PTC 3-pin", "ptc 3–pin"},
		{"12,5 mm", "12.5MM"},
		{"4.7 kΩ", "4.7 kΩ"},
	} {
		if a, b := marking.Must("heating_element", c.a), marking.Must("heating_element", c.b); a.Canonical != b.Canonical {
			t.Errorf("%q -> %q, %q -> %q: want equal", c.a, a.Canonical, c.b, b.Canonical)
		}
	}
	if a, b := marking.Must("lamp", "25 W 230 V"), marking.Must("lamp", "40 W 230 V"); a.Canonical == b.Canonical {
		t.Error("different free marks read as equal")
	}
}
