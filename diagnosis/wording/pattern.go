package wording

import (
	"fmt"
	"strings"
)

// sign is the polarity an item asks for.
type sign int8

const (
	anySign sign = iota
	affirmed
	negated
)

// item is one slot of a pattern.
type item struct {
	set      bitset // any of these concepts
	is, not  bitset // those of set that must be affirmed, negated
	sign     sign   // of the whole item
	near     bool   // "@": may stand in a neighbouring clause
	during   bool   // "%": stands in a clause of time near by ("when it ...")
	optional bool   // "[x]": the subject, when there is one, is one of these
	ordered  bool   // ">" before it: starts after the item before
	atOnce   bool   // ">>" before it: and close behind it
}

// pattern is one way of saying a finding or hazard.
//
// Source form, items separated by spaces:
//
//	drum|motor   one of these concepts, any polarity
//	-turn +hum   negated, affirmed; the first item signed as a whole is the anchor
//	cold|-heat   an alternative with its own sign
//	[drum]       if the clause names a subject, it is one of these
//	@when_hot    in the clause or a neighbouring one
//	%drain       affirmed in a clause of time at hand: "when it drains"
//	!door !@door not in the clause (nor in a neighbouring one)
//	^dry ^@dry   as ! but only against the opposite reading
//	>            the next item comes after the one before
//	>>           and at once: with at most three words between
//	{present}    only presence is reported, {absent} only absence
//	{indirect}   weaker evidence, {strong} for emphatic
//	{other}      applies where another machine is spoken of too
//	{itself}     not what a person does on purpose: "I switched the power off"
//	{when}       "if" in the clause is no doubt: "if I push it, it goes"
//
// Without a signed item the last required one in the clause is the anchor, affirmed. A
// match with the anchor's polarity reports the finding present, one with the
// opposite polarity reports it absent.
type pattern struct {
	code     int16
	items    []item // without the anchor
	anchor   item
	exclude  bitset
	excludeN bitset // in neighbouring clauses too
	block    bitset // in the clause, against the opposite reading only
	blockN   bitset
	present  bool
	absent   bool
	indirect bool
	strong   bool
	other    bool   // also where another machine is spoken of
	itself   bool   // not where a person does it
	when     bool   // "if" in its clause names the circumstance
	order    []int8 // position of each item in the source; last is the anchor
	source   string
}

// allows tells whether hit x fills the item.
func (it *item) allows(x *hit) bool {
	c := x.concept
	return it.set.has(c) && (!it.is.has(c) || !x.neg) && (!it.not.has(c) || x.neg)
}

// maxItems bounds the items of a pattern.
const maxItems = 12

// parsePattern reads the source form. lookup gives the concepts of a name, which
// may be a group, and reports whether it exists.
func parsePattern(src string, lookup func(string) (bitset, bool)) (pattern, error) {
	p := pattern{source: src}
	anchor, last := -1, -1
	var all []item
	ordered, atOnce := false, false
	for _, f := range strings.Fields(src) {
		if f == ">" || f == ">>" {
			ordered, atOnce = true, f == ">>"
			continue
		}
		if strings.HasPrefix(f, "{") {
			switch f {
			case "{present}":
				p.present = true
			case "{absent}":
				p.absent = true
			case "{indirect}":
				p.indirect = true
			case "{strong}":
				p.strong = true
			case "{other}":
				p.other = true
			case "{itself}":
				p.itself = true
			case "{when}":
				p.when = true
			default:
				return p, fmt.Errorf("unknown flag %s; allowed: {present}, {absent}, {indirect}, {strong}, {other}, {itself}, {when}", f)
			}
			continue
		}
		it := item{ordered: ordered, atOnce: atOnce}
		ordered, atOnce = false, false
		name := f
		exclude := false
		if rest, ok := strings.CutPrefix(name, "!"); ok {
			exclude, name = true, rest
		}
		against := false
		if rest, ok := strings.CutPrefix(name, "^"); ok {
			against, name = true, rest
		}
		if rest, ok := strings.CutPrefix(name, "@"); ok {
			it.near, name = true, rest
		} else if rest, ok := strings.CutPrefix(name, "%"); ok {
			it.near, it.during, it.sign, name = true, true, affirmed, rest
		}
		if rest, ok := strings.CutPrefix(name, "-"); ok {
			it.sign, name = negated, rest
		} else if rest, ok := strings.CutPrefix(name, "+"); ok {
			it.sign, name = affirmed, rest
		}
		if strings.HasPrefix(name, "[") && strings.HasSuffix(name, "]") {
			it.optional, name = true, name[1:len(name)-1]
		}
		for _, n := range strings.Split(name, "|") {
			sg := it.sign
			if rest, ok := strings.CutPrefix(n, "-"); ok {
				sg, n = negated, rest
			} else if rest, ok := strings.CutPrefix(n, "+"); ok {
				sg, n = affirmed, rest
			}
			set, ok := lookup(n)
			if !ok {
				return p, fmt.Errorf("unknown concept %q in pattern %q", n, src)
			}
			it.set.union(&set)
			switch sg {
			case affirmed:
				it.is.union(&set)
			case negated:
				it.not.union(&set)
			}
		}
		if against {
			if it.near {
				p.blockN.union(&it.set)
			}
			p.block.union(&it.set)
			continue
		}
		if exclude {
			if it.sign != anySign || it.optional {
				return p, fmt.Errorf("exclusion %q takes no sign or brackets", f)
			}
			if it.near {
				p.excludeN.union(&it.set)
			}
			p.exclude.union(&it.set)
			continue
		}
		if it.sign != anySign && anchor < 0 && !it.near {
			anchor = len(all)
		}
		if !it.optional && !it.near {
			last = len(all)
		}
		all = append(all, it)
	}
	if len(all) > maxItems {
		return p, fmt.Errorf("pattern has %d items; at most %d", len(all), maxItems)
	}
	if anchor < 0 {
		anchor = last
	}
	if anchor < 0 {
		return p, fmt.Errorf("pattern %q has no item that must stand in the clause", src)
	}
	if all[anchor].sign == anySign {
		all[anchor].sign = affirmed
	}
	p.anchor = all[anchor]
	for i, it := range all {
		if i != anchor {
			p.items = append(p.items, it)
			p.order = append(p.order, int8(i))
		}
	}
	p.order = append(p.order, int8(anchor))
	if p.present && p.absent {
		return p, fmt.Errorf("pattern %q is both {present} and {absent}", src)
	}
	return p, nil
}
