package parts_test

import (
	"context"
	"fmt"
	"math/big"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/type/money"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"

	commonv1 "onevisit/proto/onevisit/common/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	"onevisit/services/parts"
	"onevisit/services/refuse/refusetest"
)

func server(t testing.TB) *parts.Server {
	t.Helper()
	s, err := parts.New(parts.Config{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestErrors_EveryDomainErrorHasACode(t *testing.T) {
	d := "../../pricing/"
	atStart := "files are read at the start of the process"
	refusetest.Complete(t, "errors.go", []string{d + "part", d + "marking", d + "fit", d + "catalogue", d + "quote", d + "price"}, map[string]string{
		"fit.ErrRules":      atStart,
		"catalogue.ErrBook": atStart,
		"price.ErrCurrency": atStart,
		"price.ErrAmount":   atStart,
	})
}

// Common practice, no source: capacitance equal; voltage equal or higher, never
// lower.
func TestCheckFit_TheRuleThatMattersMost(t *testing.T) {
	s := server(t)
	for _, tc := range []struct {
		candidate string
		want      partsv1.Verdict
	}{
		{"8 µF 450 V", partsv1.Verdict_VERDICT_FITS},
		{"8uF 500VAC", partsv1.Verdict_VERDICT_FITS},
		{"8 µF 425 V", partsv1.Verdict_VERDICT_FITS},
		{"8 µF 300 V", partsv1.Verdict_VERDICT_DOES_NOT_FIT},
		{"10 µF 450 V", partsv1.Verdict_VERDICT_DOES_NOT_FIT},
		{"8 µF", partsv1.Verdict_VERDICT_CANNOT_TELL},
	} {
		got, err := s.CheckFit(context.Background(), &partsv1.CheckFitRequest{PartKind: "run_capacitor", Original: "8 µF 425 V", Candidate: tc.candidate})
		if err != nil {
			t.Fatal(err)
		}
		if got.GetVerdict() != tc.want {
			t.Errorf("8 µF 425 V by %s: %v, want %v", tc.candidate, got.GetVerdict(), tc.want)
		}
		for _, r := range got.GetReasons() {
			if r.GetRule() == "" || r.GetText() == "" || r.GetSource() == "" {
				t.Errorf("%s: a reason without rule, text or source: %v", tc.candidate, r)
			}
		}
		if tc.want == partsv1.Verdict_VERDICT_CANNOT_TELL && len(got.GetMissing()) == 0 {
			t.Errorf("%s: nothing is said to be missing", tc.candidate)
		}
		batch, err := s.BatchCheckFits(context.Background(), &partsv1.BatchCheckFitsRequest{Pairs: []*partsv1.CheckFitRequest{
			{PartKind: "run_capacitor", Original: "8 µF 425 V", Candidate: tc.candidate},
		}})
		if err != nil || batch.GetVerdicts()[0] != tc.want {
			t.Errorf("%s in a batch: %v %v, want %v", tc.candidate, batch, err, tc.want)
		}
	}
}

func TestParseMark_SaysWhatWasReadAndWhatNot(t *testing.T) {
	got, err := server(t).ParseMark(context.Background(), &partsv1.ParseMarkRequest{PartKind: "run_capacitor", Mark: "12,5uF 450VAC CL.C ###"})
	if err != nil {
		t.Fatal(err)
	}
	fields := map[string]string{}
	for _, f := range got.GetFields() {
		fields[f.GetName()] = f.GetValue()
	}
	if !got.GetRulesKnown() || fields["capacitance"] == "" || fields["voltage"] == "" || got.GetCanonicalMark() == "" {
		t.Errorf("read %v", got)
	}
	if len(got.GetUnread()) == 0 {
		t.Error("the scrawl at the end was not reported")
	}
}

func total(t *testing.T, lines []*partsv1.QuoteLine) *big.Rat {
	sum := new(big.Rat)
	for _, l := range lines {
		if l.GetItem() == partsv1.QuoteItem_QUOTE_ITEM_UNSPECIFIED || l.GetLabel() == "" {
			t.Errorf("a line that does not say what it is: %v", l)
		}
		sum.Add(sum, exact(l.GetAmount()))
	}
	return sum
}

func exact(m *money.Money) *big.Rat {
	r := new(big.Rat).SetInt64(m.GetUnits())
	return r.Add(r, new(big.Rat).SetFrac64(int64(m.GetNanos()), 1_000_000_000))
}

func TestQuoteRepair_LinesAddUpAndACapacitorIsCheap(t *testing.T) {
	got, err := server(t).QuoteRepair(context.Background(), &partsv1.QuoteRepairRequest{Family: "tumble_dryer", Outcomes: []*commonv1.RepairOutcome{
		{Fault: "capacitor", Label: "run capacitor", Probability: 0.7, Parts: []*commonv1.PartNeed{{PartKind: "run_capacitor"}}, Labour: durationpb.New(15 * time.Minute), Access: durationpb.New(10 * time.Minute), AccessGroup: "panel"},
		{Fault: "motor", Label: "drive motor", Probability: 0.2, Parts: []*commonv1.PartNeed{{PartKind: "drive_motor"}}, Labour: durationpb.New(50 * time.Minute), Access: durationpb.New(10 * time.Minute), AccessGroup: "panel"},
		{Fault: "jam", Label: "something in the drum", Probability: 0.1, Labour: durationpb.New(10 * time.Minute)},
	}})
	if err != nil {
		t.Fatal(err)
	}
	if total(t, got.GetLines()).Cmp(exact(got.GetLikely())) != 0 {
		t.Errorf("lines %v do not sum to %v", got.GetLines(), got.GetLikely())
	}
	if total(t, got.GetExpectedLines()).Cmp(exact(got.GetExpected())) != 0 {
		t.Errorf("lines %v do not sum to %v", got.GetExpectedLines(), got.GetExpected())
	}
	if exact(got.GetLow()).Cmp(exact(got.GetHigh())) > 0 {
		t.Errorf("low %v above high %v", got.GetLow(), got.GetHigh())
	}
	// Common practice, no source: a run capacitor costs 10 to 30 dollars.
	for _, l := range got.GetLines() {
		if l.GetItem() == partsv1.QuoteItem_QUOTE_ITEM_PARTS && (exact(l.GetAmount()).Cmp(big.NewRat(10, 1)) < 0 || exact(l.GetAmount()).Cmp(big.NewRat(30, 1)) > 0) {
			t.Errorf("the capacitor costs %v", l.GetAmount())
		}
	}
	if len(got.GetOutcomes()) != 3 || got.GetOutcomes()[0].GetFault() != "capacitor" {
		t.Errorf("outcomes %v, want all three, likeliest first", got.GetOutcomes())
	}
}

func TestBadRequests(t *testing.T) {
	ctx, s := context.Background(), server(t)
	one := []*commonv1.RepairOutcome{{Probability: 1, Parts: []*commonv1.PartNeed{{PartKind: "run_capacitor"}}}}
	for name, tc := range map[string]struct {
		call func() error
		code codes.Code
	}{
		"blank mark": {func() error {
			_, err := s.ParseMark(ctx, &partsv1.ParseMarkRequest{PartKind: "run_capacitor", Mark: "  "})
			return err
		}, codes.InvalidArgument},
		"blank original": {func() error {
			_, err := s.CheckFit(ctx, &partsv1.CheckFitRequest{PartKind: "run_capacitor", Original: " ", Candidate: "8 µF 450 V"})
			return err
		}, codes.InvalidArgument},
		"unknown family": {func() error {
			_, err := s.QuoteRepair(ctx, &partsv1.QuoteRepairRequest{Family: "toaster", Outcomes: one})
			return err
		}, codes.NotFound},
		"unknown part": {func() error {
			_, err := s.QuoteRepair(ctx, &partsv1.QuoteRepairRequest{Family: "tumble_dryer", Outcomes: []*commonv1.RepairOutcome{{Probability: 1, Parts: []*commonv1.PartNeed{{PartKind: "flux"}}}}})
			return err
		}, codes.NotFound},
		"too likely": {func() error {
			_, err := s.QuoteRepair(ctx, &partsv1.QuoteRepairRequest{Family: "tumble_dryer", Outcomes: append(one, one...)})
			_, known := parts.Errors.Status(err)
			if !known {
				return fmt.Errorf("not in the table: %w", err)
			}
			st, _ := parts.Errors.Status(err)
			return st
		}, codes.InvalidArgument},
	} {
		if err := tc.call(); status.Code(err) != tc.code {
			t.Errorf("%s: %v, want %v", name, err, tc.code)
		}
	}
}

func TestLookUpRatings_AnUnlistedModelIsNoError(t *testing.T) {
	ctx, s := context.Background(), server(t)
	got, err := s.LookUpRatings(ctx, &partsv1.LookUpRatingsRequest{Family: "tumble_dryer", Model: "D-100"})
	if err != nil || len(got.GetRatings()) == 0 {
		t.Errorf("D-100: %v %v", got, err)
	}
	got, err = s.LookUpRatings(ctx, &partsv1.LookUpRatingsRequest{Family: "tumble_dryer", Model: "nobody's"})
	if err != nil || len(got.GetRatings()) != 0 {
		t.Errorf("unlisted: %v %v", got, err)
	}
}
