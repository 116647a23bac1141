package fit

import (
	"slices"

	"onevisit/pricing/part"
)

// compareCapacitance: equal nominal values, never the nearest size. What the
// pieces of a compound add up to counts here; whether the compound may be used
// at all is the assembly rule's question.
func compareCapacitance(r *rule, o, c *part.Spec, _ *Context) finding {
	a, b := o.Capacitor, c.Capacitor
	if a == nil || b == nil || a.Capacitance == 0 || b.Capacitance == 0 {
		return finding{Missing, noteDefault}
	}
	switch {
	case a.Upper > 0:
		return r.startRange(a, b)
	case a.Assembly == part.Dual || a.Assembly == part.Two:
		if (b.Assembly == part.Dual || b.Assembly == part.Two) && a.Capacitance == b.Capacitance && a.Second == b.Second {
			return agrees()
		}
		return r.differs()
	}
	want := together(a)
	switch {
	case b.Upper > 0: // a start range that spans the value may or may not be it
		if b.Capacitance <= want && want <= b.Upper {
			return finding{Ask, noteDefault}
		}
		return r.differs()
	case b.Assembly == part.Dual || b.Assembly == part.Two:
		if want == b.Capacitance || want == b.Second || want == b.Capacitance+b.Second {
			return agrees()
		}
		return r.differs()
	}
	got := together(b)
	if got == want {
		return agrees()
	}
	// A neighbour inside the original's own printed band is for a person.
	off := int64(got - want)
	if a.Tolerance.Stated() && off*1000 <= int64(want)*int64(a.Tolerance.Plus) && -off*1000 <= int64(want)*int64(a.Tolerance.Minus) {
		return finding{Ask, noteDefault}
	}
	return r.differs()
}

// startRange compares with a start capacitor's range, which is its tolerance.
func (r *rule) startRange(a, b *part.Capacitor) finding {
	inside := func(v part.Picofarads) bool { return a.Capacitance <= v && v <= a.Upper }
	switch {
	case b.Upper > 0 && inside(b.Capacitance) && inside(b.Upper):
		return agrees()
	case b.Upper == 0 && b.Assembly == part.Single && inside(b.Capacitance):
		return finding{Ask, noteDefault} // a single figure does not say its band
	}
	return r.differs()
}

// together is what the capacitors of a mark make: C1+C2 in parallel,
// C1·C2/(C1+C2) in series, rounded down to a picofarad.
func together(c *part.Capacitor) part.Picofarads {
	switch c.Assembly {
	case part.Parallel:
		return c.Capacitance + c.Second
	case part.Series:
		// Through float only when the product would overflow would be a
		// second meaning; divide first instead, exact for equal pairs.
		if c.Capacitance == c.Second {
			return c.Capacitance / 2
		}
		whole := c.Capacitance / (c.Capacitance + c.Second)
		rest := c.Capacitance % (c.Capacitance + c.Second)
		return whole*c.Second + rest/1000*c.Second/((c.Capacitance+c.Second)/1000+1)
	}
	return c.Capacitance
}

// compareClass: for each pair the original prints, the candidate's best class
// at that voltage or higher must be as long-lived.
func compareClass(r *rule, o, c *part.Spec, _ *Context) finding {
	a, b := o.Capacitor, c.Capacitor
	if a == nil || b == nil {
		return finding{}
	}
	worst := finding{}
	for _, pair := range a.Ratings {
		if pair.Class == part.ClassUnset || b.Ratings.Highest() < pair.Volts {
			continue // nothing asked, or the voltage rule speaks
		}
		f := agrees()
		switch best := b.Ratings.BestClassAt(pair.Volts); {
		case best == part.ClassUnset:
			f = r.lacks()
		case best < pair.Class:
			f = r.differs()
		}
		if f.outcome > worst.outcome {
			worst = f
		}
	}
	return worst
}

// compareSiteVoltage: a rating below the mains cannot be right, whatever the
// original says. Silent when the site is not known.
func compareSiteVoltage(r *rule, _, c *part.Spec, ctx *Context) finding {
	v := r.field.Get(c)
	if ctx.SupplyVolts <= 0 || !v.Set {
		return finding{}
	}
	if v.N < int64(ctx.SupplyVolts) {
		return r.differs()
	}
	return agrees()
}

// compareClimate: the candidate's range must contain the original's. A lower
// upper temperature refuses the part in a hot place and is asked elsewhere; the
// rest is a condition.
func compareClimate(r *rule, o, c *part.Spec, ctx *Context) finding {
	if o.Capacitor == nil || c.Capacitor == nil || !o.Capacitor.Climate.Stated() {
		return finding{}
	}
	a, b := o.Capacitor.Climate, c.Capacitor.Climate
	hot := ctx.Heat == HotPlace || ctx.Heat == HeatUnknown && slices.Contains(r.hot, ctx.Family)
	switch {
	case !b.Stated() && hot:
		return finding{Missing, noteDefault}
	case !b.Stated():
		return finding{Condition, noteDefault}
	case b.Max < a.Max && hot:
		return finding{Differs, noteDefault}
	case b.Max < a.Max:
		return finding{Ask, noteDefault}
	case b.Min > a.Min || b.Days < a.Days:
		return finding{Condition, noteDefault}
	}
	return agrees()
}

// compareFrequency: the candidate's list must hold the site's frequency, or
// where that is unknown every frequency the original lists. It never refuses:
// a 60 Hz mark on 50 Hz is for a person.
func compareFrequency(r *rule, o, c *part.Spec, ctx *Context) finding {
	ov, cv := r.field.Get(o), r.field.Get(c)
	want := ov.N
	switch ctx.SupplyHertz {
	case 50:
		want = int64(part.Hz50)
	case 60:
		want = int64(part.Hz60)
	}
	switch {
	case !cv.Set && !ov.Set, want == 0:
		return finding{}
	case !cv.Set:
		return finding{Missing, noteDefault}
	case want&^cv.N == 0:
		return agrees()
	}
	return finding{Ask, noteDefault}
}
