package marking

import (
	"slices"
	"strconv"
	"strings"

	"onevisit/pricing/part"
)

// parseCapacitor reads a normalised mark.
func parseCapacitor(plain string) (part.Capacitor, []Span) {
	for _, w := range capSpelling {
		plain = w.re.ReplaceAllString(plain, w.with)
	}
	plain = repeat(unitDot, repeat(glued, plain, "$1 $2"), "$1 $2")
	r := &reader{rest: plain}
	var c part.Capacitor

	if m := r.take(capUnreadProt); m != nil {
		c.Protection = part.ProtectionUnread
		r.miss(m[0], "a protection class is printed but not readable")
	}
	r.refuse(capUnreadable, "stated to be unreadable")
	r.refuse(capDamaged, "not fully readable")
	if m := capBroken.FindStringIndex(r.rest); m != nil {
		at := m[0]
		if at > 0 { // the character before the space belongs to another piece
			at += strings.IndexByte(r.rest[at:], ' ')
		}
		r.miss(r.rest[at:m[1]], "the figures of the voltage do not hang together")
		r.rest = r.rest[:at] + gap + r.rest[m[1]:]
	}
	capProperties(r, &c)
	words := capWords(r, &c)
	differ := capVoltages(r, &c, words.dc)
	capValues(r, &c, words)
	if c.Ratings == (part.Ratings{}) && c.DCVolts == 0 && c.Capacitance > 0 && !differ {
		// "8uf 450": a figure that is one of the trade's usual ratings, in a
		// mark that has a capacitance and no other voltage (common practice,
		// no source). Two such figures are not read.
		if m := r.take(capBareV); m != nil {
			if again := r.take(capBareV); again != nil {
				r.miss(m[0]+" "+again[0], "two figures without a unit")
			} else {
				addRating(r, &c, m[1], "")
			}
		}
	}
	capConstruction(&c, words)
	if m := r.take(capCase); m != nil {
		c.DiameterTenths, c.LengthTenths = tenths(m[1]), tenths(m[2])
	}
	return c, r.finish(capFiller)
}

// capProperties takes everything that is neither value, voltage nor type.
func capProperties(r *reader, c *part.Capacitor) {
	if m := r.take(capClimate); m != nil {
		c.Climate = part.Climate{Min: -int16(atoi(m[1])), Max: int16(atoi(m[2])), Days: uint8(atoi(m[3]))}
	} else if m := r.take(capTemps); m != nil {
		c.Climate = part.Climate{Min: -int16(atoi(m[1])), Max: int16(atoi(m[2]))}
	}
	r.refuse(capTolAbs, "absolute tolerance is not compared")
	if m := r.take(capTolBoth); m != nil {
		c.Tolerance = part.Tolerance{Minus: tenths(m[1]), Plus: tenths(m[2])}
	} else if m := r.take(capTolBothRev); m != nil {
		c.Tolerance = part.Tolerance{Minus: tenths(m[2]), Plus: tenths(m[1])}
	} else if m := r.take(capTolPct); m != nil {
		c.Tolerance = part.Tolerance{Minus: tenths(m[1]), Plus: tenths(m[1])}
	} else if m := capTolLetter.FindStringSubmatchIndex(r.rest); m != nil {
		// The unit must stay for the value; only the letter is taken. K is
		// ±10 % here, not kilo (IEC 60062).
		t := map[string]uint16{"J": 50, "K": 100, "M": 200}[r.rest[m[4]:m[5]]]
		c.Tolerance = part.Tolerance{Minus: t, Plus: t}
		r.rest = r.rest[:m[4]] + gap + r.rest[m[5]:]
	}
	if m := r.take(capProtection); m != nil {
		c.Protection = protectionOf(m[1])
		if again := r.take(capProtection); again != nil && protectionOf(again[1]).Rank() != c.Protection.Rank() {
			r.miss(m[0]+" "+again[0], "two different protection classes")
			c.Protection = part.ProtectionUnset
		}
	}
	for m := r.take(capFrequency); m != nil; m = r.take(capFrequency) {
		if strings.Contains(m[1], "50") {
			c.Frequency |= part.Hz50
		}
		if strings.Contains(m[1], "60") {
			c.Frequency |= part.Hz60
		}
	}
	switch {
	case r.has(capDoubleTab):
		c.Terminals = part.DoubleTabs
	case r.has(capSingleTab):
		c.Terminals = part.SingleTabs
	case r.has(capLeads):
		c.Terminals = part.Leads
	}
	if m := r.take(capTabWidth); m != nil {
		c.TabTenths = uint8(tenths(m[1] + m[2]))
	}
	capBleeds(r, c)
	if m := r.take(capStud); m != nil {
		c.Stud = uint8(atoi(m[1]))
	}
	r.has(capTerminalList)
}

