package marking

import (
	"strings"

	"onevisit/pricing/part"
)

// parseBelt reads a normalised mark.
func parseBelt(plain string) (part.Belt, []Span) {
	// "1,930 mm" has become "1.930 MM"; no belt is 1.930 mm long.
	plain = beltThousands.ReplaceAllString(plain, "$1$2$3")
	plain = beltMetres.ReplaceAllString(plain, "$1$2 MM")
	r := &reader{rest: beltArticle.ReplaceAllString(plain, "$1")}
	r.refuse(beltUnreadable, "stated to be unreadable")
	r.refuse(beltDamaged, "not fully readable")
	b, ok := part.Belt{}, true
	words := beltWords(r, &b)
	whole := r.rest
	if ok = beltForms(r, &b, &words); ok && b.Form == part.FormUnset {
		ok = beltPieces(r, &b, &words)
	}
	ok = ok && beltSettle(&b, words)
	if !ok {
		// The mark contradicts itself: keeping half of it would be a guess.
		r.rest = ""
		r.miss(strings.Join(strings.Fields(strings.ReplaceAll(whole, "\x01", " ")), " "), "the mark contradicts itself")
		return part.Belt{}, r.unread
	}
	return b, r.finish(beltFiller)
}

// beltSaid is what words beside the code say, to be settled at the end.
type beltSaid struct {
	elastic, stiff  bool
	cogged, plain   bool
	form            part.Form
	width           part.Micrometres
	teeth           int
	twoSided, oneSi bool
}

func beltWords(r *reader, b *part.Belt) beltSaid {
	s := beltSaid{
		stiff: r.has(beltStiff), elastic: r.has(beltElastic),
		plain: r.has(beltPlain), cogged: r.has(beltCogged),
		twoSided: r.has(beltDouble), oneSi: r.has(beltOneSide),
	}
	if m := r.take(beltWidth); m != nil {
		s.width = millimetres(m[1] + m[2])
	}
	if m := r.take(beltTeeth); m != nil {
		s.teeth = atoi(m[1])
	}
	if m := r.take(looseRibs); m != nil { // before the word "ribbed" goes
		b.Ribs = uint8(atoi(m[1]))
		s.form = part.Ribbed
	}
	switch {
	case r.has(beltFlat):
		s.form = part.Flat
	case r.has(beltToothed):
		s.form = part.Toothed
	case s.form == part.FormUnset && r.has(beltVee):
		s.form = part.Vee
	case r.has(beltRibbed):
		s.form = part.Ribbed
	}
	return s
}

// beltForms reads complete codes. A second code must say the same as the first,
// as on belts that carry an old and a new mark; otherwise it returns false.
func beltForms(r *reader, b *part.Belt, s *beltSaid) bool {
	ribsByWord := b.Ribs
	found := false
	for _, form := range beltGrammar {
		for m := r.take(form.re); m != nil; m = r.take(form.re) {
			next, el, ok := form.read(m)
			if !ok {
				return false
			}
			s.elastic = s.elastic || el
			if found && next != *b {
				return false
			}
			*b, found = next, true
		}
	}
	if !found {
		return true
	}
	if b.Form == part.Ribbed {
		s.elastic = r.has(beltElMark) || s.elastic
		if b.Length.Doubt == part.TenthsOfIn && r.has(inchWord) {
			b.Length = part.Length{Micrometres: b.Length.Other(), Basis: part.Effective}
			if !lengthInRange(b.Length.Micrometres) {
				return false
			}
		}
		if ribsByWord != 0 && ribsByWord != b.Ribs {
			return false
		}
	} else if ribsByWord != 0 {
		return false
	}
	return s.form == part.FormUnset || s.form == b.Form
}

// beltSettle joins the words with the code, false when they contradict.
func beltSettle(b *part.Belt, s beltSaid) bool {
	if b.Form == part.FormUnset {
		b.Form = s.form
	}
	if s.elastic && s.stiff || s.cogged && s.plain || s.twoSided && s.oneSi {
		return false
	}
	presence(&b.Elastic, s.elastic, s.stiff)
	presence(&b.DoubleSided, s.twoSided, s.oneSi)
	if s.cogged || s.plain {
		if b.Cogged == part.Yes && s.plain {
			return false
		}
		presence(&b.Cogged, s.cogged, s.plain)
	}
	if s.width != 0 {
		if b.Width != 0 && b.Width != s.width {
			return false
		}
		b.Width = s.width
	}
	if s.teeth != 0 {
		if b.Teeth != 0 && int(b.Teeth) != s.teeth {
			return false
		}
		if b.Teeth == 0 && b.Form == part.Toothed {
			b.Teeth = uint16(s.teeth)
		}
	}
	if b.Form == part.Ribbed && b.Length.Micrometres != 0 {
		if b.Length.Basis != part.BasisUnset && b.Length.Basis != part.Effective {
			return false // Li, Lw and La are lengths of V-belts
		}
		b.Length.Basis = part.Effective
	}
	return true
}

