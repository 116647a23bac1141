package marking

import (
	"strconv"
	"strings"

	"onevisit/pricing/part"
)

// capValues reads the capacitance or capacitances.
func capValues(r *reader, c *part.Capacitor, s said) {
	pair := func(a, b part.Picofarads, as part.Assembly) {
		switch {
		case s.parallel:
			as = part.Parallel
		case s.series:
			as = part.Series
		case s.dual:
			as = part.Dual
		case s.two:
			as = part.Two
		}
		c.Assembly, c.Capacitance, c.Second = as, max(a, b), min(a, b)
	}
	if m := r.take(capRange); m != nil {
		low, high := micro(m[1]), micro(m[2])
		if low > 0 && low < high {
			c.Capacitance, c.Upper = low, high
		} else {
			r.miss(m[0], "no rising range")
		}
	} else if m := r.take(capTimes); m != nil && micro(m[1]) > 0 {
		pair(micro(m[1]), micro(m[1]), part.Two)
	} else if m := r.take(capUnits2); m != nil {
		// Each value with its own unit is two parts, unless a slash joins them
		// as sections of one can.
		as := part.Two
		switch m[2] {
		case "/":
			as = part.Dual
		case "//": // the sign for parallel
			as = part.Parallel
		}
		if micro(m[1]) > 0 && micro(m[3]) > 0 {
			pair(micro(m[1]), micro(m[3]), as)
		} else {
			r.miss(m[0], "a capacitance of zero")
		}
	} else if m := r.take(capUnits1); m != nil {
		as := part.Dual
		if m[2] == "AND" || m[2] == "&" {
			as = part.Two
		}
		if micro(m[1]) > 0 && micro(m[3]) > 0 {
			pair(micro(m[1]), micro(m[3]), as)
		} else {
			r.miss(m[0], "a capacitance of zero")
		}
	}
	capSingles(r, c)
	if c.Capacitance == 0 && c.Ratings != (part.Ratings{}) {
		if m := r.take(capBareSum); m != nil && micro(m[1]) > 0 && micro(m[2]) > 0 {
			pair(micro(m[1]), micro(m[2]), part.Dual) // "40+5 440VAC"
		}
	}
	if c.Assembly != part.Single || c.Capacitance == 0 {
		return
	}
	switch { // "two 16 µF in series"
	case s.series:
		c.Assembly, c.Second = part.Series, c.Capacitance
	case s.parallel:
		c.Assembly, c.Second = part.Parallel, c.Capacitance
	case s.two:
		c.Assembly, c.Second = part.Two, c.Capacitance
	case s.dual:
		// Dual with one value read: the other is missing, so neither is known.
		r.miss("DUAL "+c.Capacitance.String(), "the second section's value is missing")
		c.Capacitance = 0
	}
}

// capSingles reads single values. A second, different value makes the mark
// contradict itself: no value is kept.
func capSingles(r *reader, c *part.Capacitor) {
	seen := ""
	add := func(v part.Picofarads, text string) {
		switch {
		case v <= 0:
			r.miss(text, "no sensible capacitance")
		case c.Capacitance == 0 && seen == "":
			c.Capacitance, seen = v, text
		case c.Capacitance != v:
			r.miss(strings.TrimSpace(seen+" "+text), "two different capacitances")
			c.Capacitance, c.Second, c.Upper, c.Assembly = 0, 0, 0, part.Single
			seen = text
		}
	}
	if c.Capacitance != 0 {
		seen = c.Capacitance.String()
	}
	for m := r.take(capUF); m != nil; m = r.take(capUF) {
		add(scaled(m[1], 6), m[0])
	}
	for m := r.take(capRKM); m != nil; m = r.take(capRKM) {
		places := 6
		if m[2] == "N" {
			places = 3
		}
		add(scaled(m[1]+"."+m[3], places), m[0])
	}
	for m := r.take(capRKMZero); m != nil; m = r.take(capRKMZero) {
		add(scaled("0."+m[1], 6), m[0])
	}
	for m := r.take(capNF); m != nil; m = r.take(capNF) {
		add(scaled(m[1], 3), m[0])
	}
	for m := r.take(capPF); m != nil; m = r.take(capPF) {
		add(scaled(m[1], 0), m[0])
	}
	if seen == "" {
		if m := r.take(capLabelUF); m != nil {
			add(scaled(m[1], 6), m[0])
		}
	}
}

// fixed reads a decimal as an integer of 10^-places units, exactly. It is false
// for more decimals than places, and for anything that is no plain number.
func fixed(text string, places int) (int64, bool) {
	whole, frac, _ := strings.Cut(text, ".")
	frac = strings.TrimRight(frac, "0")
	if len(frac) > places || len(whole)+places > 17 {
		return 0, false
	}
	n, err := strconv.ParseInt(whole+frac+strings.Repeat("0", places-len(frac)), 10, 64)
	return n, err == nil && n >= 0
}

func scaled(text string, places int) part.Picofarads {
	n, ok := fixed(text, places)
	if !ok {
		return 0
	}
	return part.Picofarads(n)
}

func micro(text string) part.Picofarads { return scaled(text, 6) }

func tenths(text string) uint16 {
	n, ok := fixed(text, 1)
	if !ok || n > 65535 {
		return 0
	}
	return uint16(n)
}

func atoi(digits string) int {
	n, err := strconv.Atoi(digits)
	if err != nil {
		return 0
	}
	return n
}
