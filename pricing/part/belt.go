package part

// Micrometres is a length. One millimetre is 1000, one inch 25 400, so both
// are exact. Zero means not stated.
type Micrometres int32

// Units of length.
const (
	Millimetre Micrometres = 1_000
	Inch       Micrometres = 25_400
)

// String prints the length in millimetres: "1244.6 mm".
func (m Micrometres) String() string { return Decimal(int64(m), 3) + " mm" }

// Form is the sort of belt. Zero means not known.
type Form uint8

// Forms of belt.
const (
	FormUnset Form = iota
	Ribbed         // several V ribs along the length, ISO 9982 and DIN 7867
	Vee            // one V section, wrapped or raw edge
	Toothed        // synchronous
	Flat
)

// Profile is the rib profile of a ribbed belt: 'H', 'J', 'K', 'L' or 'M',
// zero when not stated. Rib pitch 1.60, 2.34, 3.56, 4.70, 9.40 mm.
//
// Source: ISO 9982, DIN 7867.
type Profile byte

// Section is the section of a V-belt. Zero means not stated.
type Section uint8

// Sections: classic, narrow, raw-edge narrow, light duty.
const (
	SectionUnset Section = iota
	SectionZ
	SectionA
	SectionB
	SectionC
	SectionSPZ
	SectionSPA
	SectionSPB
	SectionXPZ
	SectionXPA
	Section3L
	Section4L
	Section5L
)

var sectionNames = [...]string{"", "Z", "A", "B", "C", "SPZ", "SPA", "SPB", "XPZ", "XPA", "3L", "4L", "5L"}

// String is the printed section, empty when not stated.
func (s Section) String() string {
	if int(s) >= len(sectionNames) {
		return ""
	}
	return sectionNames[s]
}

// ParseSection is the inverse of String; the second result is false for a word
// that is no section.
func ParseSection(word string) (Section, bool) {
	for i, n := range sectionNames {
		if i > 0 && n == word {
			return Section(i), true
		}
	}
	return SectionUnset, false
}

// Basis is where along the belt's height its length was measured.
type Basis uint8

// Bases of length. Two lengths on different bases are never equal by number.
const (
	BasisUnset Basis = iota
	Effective        // ribbed belts
	Inside           // Li
	Datum            // Lw, Ld, Lp
	Outside          // La, light duty belts
	PitchLine        // toothed belts
)

// Doubt says that the digits of a length may be read in another unit.
type Doubt uint8

// Doubts about a length. The stored length is always the millimetre reading.
const (
	NoDoubt     Doubt = iota
	TenthsOfIn        // 490J5: 490 mm, or 49.0 in
	WholeInches       // A 120: 120 mm, or 120 in
)

// Length is a belt length with what is known of its meaning.
type Length struct {
	Micrometres Micrometres
	Basis       Basis
	Doubt       Doubt
}

// Other returns the second reading of a doubtful length, zero without doubt.
func (l Length) Other() Micrometres {
	switch l.Doubt {
	case TenthsOfIn:
		return l.Micrometres / Millimetre * (Inch / 10)
	case WholeInches:
		return l.Micrometres / Millimetre * Inch
	}
	return 0
}

// Tooth is the tooth system of a toothed belt. Zero means not stated.
type Tooth uint8

// Tooth systems. Curved metric is the M row of ISO 13050, T and AT are metric
// trapezoids of ISO 17396, MXL to H the inch trapezoids of ISO 5296.
const (
	ToothUnset Tooth = iota
	ToothM
	ToothT
	ToothAT
	ToothMXL
	ToothXL
	ToothL
	ToothH
)

// Belt is a drive belt as printed. The zero value states nothing.
type Belt struct {
	Form   Form
	Length Length
	// Profile, Ribs: ribbed belts.
	Profile Profile
	Ribs    uint8
	// Elastic is Yes for the marks E and EL, No where the mark says so.
	Elastic Presence
	// Section, Cogged: V-belts.
	Section Section
	Cogged  Presence
	// Tooth, Pitch, Teeth: toothed belts. Teeth is printed or Length/Pitch.
	Tooth Tooth
	Pitch Micrometres
	Teeth uint16
	// Width of toothed and flat belts.
	Width Micrometres
	// DoubleSided is Yes for ribs or teeth on both faces.
	DoubleSided Presence
}

func ofBelt(get func(*Belt) Value) func(*Spec) Value {
	return func(s *Spec) Value {
		if s.Belt == nil {
			return Value{}
		}
		return get(s.Belt)
	}
}

func lengthText(s *Spec) string {
	if s.Belt == nil || s.Belt.Length.Micrometres == 0 {
		return ""
	}
	l := s.Belt.Length
	text := l.Micrometres.String() + [...]string{"", "", " inside", " datum", " outside", ""}[l.Basis%6]
	if l.Doubt != NoDoubt {
		text += ", or " + l.Other().String() + " if inches are meant"
	}
	return text
}

func sectionWords() map[string]int64 {
	words := make(map[string]int64, len(sectionNames)-1)
	for i, n := range sectionNames[1:] {
		words[n] = int64(i + 1)
	}
	return words
}

var yesNo = map[string]int64{"yes": int64(Yes), "no": int64(No)}

var beltFields = []Field{
	{Name: "form", Label: "sort of belt", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Form)) }),
		Words: map[string]int64{"ribbed": int64(Ribbed), "vee": int64(Vee), "toothed": int64(Toothed), "flat": int64(Flat)}},
	{Name: "profile", Label: "rib profile", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Profile)) }),
		Format: func(v Value) string { return "P" + string(rune(v.N)) }},
	{Name: "ribs", Label: "number of ribs", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Ribs)) }), Format: number(0, "ribs")},
	{Name: "length", Label: "length", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Length.Micrometres)) }), Text: lengthText},
	{Name: "elastic", Label: "elastic cord", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Elastic)) }), Words: yesNo},
	{Name: "section", Label: "V section", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Section)) }), Words: sectionWords()},
	{Name: "cogged", Label: "cogged", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Cogged)) }), Words: yesNo},
	{Name: "tooth", Label: "tooth form", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Tooth)) }),
		Words: map[string]int64{"M": int64(ToothM), "T": int64(ToothT), "AT": int64(ToothAT), "MXL": int64(ToothMXL),
			"XL": int64(ToothXL), "L": int64(ToothL), "H": int64(ToothH)}},
	{Name: "pitch", Label: "tooth pitch", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Pitch)) }), Format: number(3, "mm")},
	{Name: "teeth", Label: "number of teeth", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Teeth)) }), Format: number(0, "teeth")},
	{Name: "width", Label: "width", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.Width)) }), Format: number(3, "mm")},
	{Name: "double_sided", Label: "double-sided", Get: ofBelt(func(b *Belt) Value { return positive(int64(b.DoubleSided)) }), Words: yesNo},
}