func presence(p *part.Presence, yes, no bool) {
	if yes {
		*p = part.Yes
	} else if no {
		*p = part.No
	}
}

// beltPieces reads a mark that holds only some of profile, ribs and length.
func beltPieces(r *reader, b *part.Belt, s *beltSaid) bool {
	setProfile := func(letter string, e bool) {
		b.Profile, b.Form = part.Profile(letter[0]), part.Ribbed
		s.elastic = s.elastic || e
	}
	if s.form == part.Flat {
		if m := r.take(beltFlatSize); m != nil {
			b.Length.Micrometres, b.Width = millimetres(m[1]), millimetres(m[2])
			return b.Width > 0
		}
	}
	if s.form == part.FormUnset || s.form == part.Ribbed {
		r.rest = loosened.ReplaceAllString(r.rest, "$1 $2")
		r.rest = loosenedToo.ReplaceAllString(r.rest, "$1 $2")
		if m := r.take(looseRibsProfile); m != nil && b.Ribs == 0 {
			b.Ribs = uint8(atoi(m[1]))
			setProfile(m[3]+m[4], m[2]+m[5] != "")
		} else if m := r.take(looseProfileRibs); m != nil && b.Ribs == 0 {
			b.Ribs = uint8(atoi(m[5]))
			setProfile(m[2]+m[3], m[1]+m[4] != "")
		} else if m := r.take(looseProfile); m != nil {
			setProfile(m[2]+m[3]+m[4], m[1]+m[5] != "")
		}
		if b.Ribs != 0 {
			b.Form = part.Ribbed
		}
		s.elastic = r.has(beltElMark) || s.elastic
	} else if m := r.take(veeSection); m != nil && s.form == part.Vee {
		b.Section, _ = part.ParseSection(m[1] + m[2])
	}
	if s.form == part.FormUnset && b.Form == part.FormUnset {
		if m := r.take(veeSection); m != nil {
			b.Section, _ = part.ParseSection(m[1] + m[2])
			b.Form = part.Vee
		}
	}
	return beltLoneLength(r, b)
}

// beltLoneLength reads a length that stands by itself; false when two differ.
func beltLoneLength(r *reader, b *part.Belt) bool {
	set := func(l part.Length) bool {
		if l.Micrometres < 100*part.Millimetre || l.Micrometres >= 10_000*part.Millimetre {
			return false
		}
		if b.Length.Micrometres != 0 && b.Length != l {
			return false
		}
		b.Length = l
		return true
	}
	for m := r.take(looseMM); m != nil; m = r.take(looseMM) {
		if !set(part.Length{Micrometres: millimetres(m[1]), Basis: basisOf(m[2])}) {
			return false
		}
	}
	for m := r.take(looseInch); m != nil; m = r.take(looseInch) {
		thousandths, ok := fixed(m[1], 3)
		// Inch lengths and their millimetres are printed side by side rounded.
		l := part.Length{Micrometres: part.Micrometres(thousandths * int64(part.Inch) / 1000)}
		near := b.Length.Micrometres - l.Micrometres
		if b.Length.Micrometres != 0 && near > -2*part.Millimetre && near < 2*part.Millimetre {
			continue
		}
		if !ok || !set(l) {
			return false
		}
	}
	for m := r.take(looseBasis); m != nil; m = r.take(looseBasis) {
		if !set(part.Length{Micrometres: millimetres(m[1]), Basis: basisOf(m[2])}) {
			return false
		}
	}
	if b.Length.Micrometres != 0 {
		return true // further bare figures are stock numbers
	}
	for m := r.take(looseLength); m != nil; m = r.take(looseLength) {
		l := part.Length{Micrometres: millimetres(m[1])}
		if len(m[1]) == 3 {
			l.Doubt = doubtOf(b.Profile, 3)
			if b.Form == part.FormUnset {
				r.miss(m[0], "three figures without a unit")
				continue
			}
		}
		if !set(l) {
			return false
		}
	}
	return true
}

// doubtOf says whether a length of so many figures, printed without a unit on a
// ribbed belt, may be the old inch form.
func doubtOf(p part.Profile, figures int) part.Doubt {
	if figures == 3 && (p == 'J' || p == 'K' || p == 'L') {
		return part.TenthsOfIn
	}
	return part.NoDoubt
}

func basisOf(word string) part.Basis {
	switch word {
	case "LI":
		return part.Inside
	case "LW", "LD", "LP":
		return part.Datum
	case "LA":
		return part.Outside
	}
	return part.BasisUnset
}

func millimetres(text string) part.Micrometres {
	n, ok := fixed(text, 3)
	if !ok || n > 20_000_000 {
		return 0
	}
	return part.Micrometres(n)
}
