package dispatch_test

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"go.uber.org/zap"
	"google.golang.org/genproto/googleapis/type/latlng"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	"onevisit/dispatch/travel"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/dispatch"
	"onevisit/services/refuse"
	"onevisit/services/store/boltstore"
	"onevisit/services/store/storetest"
)

// The services that are asked are stood in for by functions, so that a test can
// make one of them fail; that the real ones work together is tested where they
// are brought together.

type asked struct {
	triagev1.TriageServiceClient
	partsv1.PartsServiceClient
	assess func(*triagev1.AssessRequest) (*triagev1.AssessResponse, error)
	fits   func(*partsv1.BatchCheckFitsRequest) (*partsv1.BatchCheckFitsResponse, error)
	quote  func(*partsv1.QuoteRepairRequest) (*partsv1.QuoteRepairResponse, error)
}

func (a *asked) Assess(_ context.Context, r *triagev1.AssessRequest, _ ...grpc.CallOption) (*triagev1.AssessResponse, error) {
	return a.assess(r)
}

func (a *asked) BatchCheckFits(_ context.Context, r *partsv1.BatchCheckFitsRequest, _ ...grpc.CallOption) (*partsv1.BatchCheckFitsResponse, error) {
	return a.fits(r)
}

func (a *asked) QuoteRepair(_ context.Context, r *partsv1.QuoteRepairRequest, _ ...grpc.CallOption) (*partsv1.QuoteRepairResponse, error) {
	return a.quote(r)
}

// now is a quarter past eight on an invented Tuesday.
var now = time.Date(2027, 3, 2, 8, 15, 0, 0, time.UTC)

const region = "regions/town"

type rig struct {
	*dispatch.Server
	store job.Store
	asked *asked
}

func newRig(t *testing.T, wrap func(job.Store) job.Store) *rig {
	t.Helper()
	store, err := boltstore.Open(boltstore.Options{Path: filepath.Join(t.TempDir(), "town.db")})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		storetest.Check(t, store, "town")
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	a := &asked{
		assess: func(*triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
			return &triagev1.AssessResponse{Disposition: triagev1.Disposition_DISPOSITION_ASSESSED, KnowledgeVersion: "test",
				Kit: &triagev1.Kit{
					Skills: []string{"electrical"}, Duration: durationpb.New(45 * time.Minute),
					Lines: []*triagev1.KitLine{{PartKind: "run_capacitor", Probability: 0.9,
						Ratings: []*triagev1.RatingShare{{Mark: "8 µF 450 V", Share: 0.5}, {Mark: "9 µF 450 V", Share: 0.3}, {Mark: "7 µF 450 V", Share: 0.05}}}},
				},
				Outcomes: []*commonv1.RepairOutcome{{Fault: "capacitor", Probability: 0.9, Parts: []*commonv1.PartNeed{{PartKind: "run_capacitor"}}}},
			}, nil
		},
		fits: func(r *partsv1.BatchCheckFitsRequest) (*partsv1.BatchCheckFitsResponse, error) {
			out := &partsv1.BatchCheckFitsResponse{}
			for range r.GetPairs() {
				out.Verdicts = append(out.Verdicts, partsv1.Verdict_VERDICT_DOES_NOT_FIT)
			}
			return out, nil
		},
		quote: func(*partsv1.QuoteRepairRequest) (*partsv1.QuoteRepairResponse, error) {
			return &partsv1.QuoteRepairResponse{Notes: []string{"test"}}, nil
		},
	}
	var id int
	var mu sync.Mutex
	used := job.Store(store)
	if wrap != nil {
		used = wrap(store)
	}
	return &rig{asked: a, store: store, Server: dispatch.New(dispatch.Config{
		Store: used, Triage: a, Parts: a, Travel: travel.Model{RoadFactor: 1.3, MinutesPerKm: 2}, Costs: offer.DefaultCosts(),
		Now: func() time.Time { return now },
		NewID: func() string {
			mu.Lock()
			defer mu.Unlock()
			id++
			return fmt.Sprintf("job%d", id)
		},
		Log: zap.NewNop(),
	})}
}

