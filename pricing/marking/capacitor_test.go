package marking_test

import (
	"testing"

	"onevisit/pricing/marking"
	"onevisit/pricing/part"
)

// Each row is a way of writing printed on capacitors or typed from them, and
// the canonical mark it must give. Sources: IEC 60252-1 for the order and the
// signs of a motor capacitor's mark, IEC 60062 for letter codes, otherwise
// common practice, no source.
var capacitorMarks = []struct{ text, want string }{
	{"8µF ±5% 400V~ B 25/085/21 S2 50/60Hz", "8 µF ±5 % 400 VAC B 25/085/21 S2 50/60 Hz"},
	{"12,5uF 450VAC CL.C", "12.5 µF 450 VAC C"},
	{"8µ2", "8.2 µF"},
	{"U47 450V", "0.47 µF 450 VAC"},
	{"8u 450v", "8 µF 450 VAC"},
	{"88-108 MFD 250VAC", "start 88-108 µF 250 VAC"},
	{"88 to 108 mfd 250 volts", "start 88-108 µF 250 VAC"},
	{"40+5 MFD 440VAC", "dual 40+5 µF 440 VAC"},
	{"40/5 uf 440 v", "dual 40+5 µF 440 VAC"},
	{"5+40uF 440V", "dual 40+5 µF 440 VAC"},
	{"40+5 440VAC", "dual 40+5 µF 440 VAC"},
	{"dual run 40 + 5 µF 370 VAC C/FAN/HERM", "dual 40+5 µF 370 VAC"},
	{"8uF 450V", "8 µF 450 VAC"},
	{"450V 8uF", "8 µF 450 VAC"},
	{"8uF/450V", "8 µF 450 VAC"},
	{"450V8uF50Hz", "8 µF 450 VAC 50 Hz"},
	{"8µF450V~50/60Hz S2", "8 µF 450 VAC S2 50/60 Hz"},
	{"8 µF 400/450 V", "8 µF 400 VAC / 450 VAC"},
	{"425/475VAC 9uF", "9 µF 425 VAC / 475 VAC"},
	{"8 micro farad 450 volt", "8 µF 450 VAC"},
	{"8 microfarads, 450 volts ac", "8 µF 450 VAC"},
	{"8 mic 450 v a.c.", "8 µF 450 VAC"},
	{"8uF rated 425 V", "8 µF 425 VAC"},
	{"8uF AC 450V", "8 µF 450 VAC"},
	{"8uf 450ac", "8 µF 450 VAC"},
	{"8uf 450", "8 µF 450 VAC"},
	{"C = 8uF Un = 450V~", "8 µF 450 VAC"},
	{"0.45 kV 8uF", "8 µF 450 VAC"},
	{"8000 nF 450V", "8 µF 450 VAC"},
	{"8 ㎌ 450V", "8 µF 450 VAC"},
	{"8ΜF 450V", "8 µF 450 VAC"}, // Greek capital mu
	{"400V B / 450V C 8µF", "8 µF 400 VAC B / 450 VAC C"},
	{"8µF B 400V C 450V", "8 µF 400 VAC B / 450 VAC C"},
	{"8µF 400/450V B/C", "8 µF 400 VAC B / 450 VAC C"},
	{"8µF 400 V (B) 450 V (C)", "8 µF 400 VAC B / 450 VAC C"},
	{"8µF class B 450V", "8 µF 450 VAC B"},
	{"8µF 450V class B", "8 µF 450 VAC B"},
	{"8µF 450V 50Hz CL.B", "8 µF 450 VAC B 50 Hz"},
	{"8µF 450V 10000h", "8 µF 450 VAC B"},
	{"8MF ±10% 450V", "8 µF ±10 % 450 VAC"},
	{"8uF J 450V", "8 µF ±5 % 450 VAC"},
	{"8uFK 450V", "8 µF ±10 % 450 VAC"},
	{"8uF +/-5% 450V", "8 µF ±5 % 450 VAC"},
	{"8uF 5% 450V", "8 µF ±5 % 450 VAC"},
	{"8uF -10/+30% 450V", "8 µF -10/+30 % 450 VAC"},
	{"2.2 µF X2 275 VAC", "suppressor 2.2 µF 275 VAC"},
	{"4n7 Y2 250V~", "suppressor 0.0047 µF 250 VAC"},
	{"16 µF 50 V DC", "DC 16 µF 50 VDC"},
	{"16uF 50V= electrolytic", "DC 16 µF 50 VDC"},
	{"electrolytic 16uF 450V", "DC 16 µF 450 VDC"},
	{"start 100uF 250V", "start 100 µF 250 VAC"},
	{"lamp capacitor 8uF 250V", "lamp 8 µF 250 VAC"},
	{"1.05µF 2100V~", "HV 1.05 µF 2100 VAC"},
	{"singles 35 µF and 5 µF 450 VAC", "two singles 35 µF + 5 µF 450 VAC"},
	{"4 µF + 4 µF 450 VAC in parallel", "4 µF + 4 µF in parallel 450 VAC"},
	{"2x4uF 450V parallel", "4 µF + 4 µF in parallel 450 VAC"},
	{"two 16 µF 250 VAC in series", "16 µF + 16 µF in series 250 VAC"},
	{"15 µF 450 VAC, double tabs", "15 µF 450 VAC double tabs"},
	{"15 µF 450 VAC 4 tabs", "15 µF 450 VAC double tabs"},
	{"15 µF 450 VAC single tab", "15 µF 450 VAC single tabs"},
	{"15uF 450V 6.3x0.8 mm leads", "15 µF 450 VAC leads 6.3 mm tabs"},
	{"start 189–227 µF 330 VAC with 15 kΩ bleed", "start 189-227 µF 330 VAC 15000 ohm bleed"},
	{"189-227uF 330VAC without bleed", "start 189-227 µF 330 VAC no bleed"},
	{"8uF 450V M8 35x70 mm", "8 µF 450 VAC M8 stud 35x70 mm"},
	{"8uF 450V P2", "8 µF 450 VAC P2"},
	{"12.5 µF 400 VAC -25/+85 °C", "12.5 µF 400 VAC -25/+85 °C"},
	{"8uF 450WV50Hz", "8 µF 450 VAC 50 Hz"},
	{"10uF 475VB", "10 µF 475 VAC B"},
	{"8uF 450Vac 10,000 h", "8 µF 450 VAC B"},
	{"capacitor 8 microF 450V", "8 µF 450 VAC"},
	{"4uF//4uF 450V", "4 µF + 4 µF in parallel 450 VAC"},
	{"8µF 450V~ (C) 500V~ (D)", "8 µF 450 VAC C / 500 VAC D"},
	// What must not be read.
	{"8uF 450V S?", "8 µF 450 VAC S?"},
	{"8uF 450V protection class illegible", "8 µF 450 VAC S?"},
	{"8 uF 4 50 V", "8 µF"},
	{"12.5/450", ""},
	{"8 µF, voltage unreadable", "8 µF"},
	{"8uF 4?0V", "8 µF"},
	{"8uF ?50V", "8 µF"},
	{"8uF 450V?", "8 µF"},
	{"?uF 450V", "450 VAC"},
	{"8uF 10uF 450V", "450 VAC"},
	{"8uF 4.50V", "8 µF"},
	{"8uF ±0.4uF 450V", "8 µF 450 VAC"},
	{"8uF 425 450", "8 µF"},
	{"35uF 450V and 5uF 400V", "two singles 35 µF + 5 µF"},
	{"0 uF 450V", "450 VAC"},
	{"grey can, oily", ""},
}

