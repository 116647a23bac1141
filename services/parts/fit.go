package parts

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"onevisit/pricing/fit"
	"onevisit/pricing/marking"
	"onevisit/pricing/part"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	"onevisit/services/refuse"
)

var verdicts = map[fit.Verdict]partsv1.Verdict{
	fit.NoVerdict:          partsv1.Verdict_VERDICT_UNSPECIFIED,
	fit.DoesNotFit:         partsv1.Verdict_VERDICT_DOES_NOT_FIT,
	fit.CannotTell:         partsv1.Verdict_VERDICT_CANNOT_TELL,
	fit.FitsWithConditions: partsv1.Verdict_VERDICT_FITS_WITH_CONDITIONS,
	fit.Fits:               partsv1.Verdict_VERDICT_FITS,
}

// outcomes are what a rule says alone.
var outcomes = map[fit.Outcome]partsv1.Verdict{
	fit.NotAsked:  partsv1.Verdict_VERDICT_UNSPECIFIED,
	fit.Agrees:    partsv1.Verdict_VERDICT_FITS,
	fit.Noted:     partsv1.Verdict_VERDICT_FITS,
	fit.Condition: partsv1.Verdict_VERDICT_FITS_WITH_CONDITIONS,
	fit.Missing:   partsv1.Verdict_VERDICT_CANNOT_TELL,
	fit.Ask:       partsv1.Verdict_VERDICT_CANNOT_TELL,
	fit.Differs:   partsv1.Verdict_VERDICT_DOES_NOT_FIT,
}

var tensions = map[partsv1.Tensioning]fit.Tension{
	partsv1.Tensioning_TENSIONING_UNSPECIFIED:   fit.TensionUnknown,
	partsv1.Tensioning_TENSIONING_FIXED_CENTRES: fit.FixedCentres,
	partsv1.Tensioning_TENSIONING_SPRUNG:        fit.Adjustable,
}

func toContext(c *partsv1.FitContext) fit.Context {
	return fit.Context{
		Family: c.GetFamily(), SupplyVolts: int(c.GetSupplyVolts()), SupplyHertz: int(c.GetSupplyHertz()),
		Tension: tensions[c.GetTensioning()],
	}
}

// read reads a mark and names the field it came from when it cannot be one.
func read(kind, mark, field string) (marking.Parsed, error) {
	p, err := marking.Parse(kind, mark)
	if errors.Is(err, marking.ErrEmpty) || errors.Is(err, marking.ErrLong) {
		return p, refuse.Field(field, "NOT_A_MARK", err.Error())
	}
	return p, err
}

// ParseMark reads a mark.
func (s *Server) ParseMark(_ context.Context, req *partsv1.ParseMarkRequest) (*partsv1.ParseMarkResponse, error) {
	p, err := read(req.GetPartKind(), req.GetMark(), "mark")
	if err != nil {
		return nil, err
	}
	out := &partsv1.ParseMarkResponse{CanonicalMark: p.Canonical, RulesKnown: s.ruled[req.GetPartKind()]}
	for _, f := range part.Fields(req.GetPartKind()) {
		if f.Format == nil && f.Words == nil && f.Text == nil || !f.Get(&p.Spec).Set {
			continue // fields that only scope rules, and what was not said
		}
		out.Fields = append(out.Fields, &partsv1.SpecField{Name: f.Name, Value: f.Describe(&p.Spec)})
	}
	for _, u := range p.Unread {
		out.Unread = append(out.Unread, &partsv1.UnreadText{Text: u.Text, Why: u.Why})
	}
	return out, nil
}

// CheckFit says whether a candidate may replace the original, and why.
func (s *Server) CheckFit(_ context.Context, req *partsv1.CheckFitRequest) (*partsv1.CheckFitResponse, error) {
	original, err := read(req.GetPartKind(), req.GetOriginal(), "original")
	if err != nil {
		return nil, err
	}
	candidate, err := read(req.GetPartKind(), req.GetCandidate(), "candidate")
	if err != nil {
		return nil, err
	}
	result := s.rules.Check(fit.Request{Original: original.Spec, Candidate: candidate.Spec, Context: toContext(req.GetContext())})
	out := &partsv1.CheckFitResponse{
		Verdict: verdicts[result.Verdict], Conditions: result.Conditions, Missing: result.Missing,
		OriginalMark: original.Canonical, CandidateMark: candidate.Canonical,
	}
	// What decided comes first; the rest keeps the order of the rule file.
	reasons := slices.Clone(result.Reasons)
	slices.SortStableFunc(reasons, func(a, b fit.Reason) int { return cmp.Compare(b.Outcome, a.Outcome) })
	for _, r := range reasons {
		text := r.Text
		if r.Why != "" {
			text += ": " + r.Why
		}
		out.Reasons = append(out.Reasons, &partsv1.FitReason{Rule: r.Rule, Verdict: outcomes[r.Outcome], Text: text, Source: r.Source})
	}
	return out, nil
}

// BatchCheckFits gives the verdicts for many pairs.
func (s *Server) BatchCheckFits(ctx context.Context, req *partsv1.BatchCheckFitsRequest) (*partsv1.BatchCheckFitsResponse, error) {
	type key struct{ kind, mark string }
	seen := make(map[key]*part.Spec)
	spec := func(i int, kind, mark, field string) (*part.Spec, error) {
		k := key{kind, mark}
		if have, ok := seen[k]; ok {
			return have, nil
		}
		p, err := read(kind, mark, fmt.Sprintf("pairs[%d].%s", i, field))
		if err != nil {
			return nil, err
		}
		seen[k] = &p.Spec
		return &p.Spec, nil
	}
	out := &partsv1.BatchCheckFitsResponse{Verdicts: make([]partsv1.Verdict, len(req.GetPairs()))}
	for i, p := range req.GetPairs() {
		if i%1024 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		original, err := spec(i, p.GetPartKind(), p.GetOriginal(), "original")
		if err != nil {
			return nil, err
		}
		candidate, err := spec(i, p.GetPartKind(), p.GetCandidate(), "candidate")
		if err != nil {
			return nil, err
		}
		where := toContext(p.GetContext())
		out.Verdicts[i] = verdicts[s.rules.Decide(original, candidate, &where)]
	}
	return out, nil
}