func capBleeds(r *reader, c *part.Capacitor) {
	if r.has(capNoBleed) {
		c.Bleed = part.No
		return
	}
	if m := r.take(capBleedOhms); m != nil {
		thousandths, ok := fixed(m[1], 3)
		ohms := map[string]int64{"": 1, "K": 1_000, "M": 1_000_000}[m[2]] * thousandths / 1000
		if ok && ohms > 0 && ohms <= 999_999_999 {
			c.Bleed, c.BleedOhms = part.Yes, uint32(ohms)
		} else {
			r.miss(m[0], "no sensible resistance")
		}
	}
	if r.has(capBleed) {
		c.Bleed = part.Yes
	}
}

// said is which words about type and assembly stood in the mark.
type said struct {
	dual, two, parallel, series              bool
	start, suppressor, lamp, highVoltage, dc bool
}

func capWords(r *reader, c *part.Capacitor) said {
	s := said{
		parallel: r.has(capParallel), series: r.has(capSeries),
		dual: r.has(capDual), two: r.has(capTwo),
		start: r.has(capStart), suppressor: r.has(capSuppressor), lamp: r.has(capLamp), highVoltage: r.has(capHV),
	}
	r.has(capRunWord)
	// DC beside a figure belongs to the voltage and is read there.
	probe := *r
	for probe.take(capVDC) != nil {
	}
	if s.dc = probe.has(capDC); s.dc {
		r.has(capElectrolytic)
	}
	return s
}

// capConstruction settles the type. A mark of this part kind that says nothing
// is a run capacitor: that is what the kind means. What marks another type wins.
func capConstruction(c *part.Capacitor, s said) {
	ac := c.Ratings != (part.Ratings{})
	switch {
	case s.suppressor:
		c.Construction = part.Suppressor
	case s.lamp:
		c.Construction = part.Lamp
	case s.start || c.Upper > 0:
		c.Construction = part.Start
	case !ac && (s.dc || c.DCVolts > 0):
		c.Construction = part.DC
	case s.highVoltage || c.Ratings.Highest() >= 1000:
		// Motor capacitors end at 660 V (scope of IEC 60252-1, from memory).
		c.Construction = part.HighVoltage
	default:
		c.Construction = part.Run
	}
	if ac {
		c.DCVolts = 0 // an AC rating beside it is the one that counts
	}
}

