package knowledge

import (
	"go.yaml.in/yaml/v3"
)

// terms are the shared words, ready for looking up.
type terms struct {
	prefix   string // of instructions for licensed persons only
	skills   map[string]bool
	licensed map[string]bool // skills only a licensed person has
	tools    map[string]bool
	cautions map[string]string
	parts    map[string]string // licensed skill by part kind
}

// scope is where codes of one kind are defined and looked up.
type scope struct {
	what string
	at   map[string]int
}

func (s scope) known() []string {
	out := make([]string, 0, len(s.at))
	for c := range s.at {
		out = append(out, c)
	}
	return out
}

// builder turns the checked files of one family into a Family.
type builder struct {
	r     *report
	words terms
	fam   *Family
	files map[string]*file

	variants, parts, findings, access, faults scope
}

func (b *builder) at(name string, n *yaml.Node, format string, args ...any) {
	b.r.add(b.files[name].shown, n.Line, n.Column, format, args...)
}

// define reads the codes of a list and reports those given twice.
func (b *builder) define(name, list, field, what string) ([]object, scope) {
	items := object{b.files[name].root}.objects(list)
	s := scope{what: what, at: make(map[string]int, len(items))}
	for i, o := range items {
		_, v := o.get(field)
		if first, taken := s.at[v.Value]; taken {
			_, f := items[first].get(field)
			b.at(name, v, "%s %q is defined twice, first in line %d", what, v.Value, f.Line)
			continue
		}
		s.at[v.Value] = i
	}
	return items, s
}

// ref looks up one code, reporting it when it is not defined; then it is 0,
// false.
func (b *builder) ref(name string, n *yaml.Node, s scope) (int, bool) {
	i, ok := s.at[n.Value]
	if !ok {
		b.at(name, n, "unknown %s %q%s", s.what, n.Value, nearestSorted(n.Value, s.known()))
	}
	return i, ok
}

// refs looks up a list of codes and reports repeats.
func (b *builder) refs(name string, nodes []*yaml.Node, s scope) []int {
	var out []int
	seen := map[int]bool{}
	for _, n := range nodes {
		i, ok := b.ref(name, n, s)
		switch {
		case !ok:
		case seen[i]:
			b.at(name, n, "%s %q is named twice", s.what, n.Value)
		default:
			seen[i] = true
			out = append(out, i)
		}
	}
	return out
}

func (b *builder) source(name string, o object) string {
	if own := o.text("source"); own != "" {
		return own
	}
	if all := (object{b.files[name].root}).text("source"); all != "" {
		return all
	}
	b.at(name, o.n, "source is missing: say where the figures come from, here or at the top of the file")
	return ""
}

// buildFamily reads the files of one family. Problems go to r; the Family is
// to be used only when there are none.
func buildFamily(code string, files map[string]*file, words terms, r *report) *Family {
	b := &builder{r: r, words: words, files: files, fam: &Family{Code: code}}
	b.family()
	b.buildParts()
	b.buildFindings()
	b.buildAccess()
	b.buildFaults()
	b.buildCauses()
	b.buildQuestions()
	b.buildChecks()
	b.coverage()
	return b.fam
}

func (b *builder) family() {
	root := object{b.files[familyFile].root}
	b.fam.Label, b.fam.FaultsPerCall = root.text("label"), root.number("faults_per_call")
	items, s := b.define(familyFile, "variants", "code", "variant")
	b.variants = s
	sum := 0.0
	for _, o := range items {
		v := Variant{Code: o.text("code"), Label: o.text("label"), Share: o.number("share"), Licence: o.text("licence")}
		if _, n := o.get("licence"); n != nil && !b.words.licensed[n.Value] {
			b.at(familyFile, n, "%q is not a licensed skill%s: skills are defined in %s", n.Value, nearest(n.Value, keysOf(b.words.licensed)), termsFile)
		}
		sum += v.Share
		b.fam.Variants = append(b.fam.Variants, v)
	}
	if sum < 0.999 || sum > 1.001 {
		k, _ := root.get("variants")
		b.at(familyFile, k, "shares of the variants sum to %.4g: they must sum to 1", sum)
	}
}

func (b *builder) buildParts() {
	items, s := b.define(partsFile, "parts", "kind", "part kind")
	b.parts = s
	for _, o := range items {
		p := Part{Kind: o.text("kind"), Label: o.text("label"), CarryMinutes: o.number("carry_minutes"),
			Licence: b.words.parts[o.text("kind")], Source: b.source(partsFile, o)}
		sum := 0.0
		for _, t := range o.objects("typical") {
			p.Typical = append(p.Typical, Rating{Mark: t.text("mark"), Share: t.number("share")})
			sum += t.number("share")
		}
		if sum > 1.0001 {
			k, _ := o.get("typical")
			b.at(partsFile, k, "shares of the typical ratings of %s sum to %.4g: at most 1 is allowed", p.Kind, sum)
		}
		b.fam.Parts = append(b.fam.Parts, p)
	}
}

func (b *builder) buildFindings() {
	items, s := b.define(findingsFile, "findings", "code", "finding")
	b.findings = s
	for _, o := range items {
		b.fam.Findings = append(b.fam.Findings, Finding{Code: o.text("code"), Label: o.text("label"),
			Leak: o.number("leak"), Source: b.source(findingsFile, o)})
	}
}

func (b *builder) buildAccess() {
	items, s := b.define(accessFile, "access", "code", "access group")
	b.access = s
	for _, o := range items {
		a := AccessGroup{Code: o.text("code"), Label: o.text("label"), Minutes: o.number("minutes"),
			Parent: -1, Source: b.source(accessFile, o)}
		if _, v := o.get("parent"); v != nil {
			if i, ok := b.ref(accessFile, v, s); ok {
				a.Parent = i
			}
		}
		b.fam.Access = append(b.fam.Access, a)
	}
	b.accessCycles(items)
}

