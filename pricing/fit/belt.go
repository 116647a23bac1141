package fit

import "onevisit/pricing/part"

// compareLength: lengths on the same basis within the limits of the machine's
// tensioning. All sums are in whole micrometres, limits included.
//
// Elastic belts and fixed centres have the tight limit. Other belts need an
// idler or a slotted motor to be fitted at all, so the loose limit holds; but
// until somebody has seen the idler, the part beyond the tight limit carries a
// condition.
func compareLength(r *rule, o, c *part.Spec, ctx *Context) finding {
	if o.Belt == nil || c.Belt == nil || o.Belt.Length.Micrometres == 0 || c.Belt.Length.Micrometres == 0 {
		return finding{Missing, noteDefault}
	}
	a, b := o.Belt.Length, c.Belt.Length
	elastic := o.Belt.Elastic == part.Yes
	plain := r.near(int64(a.Micrometres), int64(b.Micrometres), elastic, ctx.Tension)
	if !comparable(a.Basis, b.Basis) {
		if beyond(int64(a.Micrometres), int64(b.Micrometres), r.loose, r.slack) && a.Doubt == b.Doubt {
			return r.differs()
		}
		return finding{Ask, noteBasis}
	}
	if a.Doubt == b.Doubt { // no doubt, or the same one: the ratio is the same either way
		return plain
	}
	// One side is certain, or they doubt differently: try the inch reading.
	ao, bo := int64(a.Micrometres), int64(b.Micrometres)
	if a.Doubt != part.NoDoubt {
		ao = int64(a.Other())
	}
	if b.Doubt != part.NoDoubt {
		bo = int64(b.Other())
	}
	if f := r.near(ao, bo, elastic, ctx.Tension); f.outcome == Agrees || f.outcome == Condition {
		return finding{Condition, noteInch}
	}
	if plain.outcome != Differs {
		return finding{Ask, noteMillimetre}
	}
	return plain
}

// comparable reports whether two lengths may be compared by number. A length
// whose basis is not printed compares with the plain effective length only.
func comparable(a, b part.Basis) bool {
	plain := func(x part.Basis) bool { return x == part.BasisUnset || x == part.Effective }
	return a == b || plain(a) && plain(b)
}

func (r *rule) near(o, c int64, elastic bool, t Tension) finding {
	switch {
	case r.tight == 0: // one limit for every tensioning
		if beyond(o, c, r.loose, 0) {
			return r.differs()
		}
		return agrees()
	case !beyond(o, c, r.tight, 0):
		return agrees()
	case elastic || t == FixedCentres || beyond(o, c, r.loose, 0):
		return r.differs()
	case t == Adjustable:
		return agrees()
	}
	return finding{Condition, noteIdler}
}

// beyond reports whether c is further from o than permille of o plus slack.
func beyond(o, c, permille, slack int64) bool {
	off := c - o
	if off < 0 {
		off = -off
	}
	return off*1000 > o*permille+slack*1000
}
