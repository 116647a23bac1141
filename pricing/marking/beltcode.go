package marking

import (
	"regexp"
	"strings"

	"onevisit/pricing/part"
)

// beltForm is one way of writing a complete belt code. read turns the groups
// of re into a belt and says whether the code carried an elastic mark; false
// means the code cannot be what it looks like.
type beltForm struct {
	re   *regexp.Regexp
	read func(m []string) (b part.Belt, elastic, ok bool)
}

// beltGrammar is tried in order. Toothed codes come first (5M is a pitch, not
// five ribs), then V (4L400 is a section, not ribs), then ribbed.
var beltGrammar = []beltForm{
	{toothLenFirst, func(m []string) (part.Belt, bool, bool) { return toothed("M", pitchOf(m[2]), m[1], m[3]) }},
	{toothSysFirst, func(m []string) (part.Belt, bool, bool) { return toothed("M", pitchOf(m[1]), m[2], m[3]) }},
	{toothT, readToothT},
	{toothInch, readToothInch},
	{toothInchBare, readToothInch},
	{veeLight, readVeeLight},
	{veeBySize, func(m []string) (part.Belt, bool, bool) {
		return vee(map[string]string{"10": "Z", "13": "A", "17": "B", "22": "C"}[m[1]], false, m[2], "MM", m[3])
	}},
	{ribFirst, func(m []string) (part.Belt, bool, bool) {
		return ribbed(m[1], m[3]+m[4], m[6], m[7], m[2]+m[5]+m[8])
	}},
	{ribLenFirst, func(m []string) (part.Belt, bool, bool) {
		return ribbed(m[7], m[4]+m[5], m[1], m[2], m[3]+m[6]+m[8])
	}},
	{ribLenRibs, func(m []string) (part.Belt, bool, bool) {
		return ribbed(m[3], m[5]+m[6], m[1], m[2], m[4]+m[7]+m[8])
	}},
	{ribMid, func(m []string) (part.Belt, bool, bool) {
		return ribbed(m[7], m[2]+m[3], m[5], m[6], m[1]+m[4]+m[8])
	}},
	{ribProfile, func(m []string) (part.Belt, bool, bool) {
		return ribbed(m[5], m[2]+m[3], m[7], m[8], m[1]+m[4]+m[6]+m[9])
	}},
	{veeFirst, func(m []string) (part.Belt, bool, bool) { return vee(m[1], m[2] != "", m[4], m[5], m[3]+m[6]) }},
	{veeLast, func(m []string) (part.Belt, bool, bool) { return vee(m[4], m[5] != "", m[1], m[2], m[3]) }},
}

func ribbed(count, letter, length, unit, elastic string) (part.Belt, bool, bool) {
	if strings.Contains(length, ".") && unit == "" {
		return part.Belt{}, false, false
	}
	b := part.Belt{Form: part.Ribbed, Profile: part.Profile(letter[0]), Ribs: uint8(atoi(count)),
		Length: part.Length{Micrometres: millimetres(length), Basis: part.Effective}}
	if unit == "" {
		b.Length.Doubt = doubtOf(b.Profile, len(length))
	}
	return b, elastic != "", b.Ribs > 0 && b.Length.Micrometres >= 100*part.Millimetre
}

// pitchOf reads the pitch in a metric system name: "5M" is 5 mm.
func pitchOf(system string) part.Micrometres { return millimetres(strings.TrimRight(system, "MAT")) }

func toothed(system string, pitch part.Micrometres, length, width string) (part.Belt, bool, bool) {
	b := part.Belt{Form: part.Toothed, Pitch: pitch, Width: millimetres(width),
		Tooth:  map[string]part.Tooth{"M": part.ToothM, "T": part.ToothT, "AT": part.ToothAT}[system],
		Length: part.Length{Micrometres: millimetres(length), Basis: part.PitchLine}}
	l := b.Length.Micrometres
	// Length is a whole number of teeth, and longer than wide.
	ok := lengthInRange(l) && l%pitch == 0 && l > b.Width
	if ok {
		b.Teeth = uint16(l / pitch)
	}
	return b, false, ok
}

