package procedure

import (
	"slices"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/knowledge"
)

// Person is who will do the checks.
type Person struct {
	Skills []string
	Tools  []string // nil: unknown, take it that every tool is there
	// Variant is the code of the machine's variant, "" when unknown. Nobody
	// opens a machine whose variant asks for a licence, such as a gas-fired
	// dryer, without holding it.
	Variant string
}

func (p Person) has(skill string) bool { return slices.Contains(p.Skills, skill) }

// Suspect is a fault that a check tells about.
type Suspect struct {
	Fault int
	P     float64 // probability that it is present, before any check
}

// Step is one check in its place.
type Step struct {
	Check    int          // index into Family.Checks
	Prepare  []Precaution // to be done first, in order
	Opens    []int        // access groups to open, outermost first
	Suspects []Suspect    // by falling probability

	// Text for the one at the machine, from knowledge.
	Instruction, Expect, Fail string
	Cautions, Tools           []string
	Hazard                    knowledge.HazardClass

	Minutes float64 // of this step, with preparing and opening
	Elapsed float64 // until the step is done, if nothing was found before
	Reached float64 // probability that the search gets here
	Found   float64 // probability that it ends here
}

// Reason says why a check is not among the steps.
type Reason int

// The reasons. The zero value is invalid.
const (
	ReasonInvalid Reason = iota
	NotLicensed          // gas, refrigerant circuit or microwave high voltage
	NotSkilled           // work behind a panel or under voltage
	NoTool
	Unlikely // would hardly find anything
)

// Left is a check that is not to be done, and why. It never carries the
// instruction.
type Left struct {
	Check  int
	Reason Reason
	Need   string // the skill or tool that is lacking, "" when unknown
	Say    string // for NotLicensed and NotSkilled
}

// Procedure is the order of checks for one person at one machine.
type Procedure struct {
	Steps []Step
	Left  []Left
	// Minutes is the expected time until the fault is found, given that the
	// steps can find it.
	Minutes float64
	// Found is the probability that the steps find it.
	Found float64
	// Proven says that no safe order is quicker on average.
	Proven bool
}

// Plan orders the checks of the posterior's family for a person. A nil rules
// takes [DefaultRules].
//
// The faults are weighed by their probabilities as if exactly one were present.
// A check that may condemn good parts is charged for it. The order obeys: work
// behind a panel only once isolated; live measurement behind a panel only after
// all dead work there, at an unopened machine only after the outside checks
// that tell about the same faults. Checks whose work asks for a licence the
// person lacks are left, without their instruction; when knowledge does not say
// which licence, nobody has it.
//
// Errors wrap [ErrProblem] or [ErrRules].
func Plan(p *belief.Posterior, who Person, rules *Rules) (*Procedure, error) {
	if rules == nil {
		rules = DefaultRules()
	} else if err := rules.validate(); err != nil {
		return nil, err
	}
	f := p.Model().Family()
	weights := slices.Clone(p.Faults)
	if total := sum(weights); total > 0 {
		for i := range weights {
			weights[i] /= total
		}
	}
	out := &Procedure{}
	var allowed []int
	for c := range f.Checks {
		if left, no := refuse(f, c, who, rules); no {
			out.Left = append(out.Left, left)
			continue
		}
		chance := 0.0
		for _, fault := range f.Checks[c].Faults {
			chance += weights[fault] * f.Checks[c].Detects
		}
		if chance <= 0 || chance < rules.LeastChance {
			out.Left = append(out.Left, Left{Check: c, Reason: Unlikely})
			continue
		}
		allowed = append(allowed, c)
	}
	problem := frame(f, allowed, weights, rules)
	order, err := Solve(problem)
	if err != nil {
		return nil, err
	}
	out.Minutes, out.Found, out.Proven = order.Minutes, order.Found, order.Proven
	out.steps(f, p, problem, allowed, order.Tasks, rules)
	return out, nil
}

// refuse says whether a person must leave a check, and why.
func refuse(f *knowledge.Family, c int, who Person, rules *Rules) (Left, bool) {
	check := &f.Checks[c]
	licences, known := licencesOf(f, check)
	if !known {
		return Left{c, NotLicensed, "", rules.Leave.Text}, true
	}
	for _, l := range licences {
		if !who.has(l) {
			return Left{c, NotLicensed, l, rules.Leave.Text}, true
		}
	}
	inside := check.Hazard == knowledge.Isolated || check.Hazard == knowledge.Licensed || opened(f, check.Access)
	if i, ok := f.VariantIndex(who.Variant); ok && inside {
		if l := f.Variants[i].Licence; l != "" && !who.has(l) {
			return Left{c, NotLicensed, l, rules.Leave.Text}, true
		}
	}
	need := ""
	switch {
	case check.Hazard == knowledge.Energised:
		need = rules.Live.Skill
	case check.Hazard != knowledge.Outside || opened(f, check.Access):
		need = rules.Isolation.Skill
	}
	if need != "" && !who.has(need) {
		return Left{c, NotSkilled, need, rules.Leave.Text}, true
	}
	if who.Tools != nil {
		for _, t := range check.Tools {
			if !slices.Contains(who.Tools, t) {
				return Left{c, NoTool, t, ""}, true
			}
		}
	}
	return Left{}, false
}