func at(lat, lng float64) *latlng.LatLng { return &latlng.LatLng{Latitude: lat, Longitude: lng} }

func (r *rig) technician(t *testing.T, id string, lng float64, stock ...*dispatchv1.StockLine) {
	t.Helper()
	_, err := r.CreateTechnician(context.Background(), &dispatchv1.CreateTechnicianRequest{
		Parent: region, TechnicianId: id, Technician: &dispatchv1.Technician{
			Skills: []*dispatchv1.Skill{{Code: "electrical"}}, Position: at(0, lng), Stock: stock,
			Shifts: []*dispatchv1.TimeWindow{{StartTime: timestamppb.New(now.Add(-time.Hour)), EndTime: timestamppb.New(now.Add(200 * time.Hour))}},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
}

func capacitors(n int32) *dispatchv1.StockLine {
	return &dispatchv1.StockLine{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: n}
}

// certain is a job a person has decided on: it must have the capacitor.
func certain(request string) *dispatchv1.CreateJobRequest {
	return &dispatchv1.CreateJobRequest{Parent: region, RequestId: request, Job: &dispatchv1.Job{
		Appliance: &commonv1.Appliance{Family: "tumble_dryer"}, Place: &dispatchv1.Place{Location: at(0, 0)},
		Requirement: &dispatchv1.Requirement{
			Parts:  []*commonv1.PartNeed{{PartKind: "run_capacitor", Mark: "8 µF 450 V"}},
			Skills: []string{"electrical"}, Duration: durationpb.New(30 * time.Minute),
		},
	}}
}

func (r *rig) book(t *testing.T, req *dispatchv1.CreateJobRequest) *dispatchv1.Job {
	t.Helper()
	j, err := r.CreateJob(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func (r *rig) reserved(t *testing.T, id string) (have, promised int32) {
	t.Helper()
	got, err := r.GetTechnician(context.Background(), &dispatchv1.GetTechnicianRequest{Name: region + "/technicians/" + id})
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range got.GetStock() {
		have += l.GetQuantity()
		promised += l.GetReservedQuantity()
	}
	return have, promised
}

func TestCreateJob_ReservesThePartInTheSameTransaction(t *testing.T) {
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(1))
	r.technician(t, "T2", 0.05, capacitors(1))
	first := r.book(t, certain("a"))
	if got := first.GetAssignment().GetTechnician(); got != region+"/technicians/T1" {
		t.Errorf("first goes to %s, want the nearest", got)
	}
	second := r.book(t, certain("b"))
	if got := second.GetAssignment().GetTechnician(); got != region+"/technicians/T2" {
		t.Errorf("second goes to %s, want the one who still has a part", got)
	}
	third := r.book(t, certain("c"))
	if third.GetAction() != dispatchv1.Action_ACTION_ORDER_PART || third.GetState() != dispatchv1.JobState_JOB_STATE_WAITING {
		t.Errorf("third is %v, %v; want to order the part and wait", third.GetAction(), third.GetState())
	}
	for _, id := range []string{"T1", "T2"} {
		if have, promised := r.reserved(t, id); have != 1 || promised != 1 {
			t.Errorf("%s has %d, %d promised; want 1 and 1", id, have, promised)
		}
	}
}

func TestCreateJob_SameRequestIsOneJob(t *testing.T) {
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(5))
	first := r.book(t, certain("a"))
	again := r.book(t, certain("a"))
	if !proto.Equal(first, again) {
		t.Errorf("the second answer differs:\n%v\n%v", first, again)
	}
	if _, promised := r.reserved(t, "T1"); promised != 1 {
		t.Errorf("%d parts promised, want 1", promised)
	}
	other := certain("a")
	other.Job.Place.Location = at(0, 0.001)
	_, err := r.CreateJob(context.Background(), other)
	if status.Code(err) != codes.AlreadyExists {
		t.Errorf("another request with the same id: %v, want ALREADY_EXISTS", err)
	}
}

func TestCreateJob_TwinsAtTheSameTimeAreOneJob(t *testing.T) {
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(64))
	names := make([]string, 32)
	var wg sync.WaitGroup
	for i := range names {
		wg.Go(func() {
			j, err := r.CreateJob(context.Background(), certain("same"))
			if err != nil {
				t.Error(err)
				return
			}
			names[i] = j.GetName()
		})
	}
	wg.Wait()
	for _, n := range names {
		if n != names[0] {
			t.Fatalf("jobs %s and %s from one request", n, names[0])
		}
	}
	if _, promised := r.reserved(t, "T1"); promised != 1 {
		t.Errorf("%d parts promised, want 1", promised)
	}
}

func TestCreateJob_ManyBookersNeverShareAPart(t *testing.T) {
	r := newRig(t, nil)
	for i := range 4 {
		r.technician(t, fmt.Sprintf("T%d", i), 0.01*float64(i+1), capacitors(5))
	}
	var wg sync.WaitGroup
	var mu sync.Mutex
	assigned := 0
	for i := range 64 {
		wg.Go(func() {
			j, err := r.CreateJob(context.Background(), certain(fmt.Sprintf("r%d", i)))
			if err != nil {
				t.Error(err)
				return
			}
			mu.Lock()
			defer mu.Unlock()
			if j.GetAssignment() != nil {
				assigned++
			}
		})
	}
	wg.Wait()
	if assigned != 20 {
		t.Errorf("%d of 64 assigned, want exactly as many as there are parts: 20", assigned)
	}
	for i := range 4 {
		if have, promised := r.reserved(t, fmt.Sprintf("T%d", i)); have != 5 || promised != 5 {
			t.Errorf("T%d: %d promised of %d", i, promised, have)
		}
	}
}

// A van with more of the usual marks has a better chance; marks too rare to
// carry on purpose are left out of the kit but not out of the reckoning.
func TestCreateJob_UnknownMarkIsCarriedAsAnAssortment(t *testing.T) {
	r := newRig(t, nil)
	r.technician(t, "T1", 0.02, capacitors(1))
	r.technician(t, "T2", 0.02, capacitors(1), &dispatchv1.StockLine{PartKind: "run_capacitor", Mark: "9 µF 450 V", Quantity: 1})
	req := certain("a")
	req.Job.Requirement, req.Job.CustomerWords = nil, "it hums"
	j := r.book(t, req)
	if got := j.GetAssignment().GetTechnician(); got != region+"/technicians/T2" {
		t.Fatalf("goes to %s, want the van with both marks", got)
	}
	if got := len(j.GetAssignment().GetParts()); got != 2 {
		t.Errorf("%d parts reserved, want both marks", got)
	}
	if got, want := j.GetAssignment().GetFirstVisitProbability(), 0.9*0.8; got < want-1e-9 || got > want+1e-9 {
		t.Errorf("chance of one visit %v, want 0.9·(0.5+0.3) = %v", got, want)
	}
	if j.GetCustomerWords() != "it hums" || j.GetKnowledgeVersion() != "test" || len(j.GetQuote().GetNotes()) != 1 {
		t.Errorf("the job lost its words, knowledge version or quote: %v", j)
	}
}

func TestCreateJob_NothingIsHalfDone(t *testing.T) {
	away := status.Error(codes.Unavailable, "away")
	for name, tc := range map[string]struct {
		spoil func(*rig)
		code  codes.Code
	}{
		"triage away": {func(r *rig) {
			r.asked.assess = func(*triagev1.AssessRequest) (*triagev1.AssessResponse, error) { return nil, away }
		}, codes.Unavailable},
		"triage refuses": {func(r *rig) {
			r.asked.assess = func(*triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
				return nil, refuse.Unknown("appliance.family", "no such family")
			}
		}, codes.NotFound},
		"fit away": {func(r *rig) {
			r.asked.fits = func(*partsv1.BatchCheckFitsRequest) (*partsv1.BatchCheckFitsResponse, error) { return nil, away }
		}, codes.Unavailable},
		"quote away": {func(r *rig) {
			r.asked.quote = func(*partsv1.QuoteRepairRequest) (*partsv1.QuoteRepairResponse, error) { return nil, away }
		}, codes.Unavailable},
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, nil)
			r.technician(t, "T1", 0.01, capacitors(1))
			tc.spoil(r)
			req := certain("a")
			req.Job.Requirement, req.Job.CustomerWords = nil, "it hums"
			if _, err := r.CreateJob(context.Background(), req); status.Code(err) != tc.code {
				t.Fatalf("got %v, want %v", err, tc.code)
			}
			list, err := r.ListJobs(context.Background(), &dispatchv1.ListJobsRequest{Parent: region})
			if err != nil || len(list.GetJobs()) != 0 {
				t.Errorf("jobs %v %v, want none", list.GetJobs(), err)
			}
			if _, promised := r.reserved(t, "T1"); promised != 0 {
				t.Errorf("%d parts promised, want 0", promised)
			}
		})
	}
}

