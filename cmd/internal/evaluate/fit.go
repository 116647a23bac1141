package evaluate

import (
	"context"
	"fmt"
	"io"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	partsv1 "onevisit/proto/onevisit/parts/v1"
)

// pair is one row of a file of fit questions. Accept is null when a person must
// judge or a value is missing.
type pair struct {
	ID        string `json:"id"`
	PartKind  string `json:"part_kind"`
	Original  string `json:"original"`
	Candidate string `json:"candidate"`
	Accept    *bool  `json:"accept"`
	// Family is optional: where the part works.
	Family string `json:"family"`
}

// FitReport counts how the verdicts compare. Every case is in exactly one of
// the last four.
type FitReport struct {
	Cases            int `json:"cases"`
	Agree            int `json:"agree"`
	FalseAccept      int `json:"false_accept"`
	FalseReject      int `json:"false_reject"`
	WronglyUndecided int `json:"wrongly_undecided"`

	ByFamily     map[string]FitScore `json:"by_family"`
	UnknownParts map[string]int      `json:"-"`
	Misses       []FitMiss           `json:"-"`
}

// FitScore are the counts of one part kind.
type FitScore struct {
	Cases            int `json:"cases"`
	Agree            int `json:"agree"`
	FalseAccept      int `json:"false_accept"`
	FalseReject      int `json:"false_reject"`
	WronglyUndecided int `json:"wrongly_undecided"`
}

// FitMiss is a pair that was judged otherwise than the file says.
type FitMiss struct {
	ID, PartKind, Original, Candidate, Want, Got, Why string
}

// answer is a verdict as a file says it: nil for undecided.
func answer(v partsv1.Verdict) *bool {
	yes, no := true, false
	switch v {
	case partsv1.Verdict_VERDICT_FITS, partsv1.Verdict_VERDICT_FITS_WITH_CONDITIONS:
		return &yes
	case partsv1.Verdict_VERDICT_DOES_NOT_FIT:
		return &no
	}
	return nil
}

func (s *FitScore) add(want, got *bool) {
	s.Cases++
	switch {
	case want == nil && got == nil, want != nil && got != nil && *want == *got:
		s.Agree++
	case got == nil:
		s.WronglyUndecided++
	case *got:
		s.FalseAccept++
	default:
		s.FalseReject++
	}
}

// Fit measures the part rules on a file of pairs. by_family holds the counts by
// part kind, the only grouping such a file has.
func Fit(ctx context.Context, r io.Reader, parts partsv1.PartsServiceClient) (FitReport, error) {
	report := FitReport{ByFamily: map[string]FitScore{}, UnknownParts: count{}}
	all := FitScore{}
	err := each(r, func(line int, row pair) error {
		kind, err := parts.ParseMark(ctx, &partsv1.ParseMarkRequest{PartKind: row.PartKind, Mark: orDash(row.Original)})
		if status.Code(err) == codes.InvalidArgument || err == nil && !kind.GetRulesKnown() {
			count(report.UnknownParts).add(row.PartKind)
		} else if err != nil {
			return fmt.Errorf("line %d (%s): %w", line, row.ID, err)
		}
		got, err := parts.CheckFit(ctx, &partsv1.CheckFitRequest{
			PartKind: row.PartKind, Original: row.Original, Candidate: row.Candidate, Context: &partsv1.FitContext{Family: row.Family},
		})
		if code := status.Code(err); code == codes.InvalidArgument || code == codes.NotFound {
			got, err = &partsv1.CheckFitResponse{Verdict: partsv1.Verdict_VERDICT_CANNOT_TELL}, nil
		}
		if err != nil {
			return fmt.Errorf("line %d (%s): %w", line, row.ID, err)
		}
		said := answer(got.GetVerdict())
		all.add(row.Accept, said)
		one := report.ByFamily[row.PartKind]
		before := one.Agree
		one.add(row.Accept, said)
		report.ByFamily[row.PartKind] = one
		if one.Agree == before {
			m := FitMiss{ID: row.ID, PartKind: row.PartKind, Original: row.Original, Candidate: row.Candidate, Want: word(row.Accept), Got: word(said)}
			if len(got.GetReasons()) > 0 {
				m.Why = got.GetReasons()[0].GetText()
			}
			report.Misses = append(report.Misses, m)
		}
		return nil
	})
	report.Cases, report.Agree, report.FalseAccept = all.Cases, all.Agree, all.FalseAccept
	report.FalseReject, report.WronglyUndecided = all.FalseReject, all.WronglyUndecided
	return report, err
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func word(b *bool) string {
	switch {
	case b == nil:
		return "undecided"
	case *b:
		return "accept"
	}
	return "refuse"
}
