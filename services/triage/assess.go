package triage

import (
	"context"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/wording"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// usualFaults is how many faults are returned when the caller does not say.
const usualFaults = 10

// Assess assesses what is known of an appliance in trouble.
func (s *Server) Assess(_ context.Context, req *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
	h, err := s.hear(req)
	if err != nil {
		return nil, err
	}
	out := &triagev1.AssessResponse{
		KnowledgeVersion: s.base.Version,
		Disposition:      triagev1.Disposition_DISPOSITION_ASSESSED,
		Findings:         fromObservations(h.family, h.evidence.Merged()),
		PartMentions:     fromMentions(h.reading),
		Hazards:          s.hazards(h.reading.Hazards),
	}
	stopped := stops(out.GetHazards())
	model := s.models[h.family.Code]
	why, err := model.Explain(h.evidence)
	if err != nil {
		return nil, err
	}
	posterior := why.Final
	out.Method, out.ErrorBound = posterior.Method.String(), posterior.Bound
	out.PartKinds = partKinds(posterior)
	limit := int(req.GetMaxFaults())
	if limit == 0 {
		limit = usualFaults
	}
	out.Faults = faults(h.family, why, limit)
	switch {
	case stopped:
		out.Disposition = triagev1.Disposition_DISPOSITION_STOPPED
		out.NoQuestionReason = "a danger was reported: follow the steps first"
	case !h.informative():
		out.Disposition = triagev1.Disposition_DISPOSITION_CANNOT_TELL
	}
	if !stopped {
		if err := s.ask(out, h); err != nil {
			return nil, err
		}
	}
	if out.GetDisposition() == triagev1.Disposition_DISPOSITION_CANNOT_TELL {
		return out, nil
	}
	if err := carry(out, posterior, h); err != nil {
		return nil, err
	}
	if !stopped {
		advise(out, h.family, posterior)
	}
	return out, nil
}

// partKinds ranks the part kinds.
func partKinds(p *belief.Posterior) []*triagev1.PartKindProbability {
	f := p.Model().Family()
	var out []*triagev1.PartKindProbability
	for _, c := range p.Parts() {
		out = append(out, &triagev1.PartKindProbability{PartKind: c.Kind, Label: f.Parts[c.Part].Label, Probability: c.Broken})
	}
	return out
}

// faults returns the likeliest faults with what moved them.
func faults(f *knowledge.Family, why *belief.Explanation, limit int) []*triagev1.Fault {
	p := why.Final.Faults
	var out []*triagev1.Fault
	for _, i := range byProbability(p)[:min(limit, len(p))] {
		if p[i] == 0 {
			break
		}
		fault := &triagev1.Fault{
			Code: f.Faults[i].Code, Label: f.Faults[i].Label, PartKind: f.Parts[f.Faults[i].Part].Kind,
			Probability: p[i], PriorLogOdds: why.Prior[i], PosteriorLogOdds: why.Posterior[i],
			Prior: probability(why.Prior[i]),
		}
		for _, r := range why.Reasons {
			if r.Shift[i] == 0 {
				continue
			}
			fault.Contributions = append(fault.Contributions, &triagev1.Contribution{
				Label: reasonLabel(f, r), Code: r.Code, LogOdds: r.Shift[i],
			})
		}
		out = append(out, fault)
	}
	return out
}

// reasonLabel says in words what moved a probability.
func reasonLabel(f *knowledge.Family, r belief.Reason) string {
	switch r.Kind {
	case belief.ReasonAppliance:
		return "this construction and age"
	case belief.ReasonLikeness:
		return "how the whole call is worded"
	case belief.ReasonPart:
		label := r.Code
		if i, ok := f.PartIndex(r.Code); ok {
			label = f.Parts[i].Label
		}
		return "what was said of the " + label
	default:
		label := r.Code
		if i, ok := f.FindingIndex(r.Code); ok {
			label = f.Findings[i].Label
		}
		if !r.Present {
			return "not: " + label
		}
		return label
	}
}

// worthSaying is the probability under which phone advice only wastes the
// caller's time.
const worthSaying = 0.1

// advise gives the phone advice of the likeliest fault that has one.
func advise(out *triagev1.AssessResponse, f *knowledge.Family, p *belief.Posterior) {
	for _, i := range byProbability(p.Faults) {
		if p.Faults[i] < worthSaying {
			return
		}
		if advice := f.Faults[i].PhoneFix; advice != "" {
			out.PhoneAdvice, out.PhoneAdviceProbability = advice, p.Faults[i]
			return
		}
	}
}

func fromObservations(f *knowledge.Family, in []evidence.Observation) []*triagev1.Finding {
	var out []*triagev1.Finding
	for _, o := range in {
		one := &triagev1.Finding{Code: o.Finding, Label: o.Finding, Present: o.Present, Ratio: o.Ratio, Source: sources[o.Source]}
		if i, ok := f.FindingIndex(o.Finding); ok {
			one.Label = f.Findings[i].Label
		}
		if o.Words != "" {
			one.Heard = span(o.Start, o.End, o.Words)
		}
		out = append(out, one)
	}
	return out
}

// fromMentions gives what was said of parts, and the part kinds for which the
// wording as a whole speaks; those against which it speaks are left out.
func fromMentions(r wording.Reading) []*triagev1.PartMention {
	var out []*triagev1.PartMention
	for _, m := range r.Parts {
		out = append(out, &triagev1.PartMention{PartKind: m.PartKind, Kind: mentions[m.Kind], Ratio: m.Ratio, Heard: span(m.Start, m.End, m.Words)})
	}
	for _, x := range r.Likeness {
		if x.Ratio > 1 {
			out = append(out, &triagev1.PartMention{
				PartKind: x.PartKind, Kind: triagev1.MentionKind_MENTION_KIND_LIKENESS, Ratio: x.Ratio, Because: x.Because,
			})
		}
	}
	return out
}