// capVoltages reads every voltage. It reports whether two capacitors in one
// mark carry different voltages, in which case none is kept: the list cannot
// say which voltage is whose.
func capVoltages(r *reader, c *part.Capacitor, dc bool) bool {
	if m := capPerUnit.FindStringSubmatch(r.rest); m != nil && m[1] != m[2] {
		r.miss(m[1]+" V, "+m[2]+" V", "the two capacitors have different voltages: give them one at a time")
		r.rest = capV.ReplaceAllString(r.rest, "")
		return true
	}
	for m := r.take(capKV); m != nil; m = r.take(capKV) {
		milli, _ := fixed(m[1], 3)
		volts := strconv.FormatInt(milli, 10)
		if m[2] == "VDC" {
			addDC(r, c, volts)
		} else {
			addRating(r, c, volts, "")
		}
	}
	for m := r.take(capVDC); m != nil; m = r.take(capVDC) {
		volts, _, _ := strings.Cut(m[1]+m[2], ".")
		addDC(r, c, volts)
	}
	if m := r.take(capPairedList); m != nil {
		addRating(r, c, m[1], m[3])
		addRating(r, c, m[2], m[4])
	}
	letterFirst := func() {
		for m := r.take(capClassV); m != nil; m = r.take(capClassV) {
			addRating(r, c, m[3], m[1]+m[2])
		}
	}
	// "B 400 V C 450 V" holds "400 V C": whichever order the mark starts with
	// is the order of the whole mark.
	first, second := capClassV.FindStringIndex(r.rest), capVClass.FindStringIndex(r.rest)
	if first != nil && (second == nil || first[0] < second[0]) {
		letterFirst()
	}
	for m := r.take(capVClass); m != nil; m = r.take(capVClass) {
		addRating(r, c, m[1], m[3])
	}
	letterFirst()
	for m := r.take(capVList); m != nil; m = r.take(capVList) {
		if m[3] == "VDC" || (dc && m[3] == "V") {
			addDC(r, c, m[2])
			continue
		}
		addRating(r, c, m[1], "")
		addRating(r, c, m[2], "")
	}
	for m := r.take(capV); m != nil; m = r.take(capV) {
		if dc && m[2] == "V" {
			addDC(r, c, m[1])
		} else {
			addRating(r, c, m[1], "")
		}
	}
	for m := r.take(capBareAC); m != nil; m = r.take(capBareAC) {
		addRating(r, c, m[1], "")
	}
	r.has(capDC)
	if c.Ratings == (part.Ratings{}) && c.DCVolts == 0 {
		if m := r.take(capLabelV); m != nil {
			addRating(r, c, m[1], "")
		}
	}
	capLoneClass(r, c)
	return false
}

// capLoneClass gives a class letter that stands apart to the only voltage.
// With several voltages nobody can say whose it is.
func capLoneClass(r *reader, c *part.Capacitor) {
	letter, text := "", ""
	if m := r.take(capAloneClass); m != nil {
		letter, text = m[1]+m[2], m[0]
	} else if m := r.take(capHours); m != nil {
		letter = map[string]string{"30000": "A", "10000": "B", "3000": "C", "1000": "D"}[m[1]]
		text = m[0]
	}
	switch {
	case letter == "":
	case c.Ratings[0].Volts > 0 && c.Ratings[1].Volts == 0 && c.Ratings[0].Class == part.ClassUnset:
		c.Ratings[0].Class = classOf(letter)
	default:
		r.miss(text, "class of operation without its voltage")
	}
}

func addDC(r *reader, c *part.Capacitor, digits string) {
	v := atoi(digits)
	if v <= 0 || v > 9999 {
		r.miss(digits+" VDC", "no sensible voltage")
		return
	}
	c.DCVolts = max(c.DCVolts, part.Volts(v))
}

// addRating inserts a pair in rising voltage. The same voltage twice keeps the
// class that was printed.
func addRating(r *reader, c *part.Capacitor, digits, letter string) {
	v := part.Volts(atoi(digits))
	if v == 0 {
		r.miss(digits+" V", "no sensible voltage")
		return
	}
	class := classOf(letter)
	for i, p := range c.Ratings {
		if p.Volts == v {
			if class != part.ClassUnset && p.Class != part.ClassUnset && class != p.Class {
				r.miss(digits+" V "+letter, "two classes at one voltage")
				class = min(class, p.Class) // the shorter life is the safe reading
			}
			if class != part.ClassUnset {
				c.Ratings[i].Class = class
			}
			return
		}
	}
	if c.Ratings[len(c.Ratings)-1].Volts != 0 {
		r.miss(digits+" V", "more voltages than a capacitor carries")
		return
	}
	c.Ratings[len(c.Ratings)-1] = part.Rating{Volts: v, Class: class}
	slices.SortFunc(c.Ratings[:], func(a, b part.Rating) int {
		switch { // empty places last
		case a.Volts == b.Volts:
			return 0
		case a.Volts == 0:
			return 1
		case b.Volts == 0 || a.Volts < b.Volts:
			return -1
		}
		return 1
	})
}

func classOf(letter string) part.Class {
	if letter == "" {
		return part.ClassUnset
	}
	return part.ClassA - part.Class(letter[0]-'A')
}

func protectionOf(mark string) part.Protection {
	return map[string]part.Protection{"S0": part.S0, "S1": part.S1, "S2": part.S2, "S3": part.S3,
		"P0": part.P0, "P1": part.P1, "P2": part.P2}[mark]
}
