package triage

import (
	"math"
	"slices"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/kit"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/procedure"
	"onevisit/diagnosis/question"
	commonv1 "onevisit/proto/onevisit/common/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// What is kept of the distribution over sets of faults: enough for quote and
// dispatch, few enough to send.
const (
	keptMass = 0.97
	keptSets = 60
)

// needed is the probability from which on a skill is asked of whoever goes, and
// a caution shown: one visit in ten that ends for want of it is too many. A tool
// is a must from wanted on; a rarer one only makes the checks slower.
const (
	needed = 0.1
	wanted = 0.35
)

// carry fills in what to bring: the outcomes, the part kinds that pay their
// way, their marks, skills, tools and time.
func carry(out *triagev1.AssessResponse, p *belief.Posterior, h heard) error {
	f := h.family
	sets, _ := p.Outcomes(keptMass, keptSets)
	weigh := newWeights(f, h.evidence.Appliance.Variant)
	for _, s := range sets {
		out.Outcomes = append(out.Outcomes, outcomeOf(f, s, h.evidence.Appliance.Ratings))
		weigh.add(s)
	}
	plan, err := kit.Best(kit.Of(p, question.DefaultCosts().ReturnVisit))
	if err != nil {
		return err
	}
	k := &triagev1.Kit{
		Skills: weigh.skills(), Tools: weigh.tools(), FirstVisitProbability: plan.Complete,
		Duration: minutes(math.Ceil(weigh.minutes() + procedure.DefaultRules().Final.Minutes)),
	}
	for _, c := range p.Parts() {
		if slices.Contains(plan.Parts, c.Part) {
			k.Lines = append(k.Lines, kitLine(&f.Parts[c.Part], c.Needed, h.evidence.Appliance.Ratings))
		}
	}
	out.Kit = k
	out.Cautions = weigh.cautions()
	return nil
}

// kitLine says what is to be brought of one kind, with the marks it may have.
func kitLine(part *knowledge.Part, chance float64, known map[string]string) *triagev1.KitLine {
	line := &triagev1.KitLine{PartKind: part.Kind, Label: part.Label, Probability: chance}
	if mark, ok := known[part.Kind]; ok {
		line.RatingKnown = true
		line.Ratings = []*triagev1.RatingShare{{Mark: mark, Share: 1}}
		return line
	}
	for _, r := range part.Typical {
		line.Ratings = append(line.Ratings, &triagev1.RatingShare{Mark: r.Mark, Share: r.Share})
	}
	return line
}

// outcomeOf describes a set of faults that are present together as one repair.
// Labour adds up; what must be opened is opened once, and the longest counts.
func outcomeOf(f *knowledge.Family, s belief.FaultSet, known map[string]string) *commonv1.RepairOutcome {
	out := &commonv1.RepairOutcome{Probability: s.P}
	var labour, access float64
	var kinds []int
	for i, fault := range s.Faults {
		x := &f.Faults[fault]
		if i > 0 {
			out.Fault += "+"
			out.Label += " and "
		}
		out.Fault += x.Code
		out.Label += x.Label
		opening := openingMinutes(f, x.Access)
		labour += max(x.Minutes-opening, 0)
		if out.AccessGroup == "" || opening > access {
			access = opening
			if x.Access >= 0 && opening > 0 {
				out.AccessGroup = f.Access[x.Access].Code
			}
		}
		for _, part := range append([]int{x.Part}, x.AlsoParts...) {
			if f.Parts[part].Kind != knowledge.NoPart && !slices.Contains(kinds, part) {
				kinds = append(kinds, part)
				out.Parts = append(out.Parts, &commonv1.PartNeed{PartKind: f.Parts[part].Kind, Mark: known[f.Parts[part].Kind]})
			}
		}
		out.Skills = union(out.Skills, x.Skills)
		out.Tools = union(out.Tools, x.Tools)
	}
	out.Labour, out.Access = minutes(labour), minutes(access)
	return out
}

func openingMinutes(f *knowledge.Family, group int) (sum float64) {
	for ; group >= 0; group = f.Access[group].Parent {
		sum += f.Access[group].Minutes
	}
	return sum
}

func union(list, more []string) []string {
	for _, x := range more {
		if !slices.Contains(list, x) {
			list = append(list, x)
		}
	}
	return list
}

// weights adds up, over sets of faults, how likely each skill, tool and caution
// is to be needed.
type weights struct {
	f                           *knowledge.Family
	mass, time                  float64
	bySkill, byTool, byCaution  map[string]float64
	skillOrder, toolOrder, said []string
	licence                     string // without which nobody opens this machine
}

func newWeights(f *knowledge.Family, variant string) *weights {
	licence := ""
	if i, ok := f.VariantIndex(variant); ok {
		licence = f.Variants[i].Licence
	}
	return &weights{f: f, licence: licence, bySkill: map[string]float64{}, byTool: map[string]float64{}, byCaution: map[string]float64{}}
}

func (w *weights) add(s belief.FaultSet) {
	var skills, tools, cautions []string
	for _, fault := range s.Faults {
		x := &w.f.Faults[fault]
		w.time += s.P * x.Minutes
		skills, tools, cautions = union(skills, x.Skills), union(tools, x.Tools), union(cautions, x.Cautions)
		if w.licence != "" && x.Hazard != knowledge.Outside {
			skills = union(skills, []string{w.licence})
		}
	}
	w.mass += s.P
	count := func(into map[string]float64, order *[]string, codes []string) {
		for _, c := range codes {
			if _, seen := into[c]; !seen {
				*order = append(*order, c)
			}
			into[c] += s.P
		}
	}
	count(w.bySkill, &w.skillOrder, skills)
	count(w.byTool, &w.toolOrder, tools)
	count(w.byCaution, &w.said, cautions)
}

func (w *weights) likely(of map[string]float64, order []string, least float64) []string {
	var out []string
	for _, c := range order {
		if of[c] >= least*w.mass {
			out = append(out, c)
		}
	}
	return out
}

func (w *weights) skills() []string   { return w.likely(w.bySkill, w.skillOrder, needed) }
func (w *weights) tools() []string    { return w.likely(w.byTool, w.toolOrder, wanted) }
func (w *weights) cautions() []string { return w.likely(w.byCaution, w.said, needed) }

// minutes is the mean repair time over the sets added.
func (w *weights) minutes() float64 {
	if w.mass == 0 {
		return 0
	}
	return w.time / w.mass
}