// licencesOf returns the licences that a check asks for: those of the parts of
// its faults when it is licensed work, or when it is about nothing but such
// parts. known is false for licensed work for which knowledge names neither a
// licence nor a skill.
func licencesOf(f *knowledge.Family, check *knowledge.Check) (licences []string, known bool) {
	var skills []string
	all := len(check.Faults) > 0
	for _, i := range check.Faults {
		fault := &f.Faults[i]
		if l := f.Parts[fault.Part].Licence; l == "" {
			all = false
		} else if !slices.Contains(licences, l) {
			licences = append(licences, l)
		}
		for _, s := range fault.Skills {
			if !slices.Contains(skills, s) {
				skills = append(skills, s)
			}
		}
	}
	switch {
	case check.Hazard != knowledge.Licensed && !all:
		return nil, true
	case len(licences) > 0:
		return licences, true
	default:
		return skills, len(skills) > 0
	}
}

// opened says whether an access group stands for something that is opened.
func opened(f *knowledge.Family, group int) bool {
	for ; group >= 0; group = f.Access[group].Parent {
		if f.Access[group].Minutes > 0 {
			return true
		}
	}
	return false
}

// frame states the order of the allowed checks as a Problem. Isolation is a
// group of its own, around everything that is opened.
func frame(f *knowledge.Family, allowed []int, weights []float64, rules *Rules) Problem {
	p := Problem{Weights: weights}
	isolation := len(f.Access)
	for g, a := range f.Access {
		parent := a.Parent
		if a.Minutes > 0 && !opened(f, parent) {
			parent = isolation
		}
		p.Groups = append(p.Groups, Group{f.Access[g].Minutes, parent})
	}
	p.Groups = append(p.Groups, Group{rules.Isolation.Minutes, -1})
	for _, c := range allowed {
		check := &f.Checks[c]
		t := Task{Minutes: check.Minutes, Group: -1}
		switch inside := opened(f, check.Access); {
		case inside:
			t.Group = check.Access
		case check.Hazard == knowledge.Isolated || check.Hazard == knowledge.Licensed:
			t.Group = isolation
		}
		if check.Hazard == knowledge.Energised {
			t.Minutes += rules.Live.Minutes
		}
		about := 0.0
		for _, fault := range check.Faults {
			about += weights[fault]
			if check.Detects > 0 {
				t.Finds = append(t.Finds, Find{fault, check.Detects})
			}
		}
		t.Minutes += check.FalseAlarm * max(0, 1-about) * rules.FalseAlarmMinutes
		p.Tasks = append(p.Tasks, t)
	}
	for i, c := range allowed {
		check := &f.Checks[c]
		if check.Hazard != knowledge.Energised {
			continue
		}
		for k, d := range allowed {
			other := &f.Checks[d]
			dead := other.Hazard != knowledge.Energised
			if opened(f, check.Access) {
				if dead && other.Hazard != knowledge.Outside {
					p.Tasks[i].After = append(p.Tasks[i].After, k)
				}
				continue
			}
			if other.Hazard == knowledge.Outside && slices.ContainsFunc(other.Faults, func(x int) bool { return slices.Contains(check.Faults, x) }) {
				p.Tasks[i].After = append(p.Tasks[i].After, k)
			}
		}
	}
	return p
}

// steps writes out an order of tasks.
func (out *Procedure) steps(f *knowledge.Family, p *belief.Posterior, problem Problem, allowed, order []int, rules *Rules) {
	left := slices.Clone(problem.Weights)
	isolation := uint64(1) << len(f.Access)
	var open uint64
	live := false // a live measurement behind a panel has been made since isolating
	elapsed := 0.0
	for _, t := range order {
		check := &f.Checks[allowed[t]]
		s := Step{
			Check: allowed[t], Instruction: check.Instruction, Expect: check.Expect, Fail: check.Fail,
			Cautions: check.Cautions, Tools: check.Tools, Hazard: check.Hazard, Reached: sum(left),
		}
		need := problem.path(problem.Tasks[t].Group)
		s.Minutes = check.Minutes + problem.opening(need&^open)
		if need&isolation != 0 && (open&isolation == 0 || live && check.Hazard != knowledge.Energised) {
			s.Prepare = append(s.Prepare, rules.Isolation.Steps...)
			live = false
		}
		if need&isolation == 0 && open&isolation != 0 {
			s.Prepare = append(s.Prepare, rules.Closing.Steps...)
		}
		if check.Hazard == knowledge.Energised {
			s.Prepare = append(s.Prepare, rules.Live.Steps...)
			s.Minutes += rules.Live.Minutes
			live = live || need&isolation != 0
		}
		s.Opens = opens(f, need&^open&^isolation)
		open |= need
		for _, x := range problem.Tasks[t].Finds {
			s.Found += left[x.Fault] * x.Detects
			left[x.Fault] *= 1 - x.Detects
		}
		for _, fault := range check.Faults {
			s.Suspects = append(s.Suspects, Suspect{fault, p.Faults[fault]})
		}
		slices.SortStableFunc(s.Suspects, func(a, b Suspect) int {
			switch {
			case a.P > b.P:
				return -1
			case a.P < b.P:
				return 1
			default:
				return 0
			}
		})
		elapsed += s.Minutes
		s.Elapsed = elapsed
		out.Steps = append(out.Steps, s)
	}
}

// opens lists the groups in mask that take time to open, outermost first.
func opens(f *knowledge.Family, mask uint64) (groups []int) {
	depth := func(g int) (d int) {
		for ; g >= 0; g = f.Access[g].Parent {
			d++
		}
		return d
	}
	for g := range f.Access {
		if mask>>g&1 == 1 && f.Access[g].Minutes > 0 {
			groups = append(groups, g)
		}
	}
	slices.SortStableFunc(groups, func(a, b int) int { return depth(a) - depth(b) })
	return groups
}