// Every store call of a booking fails once, in turn, before it is done and after
// it is done; whatever fails, the job and the promise are both there or both
// not, and trying again ends well.
func TestCreateJob_StoreFailsAnywhere(t *testing.T) {
	for _, after := range []bool{false, true} {
		for n := 1; ; n++ {
			var failing *storetest.Failing
			r := newRig(t, func(s job.Store) job.Store {
				failing = &storetest.Failing{Store: s, After: after}
				return failing
			})
			r.technician(t, "T1", 0.01, capacitors(1))
			failing.At = failing.Calls() + n
			_, err := r.CreateJob(context.Background(), certain("a"))
			if failing.Calls() < failing.At {
				if n < 3 {
					t.Fatalf("a booking made only %d calls to the store", n-1)
				}
				break
			}
			if err == nil {
				t.Errorf("call %d failed and the booking did not notice", n)
			}
			_, promised := r.reserved(t, "T1")
			list, lerr := r.ListJobs(context.Background(), &dispatchv1.ListJobsRequest{Parent: region})
			if lerr != nil || int32(len(list.GetJobs())) != promised {
				t.Fatalf("call %d failed (%v): %d jobs, %d parts promised", n, err, len(list.GetJobs()), promised)
			}
			if j := r.book(t, certain("a")); j.GetAction() != dispatchv1.Action_ACTION_ASSIGN {
				t.Fatalf("call %d failed, then: %v", n, j.GetAction())
			}
		}
	}
}

