package evaluate

import (
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	commonv1 "onevisit/proto/onevisit/common/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// call is one row of a file of calls. Fields that are not named here are
// ignored; only family, variant, age and text reach the service.
type call struct {
	ID      string   `json:"id"`
	Family  string   `json:"family"`
	Variant string   `json:"variant"`
	Age     *float64 `json:"age_years"`
	Text    string   `json:"text"`
	Truth   string   `json:"truth"`
	Parts   []string `json:"parts"`
	Safety  []string `json:"safety"`
}

// truth is the one true part kind, or the first acceptable one where none is
// named.
func (c call) truth() string {
	if c.Truth != "" || len(c.Parts) == 0 {
		return c.Truth
	}
	return c.Parts[0]
}

// CallScore are the figures of a set of calls. Shares are from 0 to 1; a share
// of nothing is 1.
type CallScore struct {
	Cases           int     `json:"cases"`
	FirstAcceptable float64 `json:"first_acceptable"`
	TruthInThree    float64 `json:"truth_in_three"`
	HazardRecall    float64 `json:"hazard_recall"`
	HazardPrecision float64 `json:"hazard_precision"`
	MedianMs        float64 `json:"median_ms"`
}

// CallReport is the report on a file of calls.
type CallReport struct {
	CallScore
	ByFamily map[string]CallScore `json:"by_family"`
	// The rest is for people and not part of the JSON. Rows of unknown families
	// are counted here and in no score.
	UnknownFamilies map[string]int `json:"-"`
	UnknownParts    map[string]int `json:"-"`
	Misses          []Miss         `json:"-"`
}

// Miss is a call that was read wrongly.
type Miss struct {
	ID, Family, Text     string
	Want, Got            []string // part kinds, wanted and the first three found
	HazardsMissed, Wrong []string // hazards not found, and found but not reported
}

// tally gathers what a score is computed from.
type tally struct {
	cases, first, three            int
	hazards, hazardsHit, hazardsOn int
	took                           []time.Duration
}

func share(part, whole int) float64 {
	if whole == 0 {
		return 1
	}
	return float64(part) / float64(whole)
}

func (t tally) score() CallScore {
	s := CallScore{
		Cases:           t.cases,
		FirstAcceptable: share(t.first, t.cases),
		TruthInThree:    share(t.three, t.cases),
		HazardRecall:    share(t.hazardsHit, t.hazards),
		HazardPrecision: share(t.hazardsHit, t.hazardsOn),
	}
	if n := len(t.took); n > 0 {
		slices.Sort(t.took)
		s.MedianMs = float64(t.took[n/2].Microseconds()) / 1000
	}
	return s
}

// Calls measures triage on a file of calls. progress, when not nil, is told how
// many rows are done.
func Calls(ctx context.Context, r io.Reader, triage triagev1.TriageServiceClient, progress func(done int)) (CallReport, error) {
	report := CallReport{ByFamily: map[string]CallScore{}}
	kinds, err := knownKinds(ctx, triage)
	if err != nil {
		return report, err
	}
	families, parts := count{}, count{}
	all, byFamily := &tally{}, map[string]*tally{}
	done := 0
	err = each(r, func(line int, row call) error {
		known, ok := kinds[row.Family]
		if !ok {
			families.add(row.Family)
			return nil
		}
		for _, p := range row.Parts {
			if !known[p] {
				parts.add(row.Family + "/" + p)
			}
		}
		begin := time.Now()
		got, err := triage.Assess(ctx, request(row))
		took := time.Since(begin)
		if code := status.Code(err); code == codes.InvalidArgument || code == codes.NotFound {
			// An unknown variant, say: counted as a miss, with its reason.
			got, err = &triagev1.AssessResponse{}, nil
		}
		if err != nil {
			return fmt.Errorf("line %d (%s): %w", line, row.ID, err)
		}
		of := byFamily[row.Family]
		if of == nil {
			of = &tally{}
			byFamily[row.Family] = of
		}
		miss := judge(row, got)
		for _, t := range []*tally{all, of} {
			t.add(row, got, took)
		}
		if miss != nil {
			report.Misses = append(report.Misses, *miss)
		}
		done++
		if progress != nil {
			progress(done)
		}
		return nil
	})
	if err != nil {
		return report, err
	}
	report.CallScore = all.score()
	for f, t := range byFamily {
		report.ByFamily[f] = t.score()
	}
	report.UnknownFamilies, report.UnknownParts = families, parts
	return report, nil
}

func request(row call) *triagev1.AssessRequest {
	return &triagev1.AssessRequest{
		Appliance: &commonv1.Appliance{Family: row.Family, Variant: row.Variant, AgeYears: row.Age},
		Text:      row.Text,
	}
}

// knownKinds are the part kinds of each family the service knows.
func knownKinds(ctx context.Context, triage triagev1.TriageServiceClient) (map[string]map[string]bool, error) {
	list, err := triage.ListFamilies(ctx, &triagev1.ListFamiliesRequest{})
	if err != nil {
		return nil, err
	}
	out := make(map[string]map[string]bool)
	for _, f := range list.GetFamilies() {
		out[f.GetCode()] = make(map[string]bool)
		for _, p := range f.GetPartKinds() {
			out[f.GetCode()][p] = true
		}
	}
	return out, nil
}

func ranked(got *triagev1.AssessResponse) []string {
	var out []string
	for _, p := range got.GetPartKinds() {
		out = append(out, p.GetPartKind())
	}
	return out
}

// labelled are the hazards that files of calls label. The service knows more,
// such as somebody who depends on the machine; a file says nothing of those, so
// they count neither for nor against it.
var labelled = []string{
	"gas_smell", "burning_smell", "smoke", "electric_shock",
	"water_near_electrics", "sparks", "trips_breaker", "overheating",
}

func reported(got *triagev1.AssessResponse) []string {
	var out []string
	for _, h := range got.GetHazards() {
		if slices.Contains(labelled, h.GetCode()) {
			out = append(out, h.GetCode())
		}
	}
	return out
}

func (t *tally) add(row call, got *triagev1.AssessResponse, took time.Duration) {
	parts := ranked(got)
	t.cases++
	t.took = append(t.took, took)
	if len(parts) > 0 && slices.Contains(row.Parts, parts[0]) {
		t.first++
	}
	if slices.Contains(parts[:min(3, len(parts))], row.truth()) {
		t.three++
	}
	hazards := reported(got)
	t.hazards += len(row.Safety)
	t.hazardsOn += len(hazards)
	for _, h := range row.Safety {
		if slices.Contains(hazards, h) {
			t.hazardsHit++
		}
	}
}

// judge returns what was wrong with the answer to a row, or nil.
func judge(row call, got *triagev1.AssessResponse) *Miss {
	parts, hazards := ranked(got), reported(got)
	m := Miss{ID: row.ID, Family: row.Family, Text: row.Text, Want: row.Parts, Got: parts[:min(3, len(parts))]}
	for _, h := range row.Safety {
		if !slices.Contains(hazards, h) {
			m.HazardsMissed = append(m.HazardsMissed, h)
		}
	}
	for _, h := range hazards {
		if !slices.Contains(row.Safety, h) {
			m.Wrong = append(m.Wrong, h)
		}
	}
	good := len(parts) > 0 && slices.Contains(row.Parts, parts[0]) && slices.Contains(m.Got, row.truth())
	if good && len(m.HazardsMissed) == 0 && len(m.Wrong) == 0 {
		return nil
	}
	return &m
}
