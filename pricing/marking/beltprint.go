package marking

import (
	"fmt"
	"strings"

	"onevisit/pricing/part"
)

// Belt prints the canonical mark of a belt: "5 PJ 1236 elastic", "A38",
// "450-5M-15", and for an incomplete one what is known: "1930 mm". A belt that
// states nothing prints "".
func Belt(b part.Belt) string {
	var out []string
	switch b.Form {
	case part.Ribbed:
		out = ribbedMark(b)
	case part.Vee:
		out = veeMark(b)
	case part.Toothed:
		out = toothedMark(b)
	case part.Flat:
		out = []string{"flat"}
		if b.Length.Micrometres > 0 && b.Width > 0 {
			out = append(out, part.Decimal(int64(b.Length.Micrometres), 3)+"x"+part.Decimal(int64(b.Width), 3)+" mm")
			b.Width = 0
		} else {
			out = append(out, lengthMark(b.Length))
		}
	default:
		out = []string{lengthMark(b.Length)}
	}
	if b.Form != part.Toothed && b.Width > 0 {
		out = append(out, wide(b.Width))
	}
	out = append(out, word(b.Elastic, "elastic", "not elastic"), word(b.Cogged, "cogged", "plain"),
		word(b.DoubleSided, "double-sided", "single-sided"))
	return strings.Join(strings.Fields(strings.Join(out, " ")), " ")
}

func word(p part.Presence, yes, no string) string {
	return [...]string{"", yes, no}[p%3]
}

func wide(w part.Micrometres) string { return part.Decimal(int64(w), 3) + " mm wide" }

// lengthMark prints a length so that it reads back the same: doubtful ones bare,
// all others with unit and basis.
func lengthMark(l part.Length) string {
	if l.Micrometres == 0 {
		return ""
	}
	if l.Doubt != part.NoDoubt {
		return part.Decimal(int64(l.Micrometres), 3)
	}
	basis := [...]string{"", "", "Li", "Lw", "La", ""}[l.Basis%6]
	return strings.TrimSpace(l.Micrometres.String() + " " + basis)
}

func ribbedMark(b part.Belt) []string {
	length := lengthMark(b.Length)
	if b.Profile != 0 && b.Ribs != 0 && length != "" {
		if b.Length.Micrometres%part.Millimetre == 0 && b.Length.Micrometres >= 1000*part.Millimetre {
			length = strings.TrimSuffix(length, " mm")
		}
		return []string{fmt.Sprintf("%d P%c %s", b.Ribs, b.Profile, length)}
	}
	var out []string
	if b.Ribs != 0 {
		out = append(out, fmt.Sprintf("%d ribs", b.Ribs))
	} else if b.Profile == 0 {
		out = append(out, "ribbed")
	}
	if b.Profile != 0 {
		out = append(out, fmt.Sprintf("profile P%c", b.Profile))
	}
	return append(out, length)
}

func veeMark(b part.Belt) []string {
	l := b.Length
	switch {
	case b.Section == part.SectionUnset:
		return []string{"V-belt", lengthMark(l)}
	case l.Micrometres == 0:
		return []string{"section " + b.Section.String()}
	case b.Section >= part.Section3L && l.Basis == part.Outside && l.Micrometres%(part.Inch/10) == 0:
		return []string{fmt.Sprintf("%s%03d", b.Section, l.Micrometres/(part.Inch/10))}
	case b.Section <= part.SectionC && l.Basis == part.Inside && l.Micrometres%part.Inch == 0:
		if n := l.Micrometres / part.Inch; n >= 10 && n <= 99 {
			return []string{fmt.Sprintf("%s%d", b.Section, n)}
		}
	}
	return []string{b.Section.String(), lengthMark(l)}
}

func toothedMark(b part.Belt) []string {
	length, width := part.Decimal(int64(b.Length.Micrometres), 3), part.Decimal(int64(b.Width), 3)
	pitch := part.Decimal(int64(b.Pitch), 3)
	if b.Tooth == part.ToothUnset {
		out := []string{"toothed", lengthMark(b.Length)}
		if b.Teeth > 0 {
			out = append(out, fmt.Sprintf("%d teeth", b.Teeth))
		}
		if b.Width > 0 {
			out = append(out, wide(b.Width))
		}
		return out
	}
	switch b.Tooth {
	case part.ToothM:
		if b.Width > 0 && int64(b.Width)%100 == 0 {
			return []string{length + "-" + pitch + "M-" + width}
		}
		return widthAfter(b, length+"-"+pitch+"M")
	case part.ToothT, part.ToothAT:
		name := map[part.Tooth]string{part.ToothT: "T", part.ToothAT: "AT"}[b.Tooth]
		if b.Width > 0 && int64(b.Width)%100 == 0 {
			return []string{width + " " + name + pitch + "/" + length}
		}
		return widthAfter(b, name+pitch+"/"+length)
	}
	return inchMark(b)
}

func widthAfter(b part.Belt, code string) []string {
	if b.Width > 0 {
		return []string{code, wide(b.Width)}
	}
	return []string{code}
}

func inchMark(b part.Belt) []string {
	name := ""
	for n, t := range inchTooth {
		if t == b.Tooth {
			name = n
		}
	}
	// Round to the tenth of an inch the code carries.
	tenthsOfInch := (int64(b.Length.Micrometres) + int64(part.Inch)/20) / (int64(part.Inch) / 10)
	code := fmt.Sprintf("%d%s", tenthsOfInch, name)
	if b.Width > 0 {
		hundredths := (int64(b.Width) + int64(part.Inch)/200) / (int64(part.Inch) / 100)
		for _, n := range []int64{hundredths, hundredths - 1} {
			if w := fmt.Sprintf("%03d", max(n, 0)); n > 0 && len(w) == 3 && widthOfCode(w) == b.Width {
				return []string{code + w}
			}
		}
	}
	return widthAfter(b, code)
}