func TestDangerStopsTheBooking(t *testing.T) {
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(1))
	usual := r.asked.assess
	r.asked.assess = func(req *triagev1.AssessRequest) (*triagev1.AssessResponse, error) {
		a, err := usual(req)
		a.Hazards = []*commonv1.Hazard{{Code: "gas_smell", Label: "smell of gas", Booking: commonv1.HazardBooking_HAZARD_BOOKING_NONE}}
		return a, err
	}
	req := certain("a")
	req.Job.Requirement, req.Job.CustomerWords = nil, "I can smell gas"
	j := r.book(t, req)
	if j.GetAction() != dispatchv1.Action_ACTION_ESCALATE || !j.GetNeedsPerson() || j.GetAssignment() != nil {
		t.Errorf("got %v, needs person %v, assignment %v; want a person to decide", j.GetAction(), j.GetNeedsPerson(), j.GetAssignment())
	}
	if len(j.GetHazards()) != 1 {
		t.Errorf("hazards %v, want the one reported", j.GetHazards())
	}
}

func TestAJobFromStartToEnd(t *testing.T) {
	ctx := context.Background()
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(2))
	j := r.book(t, certain("a"))

	if _, err := r.CompleteJob(ctx, &dispatchv1.CompleteJobRequest{Name: j.GetName(), Outcome: &dispatchv1.Outcome{Fixed: true}}); !errors.Is(err, job.ErrWrongState) {
		t.Errorf("completed before it was begun: %v", err)
	}
	if _, err := r.DeleteTechnician(ctx, &dispatchv1.DeleteTechnicianRequest{Name: region + "/technicians/T1"}); status.Code(err) != codes.FailedPrecondition {
		t.Errorf("a technician with a visit was deleted: %v", err)
	}
	if _, err := r.UpdateTechnicianShifts(ctx, &dispatchv1.UpdateTechnicianShiftsRequest{Name: region + "/technicians/T1"}); status.Code(err) != codes.FailedPrecondition {
		t.Errorf("a promised visit lost its shift: %v", err)
	}
	for range 2 { // beginning twice is beginning once
		if _, err := r.StartJob(ctx, &dispatchv1.StartJobRequest{Name: j.GetName()}); err != nil {
			t.Fatal(err)
		}
	}
	n := int32(1)
	done, err := r.CompleteJob(ctx, &dispatchv1.CompleteJobRequest{Name: j.GetName(), Outcome: &dispatchv1.Outcome{
		Fixed: true, Fault: "capacitor", PartsUsed: []*commonv1.PartNeed{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: &n}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	if done.GetState() != dispatchv1.JobState_JOB_STATE_DONE || done.GetOutcome().GetFault() != "capacitor" {
		t.Errorf("job is %v with outcome %v", done.GetState(), done.GetOutcome())
	}
	if have, promised := r.reserved(t, "T1"); have != 1 || promised != 0 {
		t.Errorf("van has %d, %d promised; want 1 and 0", have, promised)
	}
	if _, err := r.CancelJob(ctx, &dispatchv1.CancelJobRequest{Name: j.GetName()}); !errors.Is(err, job.ErrWrongState) {
		t.Errorf("a job that is done was cancelled: %v", err)
	}
}

func TestCancelReleasesAndReassignTakes(t *testing.T) {
	ctx := context.Background()
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(1))
	first, second := r.book(t, certain("a")), r.book(t, certain("b"))
	if second.GetAssignment() != nil {
		t.Fatal("one part went to two jobs")
	}
	for range 2 {
		if _, err := r.CancelJob(ctx, &dispatchv1.CancelJobRequest{Name: first.GetName()}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.ReassignJob(ctx, &dispatchv1.ReassignJobRequest{Name: second.GetName(), Etag: "old"}); status.Code(err) != codes.Aborted {
		t.Errorf("an old etag was accepted: %v", err)
	}
	again, err := r.ReassignJob(ctx, &dispatchv1.ReassignJobRequest{Name: second.GetName(), Etag: second.GetEtag()})
	if err != nil || again.GetAssignment().GetTechnician() == "" {
		t.Errorf("the released part was not taken: %v %v", again, err)
	}
}

func TestAdjustStock_OncePerRequest(t *testing.T) {
	ctx := context.Background()
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(3))
	req := &dispatchv1.AdjustStockRequest{Name: region + "/technicians/T1", PartKind: "run_capacitor", Mark: "8 µF 450 V", QuantityChange: -2, RequestId: "x"}
	for range 3 {
		got, err := r.AdjustStock(ctx, req)
		if err != nil || got.GetLine().GetQuantity() != 1 {
			t.Fatalf("got %v %v, want 1 left however often it is sent", got, err)
		}
	}
	r.book(t, certain("a"))
	req.RequestId, req.QuantityChange = "y", -1
	if _, err := r.AdjustStock(ctx, req); err == nil {
		t.Error("a promised part was taken away")
	}
}

func TestUpdateTechnicianPosition_LateReportsAreIgnored(t *testing.T) {
	ctx := context.Background()
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01)
	name := region + "/technicians/T1"
	for _, p := range []struct {
		minutes int
		lng     float64
		want    float64
	}{{5, 0.2, 0.2}, {3, 0.3, 0.2}, {6, 0.4, 0.4}} {
		got, err := r.UpdateTechnicianPosition(ctx, &dispatchv1.UpdateTechnicianPositionRequest{
			Name: name, Position: at(0, p.lng), PositionTime: timestamppb.New(now.Add(time.Duration(p.minutes) * time.Minute)),
		})
		if err != nil || got.GetPosition().GetLongitude() != p.want {
			t.Errorf("after the report of minute %d at %v: %v %v, want %v", p.minutes, p.lng, got.GetPosition(), err, p.want)
		}
	}
}

func TestListJobs_PagesAndFilters(t *testing.T) {
	ctx := context.Background()
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01, capacitors(3))
	for i := range 5 {
		r.book(t, certain(fmt.Sprintf("r%d", i)))
	}
	var names []string
	token := ""
	for {
		page, err := r.ListJobs(ctx, &dispatchv1.ListJobsRequest{Parent: region, PageSize: 2, PageToken: token})
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range page.GetJobs() {
			names = append(names, j.GetName())
		}
		if token = page.GetNextPageToken(); token == "" {
			break
		}
	}
	if len(names) != 5 {
		t.Errorf("paged through %v, want five", names)
	}
	waiting, err := r.ListJobs(ctx, &dispatchv1.ListJobsRequest{Parent: region, States: []dispatchv1.JobState{dispatchv1.JobState_JOB_STATE_WAITING}})
	if err != nil || len(waiting.GetJobs()) != 2 {
		t.Errorf("%d waiting, want 2 (%v)", len(waiting.GetJobs()), err)
	}
	if _, err := r.ListJobs(ctx, &dispatchv1.ListJobsRequest{Parent: region, PageToken: "!"}); status.Code(err) != codes.InvalidArgument {
		t.Errorf("a made-up token: %v", err)
	}
}