func TestParse_Capacitor(t *testing.T) {
	for _, c := range capacitorMarks {
		got, err := marking.Parse(part.RunCapacitor, c.text)
		if err != nil || got.Canonical != c.want {
			t.Errorf("Parse(%q) = %q, %v; want %q (unread %v)", c.text, got.Canonical, err, c.want, got.Unread)
		}
		stable(t, part.RunCapacitor, c.text)
	}
}

// TestParse_Unread: what is not understood is reported, never dropped.
func TestParse_Unread(t *testing.T) {
	for _, c := range []struct{ kind, text, want string }{
		{part.RunCapacitor, "8uF 450V ref 77123", "REF 77123"},
		{part.RunCapacitor, "8 µF, voltage unreadable", "VOLTAGE UNREADABLE"},
		{part.RunCapacitor, "8uF 4?0V", "4?0V"},
		{part.RunCapacitor, "8uF 10uF 450V", "8UF 10UF"},
		{part.RunCapacitor, "CL.B 8uF 400V 450V", "CL.B"},
		{part.DriveBelt, "1236J5 EL lot 44", "LOT 44"},
		{part.DriveBelt, "1236J5 or 1246J5", "1236J5 OR 1246J5"},
		{part.DriveBelt, "452-5M-15", "452-5M-15"},
		{part.DriveBelt, "1930 mm, ribs worn off", "RIBS WORN OFF"},
	} {
		got := marking.Must(c.kind, c.text)
		found := false
		for _, s := range got.Unread {
			found = found || s.Text == c.want && s.Why != ""
		}
		if !found {
			t.Errorf("Parse(%q).Unread = %v, want a span %q", c.text, got.Unread, c.want)
		}
	}
}

func TestParse_Class(t *testing.T) {
	got := marking.Must(part.RunCapacitor, "400V B / 450V C 8µF").Spec.Capacitor.Ratings
	want := part.Ratings{{Volts: 400, Class: part.ClassB}, {Volts: 450, Class: part.ClassC}}
	if got != want {
		t.Errorf("ratings %v, want %v", got, want)
	}
}
