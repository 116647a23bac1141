package triage

import (
	"context"

	"onevisit/diagnosis/procedure"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// usualChecks is how many checks are returned when the caller does not say.
const usualChecks = 12

// PlanChecks plans the checks on site in the cheapest safe order.
func (s *Server) PlanChecks(_ context.Context, req *triagev1.PlanChecksRequest) (*triagev1.PlanChecksResponse, error) {
	h, err := s.hear(req.GetCase())
	if err != nil {
		return nil, err
	}
	f := h.family
	posterior, err := s.models[f.Code].Posterior(h.evidence)
	if err != nil {
		return nil, err
	}
	rules := procedure.DefaultRules()
	plan, err := procedure.Plan(posterior, procedure.Person{Skills: req.GetSkills(), Variant: h.evidence.Appliance.Variant}, rules)
	if err != nil {
		return nil, err
	}
	out := &triagev1.PlanChecksResponse{
		KnowledgeVersion: s.base.Version, ExpectedDuration: minutes(plan.Minutes), FindProbability: plan.Found, Hazards: s.hazards(h.reading.Hazards),
	}
	limit := int(req.GetMaxChecks())
	if limit == 0 {
		limit = usualChecks
	}
	for _, step := range plan.Steps[:min(limit, len(plan.Steps))] {
		out.Checks = append(out.Checks, s.step(h, step))
	}
	for _, p := range rules.Final.Steps {
		out.FinalTests = append(out.FinalTests, p.Text)
	}
	for _, l := range plan.Left {
		if l.Say != "" {
			out.LeftToLicensed = append(out.LeftToLicensed, f.Checks[l.Check].Label+": "+l.Say)
		}
	}
	return out, nil
}

func (s *Server) step(h heard, step procedure.Step) *triagev1.CheckStep {
	f := h.family
	check := &f.Checks[step.Check]
	out := &triagev1.CheckStep{
		Code: check.Code, Label: check.Label, Instruction: step.Instruction, Duration: minutes(check.Minutes),
		Tools: step.Tools, WorkClass: workClasses[step.Hazard], Expected: step.Expect, Failing: step.Fail,
		FindProbability: step.Found, Cautions: step.Cautions,
	}
	for _, p := range step.Prepare {
		out.Before = append(out.Before, p.Text)
	}
	var opening float64
	for i, g := range step.Opens {
		if i > 0 {
			out.OpenFirst += ", then "
		}
		out.OpenFirst += f.Access[g].Label
		opening += f.Access[g].Minutes
	}
	if opening > 0 {
		out.OpenDuration = minutes(opening)
	}
	for _, x := range step.Suspects {
		out.PartKinds = union(out.PartKinds, []string{f.Parts[f.Faults[x.Fault].Part].Kind})
	}
	return out
}