func (b *builder) buildFaults() {
	items, s := b.define(faultsFile, "faults", "code", "fault")
	b.faults = s
	for _, o := range items {
		f := Fault{
			Code: o.text("code"), Label: o.text("label"), Share: o.number("share"),
			Wear: Wear(o.word("wear", wearWords)), Minutes: o.number("minutes"),
			Hazard: HazardClass(o.word("hazard", classWords)), PhoneFix: o.text("phone_fix"),
			Skills:   b.known(faultsFile, o.items("skills"), "skill", b.words.skills),
			Tools:    b.known(faultsFile, o.items("tools"), "tool", b.words.tools),
			Cautions: b.cautions(faultsFile, o), Source: b.source(faultsFile, o),
		}
		_, part := o.get("part")
		f.Part, _ = b.ref(faultsFile, part, b.parts)
		f.AlsoParts = b.refs(faultsFile, o.items("also"), b.parts)
		_, access := o.get("access")
		f.Access, _ = b.ref(faultsFile, access, b.access)
		for _, p := range o.pairs("variants") {
			if _, ok := b.ref(faultsFile, p.key, b.variants); ok {
				if f.Variants == nil {
					f.Variants = map[string]float64{}
				}
				f.Variants[p.key.Value], _ = numberOf(p.value)
			}
		}
		for _, p := range o.pairs("links") {
			if i, ok := b.ref(faultsFile, p.key, b.findings); ok {
				v, _ := numberOf(p.value)
				f.Links = append(f.Links, Link{Finding: i, P: v})
			}
		}
		b.faultRules(o, &f)
		b.fam.Faults = append(b.fam.Faults, f)
	}
	b.fam.setPriors()
}

func (b *builder) buildCauses() {
	items := object{b.files[causesFile].root}.objects("causes")
	for _, o := range items {
		_, from := o.get("from")
		_, to := o.get("to")
		i, okFrom := b.ref(causesFile, from, b.faults)
		j, okTo := b.ref(causesFile, to, b.faults)
		source := b.source(causesFile, o)
		if okFrom && okTo {
			b.fam.Causes = append(b.fam.Causes, Cause{From: i, To: j, P: o.number("p"), Source: source})
			b.causeRules(from, to, len(b.fam.Causes)-1)
		}
	}
}

func (b *builder) buildQuestions() {
	items, _ := b.define(questionsFile, "questions", "code", "question")
	for _, o := range items {
		q := Question{Code: o.text("code"), Text: o.text("text"), Seconds: o.number("seconds"), Source: b.source(questionsFile, o)}
		for _, i := range b.refs(questionsFile, o.items("variants"), b.variants) {
			q.Variants = append(q.Variants, b.fam.Variants[i].Code)
		}
		seen := map[string]bool{}
		for _, ao := range o.objects("answers") {
			a := Answer{Code: ao.text("code"), Text: ao.text("text")}
			if _, n := ao.get("code"); seen[a.Code] {
				b.at(questionsFile, n, "answer %q is defined twice", a.Code)
			}
			seen[a.Code] = true
			a.Reports = append(b.reports(ao, "present", true), b.reports(ao, "absent", false)...)
			b.contradictions(ao)
			q.Answers = append(q.Answers, a)
		}
		b.questionRules(o, &q)
		b.fam.Questions = append(b.fam.Questions, q)
	}
}

func (b *builder) reports(o object, field string, present bool) []Report {
	var out []Report
	for _, p := range o.pairs(field) {
		if i, ok := b.ref(questionsFile, p.key, b.findings); ok {
			v, _ := numberOf(p.value)
			out = append(out, Report{Finding: i, Present: present, Ratio: v})
		}
	}
	return out
}

func (b *builder) buildChecks() {
	items, _ := b.define(checksFile, "checks", "code", "check")
	for _, o := range items {
		c := Check{
			Code: o.text("code"), Label: o.text("label"), Instruction: o.text("instruction"),
			Faults:  b.refs(checksFile, o.items("faults"), b.faults),
			Minutes: o.number("minutes"), Tools: b.known(checksFile, o.items("tools"), "tool", b.words.tools),
			Hazard: HazardClass(o.word("hazard", classWords)), Expect: o.text("expect"), Fail: o.text("fail"),
			Detects: o.number("detects"), FalseAlarm: o.number("false_alarm"),
			Cautions: b.cautions(checksFile, o), Source: b.source(checksFile, o),
		}
		_, access := o.get("access")
		c.Access, _ = b.ref(checksFile, access, b.access)
		b.checkRules(o, &c)
		b.fam.Checks = append(b.fam.Checks, c)
	}
}

// known returns the codes that are defined and reports the others.
func (b *builder) known(name string, nodes []*yaml.Node, what string, defined map[string]bool) []string {
	var out []string
	for _, n := range nodes {
		if !defined[n.Value] {
			b.at(name, n, "unknown %s %q%s: %ss are defined in %s", what, n.Value, nearestSorted(n.Value, keysOf(defined)), what, termsFile)
			continue
		}
		out = append(out, n.Value)
	}
	return out
}

// cautions returns the texts of the cautions that are named.
func (b *builder) cautions(name string, o object) []string {
	var out []string
	for _, n := range o.items("cautions") {
		t, ok := b.words.cautions[n.Value]
		if !ok {
			b.at(name, n, "unknown caution %q%s: cautions are defined in %s", n.Value, nearestSorted(n.Value, keysOf(b.words.cautions)), termsFile)
			continue
		}
		out = append(out, t)
	}
	return out
}
