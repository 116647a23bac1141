package evaluate

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"

	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// scripted answers by the words of the call: the parts to rank, then the hazards.
type scripted struct {
	triagev1.TriageServiceClient
	seen []*triagev1.AssessRequest
}

func (s *scripted) ListFamilies(context.Context, *triagev1.ListFamiliesRequest, ...grpc.CallOption) (*triagev1.ListFamiliesResponse, error) {
	return &triagev1.ListFamiliesResponse{Families: []*triagev1.Family{{Code: "dryer", PartKinds: []string{"a", "b", "c", "d"}}}}, nil
}

func (s *scripted) Assess(_ context.Context, r *triagev1.AssessRequest, _ ...grpc.CallOption) (*triagev1.AssessResponse, error) {
	s.seen = append(s.seen, r)
	out := &triagev1.AssessResponse{}
	parts, hazards, _ := strings.Cut(r.GetText(), "!")
	for _, p := range strings.Fields(parts) {
		out.PartKinds = append(out.PartKinds, &triagev1.PartKindProbability{PartKind: p})
	}
	for _, h := range strings.Fields(hazards) {
		out.Hazards = append(out.Hazards, &commonv1.Hazard{Code: h})
	}
	return out, nil
}

func TestCalls_Scores(t *testing.T) {
	file := strings.Join([]string{
		`{"family":"dryer","text":"a b c","truth":"a","parts":["a","b"],"answers":{"x":"y"}}`,               // right
		`{"family":"dryer","text":"b a c ! smoke sparks","truth":"a","parts":["a","b"],"safety":["smoke"]}`, // acceptable, one hazard too many
		`{"family":"dryer","text":"b c d a","parts":["a"],"safety":["smoke"]}`,                              // wrong, fourth, hazard missed
		`{"family":"kettle","text":"a","truth":"a","parts":["a"]}`,
		`{"family":"dryer","text":"a ! vulnerable_person","truth":"a","parts":["a","z"]}`, // a hazard files do not label
		``,
	}, "\n")
	s := &scripted{}
	r, err := Calls(context.Background(), strings.NewReader(file), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%s %v, want %v", what, got, want)
		}
	}
	if r.Cases != 4 || r.UnknownFamilies["kettle"] != 1 || r.UnknownParts["dryer/z"] != 1 {
		t.Errorf("cases %d, unknown %v %v", r.Cases, r.UnknownFamilies, r.UnknownParts)
	}
	near("first_acceptable", r.FirstAcceptable, 3.0/4)
	near("truth_in_three", r.TruthInThree, 3.0/4)
	near("hazard_recall", r.HazardRecall, 1.0/2)
	near("hazard_precision", r.HazardPrecision, 1.0/2)
	if len(r.Misses) != 2 {
		t.Errorf("misses %v, want the two that went wrong", r.Misses)
	}
	for _, req := range s.seen {
		if len(req.GetAnswers()) != 0 || len(req.GetMeasured()) != 0 {
			t.Errorf("the service saw more than a caller says: %v", req)
		}
	}
	keys := keysOf(t, r)
	want := []string{"by_family", "cases", "first_acceptable", "hazard_precision", "hazard_recall", "median_ms", "truth_in_three"}
	if !slices.Equal(keys, want) {
		t.Errorf("keys %v, want %v", keys, want)
	}
}

func keysOf(t *testing.T, v any) []string {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func TestFiles_ThatCannotBeRead(t *testing.T) {
	for name, tc := range map[string]struct{ file, want string }{
		"not json":   {"{\"family\":\"dryer\",\"text\":\"a\"}\nnonsense\n", "line 2"},
		"no cases":   {"\n\n", "no cases"},
		"wrong type": {`{"family":7}`, "line 1"},
	} {
		_, err := Calls(context.Background(), strings.NewReader(tc.file), &scripted{}, nil)
		if !errors.Is(err, ErrFile) || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: %v, want an error about the file that says %q", name, err, tc.want)
		}
	}
}

// verdicts answers by the candidate's mark.
type verdicts struct{ partsv1.PartsServiceClient }

func (verdicts) ParseMark(_ context.Context, r *partsv1.ParseMarkRequest, _ ...grpc.CallOption) (*partsv1.ParseMarkResponse, error) {
	return &partsv1.ParseMarkResponse{RulesKnown: r.GetPartKind() != "flux"}, nil
}

func (verdicts) CheckFit(_ context.Context, r *partsv1.CheckFitRequest, _ ...grpc.CallOption) (*partsv1.CheckFitResponse, error) {
	return &partsv1.CheckFitResponse{Verdict: map[string]partsv1.Verdict{
		"yes": partsv1.Verdict_VERDICT_FITS, "if": partsv1.Verdict_VERDICT_FITS_WITH_CONDITIONS,
		"no": partsv1.Verdict_VERDICT_DOES_NOT_FIT, "ask": partsv1.Verdict_VERDICT_CANNOT_TELL,
	}[r.GetCandidate()]}, nil
}