func TestBadRequests(t *testing.T) {
	ctx := context.Background()
	r := newRig(t, nil)
	r.technician(t, "T1", 0.01)
	change := func(edit func(*dispatchv1.Job)) *dispatchv1.CreateJobRequest {
		req := certain("bad")
		edit(req.Job)
		return req
	}
	past := &dispatchv1.TimeWindow{StartTime: timestamppb.New(now.Add(-2 * time.Hour)), EndTime: timestamppb.New(now.Add(-time.Hour))}
	later := &dispatchv1.TimeWindow{StartTime: timestamppb.New(now.Add(2 * time.Hour)), EndTime: timestamppb.New(now.Add(3 * time.Hour))}
	for name, tc := range map[string]struct {
		req  *dispatchv1.CreateJobRequest
		code codes.Code
	}{
		"no such place":       {change(func(j *dispatchv1.Job) { j.Place.Location = at(91, 0) }), codes.InvalidArgument},
		"window in the past":  {change(func(j *dispatchv1.Job) { j.Window = past }), codes.InvalidArgument},
		"cannot wait":         {change(func(j *dispatchv1.Job) { j.Window, j.WaitUntilTime = later, timestamppb.New(now.Add(time.Hour)) }), codes.InvalidArgument},
		"nobody by that name": {change(func(j *dispatchv1.Job) { j.OnlyTechnician = region + "/technicians/T9" }), codes.NotFound},
	} {
		if _, err := r.CreateJob(ctx, tc.req); status.Code(err) != tc.code {
			t.Errorf("%s: %v, want %v", name, err, tc.code)
		}
	}
	if _, err := r.CreateTechnician(ctx, &dispatchv1.CreateTechnicianRequest{Parent: region, TechnicianId: "T1", Technician: &dispatchv1.Technician{Position: at(0, 0)}}); status.Code(err) != codes.AlreadyExists {
		t.Errorf("a second T1: %v, want ALREADY_EXISTS", err)
	}
}
