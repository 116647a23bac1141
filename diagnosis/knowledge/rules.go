package knowledge

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// maxLicensed bounds the instruction of a licensed check, in bytes. Such a line
// says what a licensed person has to establish; it has no room for steps that
// somebody else could follow.
const maxLicensed = 200

func (b *builder) faultRules(o object, f *Fault) {
	_, part := o.get("part")
	_, class := o.get("hazard")
	noPart := part.Value == NoPart
	if noPart && len(f.AlsoParts) > 0 {
		k, _ := o.get("also")
		b.at(faultsFile, k, "also is set on a fault that needs no part")
	}
	if i := f.Part; slices.Contains(f.AlsoParts, i) {
		k, _ := o.get("also")
		b.at(faultsFile, k, "also repeats the part %q", part.Value)
	}
	if f.PhoneFix != "" && (!noPart || f.Hazard != Outside) {
		k, _ := o.get("phone_fix")
		b.at(faultsFile, k, "phone_fix is for faults with part no_part and hazard outside only")
	}
	if f.Hazard >= Isolated && len(f.Cautions) == 0 {
		b.at(faultsFile, class, "hazard %s needs cautions", class.Value)
	}
	needs := ""
	for _, n := range append([]*yaml.Node{part}, o.items("also")...) {
		if skill := b.words.parts[n.Value]; skill != "" {
			needs = skill
			if f.Hazard != Licensed {
				b.at(faultsFile, class, "hazard must be licensed: %s is a part for holders of the skill %s", n.Value, skill)
			}
			if !slices.Contains(f.Skills, skill) {
				b.at(faultsFile, part, "skills must name %s: %s is a part for its holders", skill, n.Value)
			}
		}
	}
	holds := slices.ContainsFunc(f.Skills, func(s string) bool { return b.words.licensed[s] })
	if f.Hazard == Licensed && !holds {
		b.at(faultsFile, class, "hazard licensed needs a licensed skill in skills: one of %s", strings.Join(keysOf(b.words.licensed), ", "))
	}
	if f.Hazard != Licensed && holds && needs == "" {
		b.at(faultsFile, class, "hazard must be licensed: skills names a licensed skill")
	}
}

func (b *builder) causeRules(from, to *yaml.Node, last int) {
	c := b.fam.Causes[last]
	if c.From == c.To {
		b.at(causesFile, to, "fault %q causes itself", to.Value)
		b.fam.Causes = b.fam.Causes[:last]
		return
	}
	for _, e := range b.fam.Causes[:last] {
		if e.From == c.From && e.To == c.To {
			b.at(causesFile, from, "cause link from %q to %q is given twice", from.Value, to.Value)
			b.fam.Causes = b.fam.Causes[:last]
			return
		}
	}
	// Links so far are free of cycles, so the new one closes one exactly when
	// its end already leads to its beginning.
	if b.leads(c.To, c.From, b.fam.Causes[:last]) {
		b.at(causesFile, from, "cause link from %q to %q closes a circle", from.Value, to.Value)
		b.fam.Causes = b.fam.Causes[:last]
	}
}

// leads reports whether causes lead from one fault to another.
func (b *builder) leads(from, to int, causes []Cause) bool {
	seen := make([]bool, len(b.fam.Faults))
	todo := []int{from}
	for len(todo) > 0 {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if at == to {
			return true
		}
		if seen[at] {
			continue
		}
		seen[at] = true
		for _, c := range causes {
			if c.From == at {
				todo = append(todo, c.To)
			}
		}
	}
	return false
}

// accessCycles reports groups whose parents lead back to them and cuts them.
func (b *builder) accessCycles(items []object) {
	for i := range b.fam.Access {
		at := i
		for range b.fam.Access {
			if at = b.fam.Access[at].Parent; at < 0 {
				break
			}
		}
		if at >= 0 {
			_, n := items[i].get("parent")
			b.at(accessFile, n, "access group %q is behind itself", b.fam.Access[i].Code)
			b.fam.Access[i].Parent = -1
		}
	}
}