func TestFit_EveryPairOfLabelAndVerdict(t *testing.T) {
	for _, tc := range []struct {
		accept, candidate string
		want              FitScore
	}{
		{"true", "yes", FitScore{Agree: 1}}, {"true", "if", FitScore{Agree: 1}},
		{"true", "no", FitScore{FalseReject: 1}}, {"true", "ask", FitScore{WronglyUndecided: 1}},
		{"false", "yes", FitScore{FalseAccept: 1}}, {"false", "no", FitScore{Agree: 1}}, {"false", "ask", FitScore{WronglyUndecided: 1}},
		{"null", "yes", FitScore{FalseAccept: 1}}, {"null", "no", FitScore{FalseReject: 1}}, {"null", "ask", FitScore{Agree: 1}},
	} {
		tc.want.Cases = 1
		line := `{"part_kind":"run_capacitor","original":"x","candidate":"` + tc.candidate + `","accept":` + tc.accept + `}`
		r, err := Fit(context.Background(), strings.NewReader(line), verdicts{})
		if err != nil {
			t.Fatal(err)
		}
		if got := r.ByFamily["run_capacitor"]; got != tc.want {
			t.Errorf("label %s, verdict %s: %+v, want %+v", tc.accept, tc.candidate, got, tc.want)
		}
	}
	r, err := Fit(context.Background(), strings.NewReader(`{"part_kind":"flux","original":"x","candidate":"ask","accept":null}`), verdicts{})
	if err != nil || r.UnknownParts["flux"] != 1 {
		t.Errorf("unknown part kind: %v %v", r, err)
	}
}

// board remembers what it was told and answers CreateJob with one decision.
type board struct {
	dispatchv1.DispatchServiceClient
	technicians []*dispatchv1.CreateTechnicianRequest
	jobs        []*dispatchv1.CreateJobRequest
	answer      *dispatchv1.Job
}

func (b *board) CreateTechnician(_ context.Context, r *dispatchv1.CreateTechnicianRequest, _ ...grpc.CallOption) (*dispatchv1.Technician, error) {
	b.technicians = append(b.technicians, r)
	return r.GetTechnician(), nil
}

func (b *board) CreateJob(_ context.Context, r *dispatchv1.CreateJobRequest, _ ...grpc.CallOption) (*dispatchv1.Job, error) {
	b.jobs = append(b.jobs, r)
	return b.answer, nil
}

type stopped struct{ at time.Time }

func (s *stopped) Set(t time.Time) time.Duration { s.at = t; return 0 }

func TestDispatch_PlaysTheCaseInTheRightOrder(t *testing.T) {
	file := `{"id":"x","now":"2027-03-02T08:30","rules":{"min_per_km":2},
"job":{"id":"J1","family":"dryer","suburb":"Hill","x_km":1,"y_km":2,"symptom":"hums","needs_parts":[{"part_kind":"belt","rating":null,"qty":1}],"skills":["electrical"],"tools":[],"duration_min":30,"window":{"start":"09:00","end":"12:00"},"priority":"normal","can_wait_until":"2027-03-03"},
"technicians":[{"id":"T1","suburb":"Dale","x_km":3,"y_km":4,"skills":["electrical"],"shift":{"start":"22:00","end":"06:00"},"free_at":"08:30","stock":[{"part_kind":"belt","rating":null,"qty":2},{"part_kind":"belt","rating":null,"qty":1,"reserved_for":"gone"}],"tools":[]}],
"warehouse":null,
"other_jobs":[{"id":"O1","family":"dryer","suburb":"Dale","needs_parts":[],"priority":"normal","status":"unassigned"},{"id":"O2","family":"dryer","suburb":"Dale","needs_parts":[],"priority":"urgent","status":"unassigned"},{"id":"O3","family":"dryer","suburb":"Dale","needs_parts":[],"priority":"urgent","status":"assigned to T1","duration_min":70}],
"expect":{"technician":"T1","action":"assign","via_warehouse":false}}`
	b := &board{answer: &dispatchv1.Job{Action: dispatchv1.Action_ACTION_ASSIGN, Assignment: &dispatchv1.Assignment{Technician: "regions/r/technicians/T1"}}}
	clock := &stopped{}
	r, err := Dispatch(context.Background(), strings.NewReader(strings.ReplaceAll(file, "\n", " ")), b, clock, "r")
	if err != nil {
		t.Fatal(err)
	}
	if r.Cases != 1 || r.Agree != 1 {
		t.Errorf("report %+v, want to agree", r)
	}
	var order []string
	for _, j := range b.jobs {
		order = append(order, j.GetJobId())
	}
	if !slices.Equal(order, []string{"O3", "O2", "J1"}) {
		t.Errorf("booked in order %v; want what is promised, then what is urgent, then the job", order)
	}
	if b.jobs[0].GetJob().GetOnlyTechnician() != "regions/r-1/technicians/T1" {
		t.Errorf("the promised job is for %q", b.jobs[0].GetJob().GetOnlyTechnician())
	}
	tech := b.technicians[0].GetTechnician()
	if len(tech.GetStock()) != 1 || tech.GetStock()[0].GetQuantity() != 2 {
		t.Errorf("stock %v, want two: one is promised to a job that is not here", tech.GetStock())
	}
	if s := tech.GetShifts()[0]; s.GetEndTime().AsTime().Sub(s.GetStartTime().AsTime()) != 8*time.Hour {
		t.Errorf("a shift over midnight lasts %v", s)
	}
	if !clock.at.Equal(time.Date(2027, 3, 2, 8, 30, 0, 0, time.UTC)) {
		t.Errorf("the clock was set to %v", clock.at)
	}
	if !slices.Equal(keysOf(t, r), []string{"agree", "by_family", "cases"}) {
		t.Errorf("keys %v", keysOf(t, r))
	}
}

// Over the fifty kilometres of a town the globe is flat to a metre.
func TestPlace_KeepsDistances(t *testing.T) {
	a, b := place(3, 4), place(43, 34)
	dx := (b.GetLongitude() - a.GetLongitude()) * kmPerDegree
	dy := (b.GetLatitude() - a.GetLatitude()) * kmPerDegree
	if d := math.Hypot(dx, dy); math.Abs(d-50) > 1e-9 {
		t.Errorf("%v km, want 50", d)
	}
}