func readToothT(m []string) (part.Belt, bool, bool) {
	before, length, after := m[1], m[4], m[5]
	switch {
	case before != "" && after != "":
		return part.Belt{}, false, false
	case before != "" && millimetres(before) > millimetres(length):
		before, length = length, before // 455-T5-10: the longer one is the length
	}
	return toothed(m[2], millimetres(m[3]), length, before+after)
}

// inchPitch and inchWidth are the systems of ISO 5296: pitches in µm, and the
// width codes whose exact inch fraction is not the code's hundredths.
var (
	inchPitch = map[string]part.Micrometres{"MXL": 2032, "XL": 5080, "L": 9525, "H": 12700}
	inchTooth = map[string]part.Tooth{"MXL": part.ToothMXL, "XL": part.ToothXL, "L": part.ToothL, "H": part.ToothH}
	inchWidth = map[string]part.Micrometres{"031": 7938, "037": 9525, "062": 15875, "012": 3175, "018": 4763}
)

func readToothInch(m []string) (part.Belt, bool, bool) {
	pitch := inchPitch[m[2]]
	// The length code is tenths of an inch, itself rounded (187L is 18.75 in):
	// the nearest whole tooth within 0.15 of a tooth is meant.
	nominal := part.Micrometres(atoi(m[1])) * (part.Inch / 10)
	teeth := (nominal + pitch/2) / pitch
	off := nominal - teeth*pitch
	if !lengthInRange(teeth*pitch) || off*100 > 15*pitch || off*100 < -15*pitch {
		return part.Belt{}, false, false
	}
	b := part.Belt{Form: part.Toothed, Tooth: inchTooth[m[2]], Pitch: pitch, Teeth: uint16(teeth),
		Length: part.Length{Micrometres: teeth * pitch, Basis: part.PitchLine}}
	if m[3] != "" {
		b.Width = widthOfCode(m[3])
	}
	return b, false, m[3] == "" || b.Width > 0
}

func widthOfCode(code string) part.Micrometres {
	if w, ok := inchWidth[code]; ok {
		return w
	}
	return part.Micrometres(atoi(code)) * (part.Inch / 100)
}

func readVeeLight(m []string) (part.Belt, bool, bool) {
	section, _ := part.ParseSection(m[1])
	b := part.Belt{Form: part.Vee, Section: section,
		Length: part.Length{Micrometres: part.Micrometres(atoi(m[2])) * (part.Inch / 10), Basis: part.Outside}}
	return b, false, lengthInRange(b.Length.Micrometres)
}

// vee reads a classic or narrow V-belt. Two figures are inches measured inside;
// four are millimetres; three below 200 on a classic section may be either, unless
// the unit or the basis of length is printed. Narrow sections are always in
// millimetres of datum length (common practice, no source).
func vee(name string, cogged bool, length, unit, base string) (part.Belt, bool, bool) {
	section, ok := part.ParseSection(name)
	b := part.Belt{Form: part.Vee, Section: section}
	if cogged {
		b.Cogged = part.Yes
	}
	classic := section >= part.SectionZ && section <= part.SectionC
	inches := unit != "" && unit != "MM"
	figures := len(length)
	decimal := strings.Contains(length, ".")
	switch {
	case inches || (unit == "" && base == "" && figures == 2 && classic):
		thousandths, exact := fixed(length, 3)
		ok = ok && exact
		b.Length.Micrometres = part.Micrometres(thousandths * int64(part.Inch) / 1000)
		b.Length.Basis = basisOf(base)
		switch {
		case base == "" && classic:
			b.Length.Basis = part.Inside
		case base == "":
			b.Length.Basis = part.Datum
		}
	case decimal && unit == "":
		return b, false, false
	default:
		b.Length.Micrometres, b.Length.Basis = millimetres(length), basisOf(base)
		if base == "" && !classic {
			b.Length.Basis = part.Datum
		}
		// From 200 on the inch reading would be five metres and more, which no
		// household machine has (common practice, no source).
		if unit == "" && base == "" && figures == 3 && classic && length < "200" {
			b.Length.Doubt = part.WholeInches
		}
	}
	return b, false, ok && lengthInRange(b.Length.Micrometres)
}

// lengthInRange keeps belt lengths to what four figures of millimetres print.
func lengthInRange(l part.Micrometres) bool {
	return l >= 100*part.Millimetre && l < 10_000*part.Millimetre
}