func (b *builder) contradictions(o object) {
	for _, p := range o.pairs("present") {
		for _, q := range o.pairs("absent") {
			if p.key.Value == q.key.Value {
				b.at(questionsFile, q.key, "finding %q is both present and absent in one answer", q.key.Value)
			}
		}
	}
}

func (b *builder) questionRules(o object, q *Question) {
	if !slices.ContainsFunc(q.Answers, func(a Answer) bool { return len(a.Reports) > 0 }) {
		b.at(questionsFile, o.n, "question %q tells nothing: no answer says that a finding is present or absent", q.Code)
	}
}

func (b *builder) checkRules(o object, c *Check) {
	_, class := o.get("hazard")
	_, instruction := o.get("instruction")
	if c.Hazard >= Isolated && len(c.Cautions) == 0 {
		b.at(checksFile, class, "hazard %s needs cautions", class.Value)
	}
	if c.Detects <= c.FalseAlarm {
		k, _ := o.get("detects")
		b.at(checksFile, k, "detects %v must be above false_alarm %v, or the check tells nothing", c.Detects, c.FalseAlarm)
	}
	switch starts := strings.HasPrefix(c.Instruction, b.words.prefix); {
	case c.Hazard == Licensed && !starts:
		b.at(checksFile, instruction, "instruction of a licensed check must begin with %q and give no steps inside", b.words.prefix)
	case c.Hazard != Licensed && starts:
		b.at(checksFile, class, "hazard must be licensed: the instruction begins with %q", b.words.prefix)
	}
	if c.Hazard == Licensed && len(c.Instruction) > maxLicensed {
		b.at(checksFile, instruction, "instruction of a licensed check is longer than %d bytes: say what to establish, not the steps inside", maxLicensed)
	}
	for i, n := range o.items("faults") {
		f, ok := b.faults.at[n.Value]
		if ok && slices.Index(o.texts("faults"), n.Value) == i && b.onlyLicensed(c, f) {
			b.at(checksFile, n, "fault %q is licensed work: a check of it must be outside the panel or licensed", n.Value)
		}
	}
}

// onlyLicensed reports whether check c would lead a reader without the licence
// inside licensed work: it tells about nothing but licensed faults and is
// neither licensed itself nor outside the panel.
func (b *builder) onlyLicensed(c *Check, f int) bool {
	if b.fam.Faults[f].Hazard != Licensed || c.Hazard == Outside || c.Hazard == Licensed {
		return false
	}
	return b.words.parts[b.fam.Parts[b.fam.Faults[f].Part].Kind] != ""
}

// coverage reports entries that nothing uses: each is a gap in the knowledge.
func (b *builder) coverage() {
	partUsed := make([]bool, len(b.fam.Parts))
	caused := make([]bool, len(b.fam.Findings))
	checked := make([]bool, len(b.fam.Faults))
	for _, f := range b.fam.Faults {
		partUsed[f.Part] = true
		for _, p := range f.AlsoParts {
			partUsed[p] = true
		}
		for _, l := range f.Links {
			caused[l.Finding] = true
		}
	}
	for _, c := range b.fam.Checks {
		for _, f := range c.Faults {
			checked[f] = true
		}
	}
	b.unused(partsFile, "parts", "kind", partUsed, "part kind %q has no fault that needs it")
	b.unused(findingsFile, "findings", "code", caused, "finding %q is caused by no fault")
	b.unused(faultsFile, "faults", "code", checked, "fault %q is told about by no check")
	if _, ok := b.parts.at[NoPart]; !ok {
		k, _ := object{b.files[partsFile].root}.get("parts")
		b.at(partsFile, k, "part kind %q is missing: every family has faults that are put right without a part", NoPart)
	}
}

func (b *builder) unused(name, list, field string, used []bool, format string) {
	for i, o := range (object{b.files[name].root}).objects(list) {
		if _, v := o.get(field); i < len(used) && !used[i] {
			b.at(name, v, format, v.Value)
		}
	}
}

// keysOf returns the keys of m, sorted.
func keysOf[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// nearestSorted is nearest over words in no particular order, made stable.
func nearestSorted(got string, known []string) string {
	slices.Sort(known)
	return nearest(got, known)
}
