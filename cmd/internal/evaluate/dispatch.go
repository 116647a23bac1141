package evaluate

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"google.golang.org/genproto/googleapis/type/latlng"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
)

// Clock lets the measurement say what time it is where the service runs.
//
// Set tells the service that it is now t; Shift says how far the service's own
// clock is from t, for a service whose clock cannot be set: all times of the
// case are then moved by it.
type Clock interface {
	Set(t time.Time) (shift time.Duration)
}

// decision is one row of a file of dispatch decisions.
type decision struct {
	ID          string         `json:"id"`
	Now         string         `json:"now"`
	Rules       Rules          `json:"rules"`
	Job         caseJob        `json:"job"`
	Technicians []caseTech     `json:"technicians"`
	Warehouse   *caseWarehouse `json:"warehouse"`
	OtherJobs   []caseJob      `json:"other_jobs"`
	Expect      struct {
		Technician   *string           `json:"technician"`
		Action       string            `json:"action"`
		ViaWarehouse bool              `json:"via_warehouse"`
		Because      []string          `json:"because"`
		Rejected     map[string]string `json:"rejected"`
	} `json:"expect"`
}

// Rules are the travel rules a file of decisions states.
type Rules struct {
	MinutesPerKm float64 `json:"min_per_km"`
}

type clockTimes struct {
	Start string `json:"start"`
	End   string `json:"end"`
}

type caseStock struct {
	PartKind    string  `json:"part_kind"`
	Rating      *string `json:"rating"`
	Quantity    int     `json:"qty"`
	ReservedFor string  `json:"reserved_for"`
}

type caseJob struct {
	ID        string      `json:"id"`
	Family    string      `json:"family"`
	Variant   string      `json:"variant"`
	Suburb    string      `json:"suburb"`
	X         *float64    `json:"x_km"`
	Y         *float64    `json:"y_km"`
	Symptom   string      `json:"symptom"`
	Parts     []caseStock `json:"needs_parts"`
	Skills    []string    `json:"skills"`
	Tools     []string    `json:"tools"`
	Duration  int         `json:"duration_min"`
	Window    *clockTimes `json:"window"`
	Priority  string      `json:"priority"`
	Safety    []string    `json:"safety"`
	WaitUntil *string     `json:"can_wait_until"`
	Status    string      `json:"status"`
}

type caseTech struct {
	ID     string      `json:"id"`
	Suburb string      `json:"suburb"`
	X      float64     `json:"x_km"`
	Y      float64     `json:"y_km"`
	Skills []string    `json:"skills"`
	Tools  []string    `json:"tools"`
	Shift  clockTimes  `json:"shift"`
	FreeAt string      `json:"free_at"`
	Stock  []caseStock `json:"stock"`
}

type caseWarehouse struct {
	Suburb string      `json:"suburb"`
	X      float64     `json:"x_km"`
	Y      float64     `json:"y_km"`
	Open   *clockTimes `json:"open"`
	Pick   int         `json:"pick_min"`
	Stock  []caseStock `json:"stock"`
}

// DispatchReport counts how the decisions compare.
type DispatchReport struct {
	Cases    int                      `json:"cases"`
	Agree    int                      `json:"agree"`
	ByFamily map[string]DispatchScore `json:"by_family"`
	Misses   []DispatchMiss           `json:"-"`
}

// DispatchScore are the counts of one family.
type DispatchScore struct {
	Cases int `json:"cases"`
	Agree int `json:"agree"`
}

// DispatchMiss is a decision taken otherwise than the file says, with both
// reasons.
type DispatchMiss struct {
	ID                   string
	Want, Got            string
	WantBecause, Because []string
}

// actionWords are the file's words for what is to be done.
var actionWords = map[dispatchv1.Action]string{
	dispatchv1.Action_ACTION_ASSIGN:     "assign",
	dispatchv1.Action_ACTION_BOOK_LATER: "book_next_day",
	dispatchv1.Action_ACTION_ORDER_PART: "order_part",
	dispatchv1.Action_ACTION_PHONE_FIX:  "phone_fix",
	dispatchv1.Action_ACTION_ESCALATE:   "escalate",
}

// Dispatch measures dispatch on a file of decisions. Each case gets a region of
// its own, named after prefix and its place in the file, so that cases never
// meet. The service must reckon travel by the rules of the file: see
// [TravelRules].
func Dispatch(ctx context.Context, r io.Reader, client dispatchv1.DispatchServiceClient, clock Clock, prefix string) (DispatchReport, error) {
	report := DispatchReport{ByFamily: map[string]DispatchScore{}}
	err := each(r, func(line int, row decision) error {
		s := stage{ctx: ctx, client: client, row: row, region: fmt.Sprintf("regions/%s-%d", prefix, line)}
		got, err := s.play(clock)
		if err != nil {
			return fmt.Errorf("line %d (%s): %w", line, row.ID, err)
		}
		want := outcome(row.Expect.Action, row.Expect.Technician, row.Expect.ViaWarehouse)
		said := outcomeOf(got)
		score := report.ByFamily[row.Job.Family]
		score.Cases++
		report.Cases++
		if want == said {
			score.Agree++
			report.Agree++
		} else {
			m := DispatchMiss{ID: row.ID, Want: want, Got: said, WantBecause: row.Expect.Because, Because: got.GetBecause()}
			for _, c := range got.GetCandidates() {
				m.Because = append(m.Because, lastOf(c.GetTechnician())+": "+c.GetText())
			}
			report.Misses = append(report.Misses, m)
		}
		report.ByFamily[row.Job.Family] = score
		return nil
	})
	return report, err
}

// TravelRules reads the travel rules of the first case of a file, for setting
// up a service to measure.
func TravelRules(r io.Reader) (Rules, error) {
	var first *Rules
	err := each(r, func(line int, row decision) error {
		if first == nil {
			rules := row.Rules
			first = &rules
		}
		if row.Rules.MinutesPerKm != first.MinutesPerKm {
			return fmt.Errorf("%w: line %d: min_per_km differs from the first case", ErrFile, line)
		}
		return nil
	})
	if err != nil {
		return Rules{}, err
	}
	if !(first.MinutesPerKm > 0) {
		return Rules{}, fmt.Errorf("%w: rules.min_per_km must be above 0", ErrFile)
	}
	return *first, nil
}

func outcome(action string, technician *string, via bool) string {
	out := action
	if technician != nil {
		out += " " + *technician
	}
	if via {
		out += " via warehouse"
	}
	return out
}

func outcomeOf(j *dispatchv1.Job) string {
	a := j.GetAssignment()
	if a == nil || j.GetAction() != dispatchv1.Action_ACTION_ASSIGN {
		return outcome(actionWords[j.GetAction()], nil, false)
	}
	id := lastOf(a.GetTechnician())
	return outcome(actionWords[j.GetAction()], &id, a.GetWarehouse() != "")
}

func lastOf(name string) string { return name[strings.LastIndexByte(name, '/')+1:] }

// assigned begins the status of a job that is promised to somebody.
const assigned = "assigned to "

// stage plays one case.
type stage struct {
	ctx    context.Context
	client dispatchv1.DispatchServiceClient
	row    decision
	region string
	now    time.Time
	shift  time.Duration
}

func (s *stage) play(clock Clock) (*dispatchv1.Job, error) {
	now, err := time.ParseInLocation("2006-01-02T15:04", s.row.Now, time.UTC)
	if err != nil {
		return nil, fmt.Errorf("%w: now: %w", ErrFile, err)
	}
	s.now, s.shift = now, clock.Set(now)
	if err := s.people(); err != nil {
		return nil, err
	}
	// What is promised to others comes first; then, of the jobs nobody has been
	// sent to, the urgent ones before this one, unless this one is urgent too.
	for _, o := range s.row.OtherJobs {
		if strings.HasPrefix(o.Status, assigned) {
			if _, err := s.book(o, strings.TrimPrefix(o.Status, assigned)); err != nil {
				return nil, err
			}
		}
	}
	for _, o := range s.row.OtherJobs {
		if !strings.HasPrefix(o.Status, assigned) && o.Priority == "urgent" && s.row.Job.Priority != "urgent" {
			if _, err := s.book(o, ""); err != nil {
				return nil, err
			}
		}
	}
	return s.book(s.row.Job, "")
}

// people sets up technicians, vans and the warehouse.
func (s *stage) people() error {
	for _, t := range s.row.Technicians {
		shift, err := s.window(t.Shift)
		if err != nil {
			return err
		}
		free, err := s.clock(t.FreeAt)
		if err != nil {
			return err
		}
		out := &dispatchv1.Technician{
			Tools: t.Tools, Shifts: []*dispatchv1.TimeWindow{shift}, Position: place(t.X, t.Y),
			FreeTime: timestamppb.New(free), Stock: s.stock(t.Stock),
		}
		for _, code := range t.Skills {
			out.Skills = append(out.Skills, &dispatchv1.Skill{Code: code})
		}
		_, err = s.client.CreateTechnician(s.ctx, &dispatchv1.CreateTechnicianRequest{Parent: s.region, TechnicianId: t.ID, Technician: out})
		if err != nil {
			return err
		}
	}
	if w := s.row.Warehouse; w != nil {
		out := &dispatchv1.Warehouse{
			Location: place(w.X, w.Y), PickDuration: durationpb.New(time.Duration(w.Pick) * time.Minute), Stock: s.stock(w.Stock),
		}
		if w.Open != nil {
			open, err := s.window(*w.Open)
			if err != nil {
				return err
			}
			out.Openings = []*dispatchv1.TimeWindow{open}
		}
		_, err := s.client.CreateWarehouse(s.ctx, &dispatchv1.CreateWarehouseRequest{Parent: s.region, WarehouseId: "warehouse", Warehouse: out})
		return err
	}
	return nil
}

// book books a job. only, when not empty, names the one technician it is for.
func (s *stage) book(j caseJob, only string) (*dispatchv1.Job, error) {
	out := &dispatchv1.Job{
		Appliance:     &commonv1.Appliance{Family: j.Family, Variant: j.Variant},
		CustomerWords: j.Symptom, NotedHazards: j.Safety,
		Priority: dispatchv1.Priority_PRIORITY_NORMAL,
		Requirement: &dispatchv1.Requirement{
			Skills: j.Skills, Tools: j.Tools,
			Duration: durationpb.New(time.Duration(minutes(j.Duration)) * time.Minute),
		},
	}
	if j.Priority == "urgent" {
		out.Priority = dispatchv1.Priority_PRIORITY_URGENT
	}
	x, y := s.whereabouts(j, only)
	out.Place = &dispatchv1.Place{Location: place(x, y)}
	for _, p := range j.Parts {
		q := int32(max(p.Quantity, 1))
		out.Requirement.Parts = append(out.Requirement.Parts, &commonv1.PartNeed{PartKind: p.PartKind, Mark: text(p.Rating), Quantity: &q})
	}
	if j.Window != nil {
		w, err := s.window(*j.Window)
		if err != nil {
			return nil, err
		}
		out.Window = w
	}
	if j.WaitUntil != nil {
		day, err := time.ParseInLocation("2006-01-02", *j.WaitUntil, time.UTC)
		if err != nil {
			return nil, fmt.Errorf("%w: can_wait_until: %w", ErrFile, err)
		}
		out.WaitUntilTime = timestamppb.New(day.Add(24*time.Hour - time.Minute).Add(s.shift))
	}
	if only != "" {
		out.OnlyTechnician = s.region + "/technicians/" + only
	}
	job, err := s.client.CreateJob(s.ctx, &dispatchv1.CreateJobRequest{
		Parent: s.region, Job: out, JobId: j.ID, RequestId: strings.ReplaceAll(s.region, "/", "-") + "-" + j.ID,
	})
	if status.Code(err) == codes.InvalidArgument {
		return nil, fmt.Errorf("%w: %w", ErrFile, err)
	}
	return job, err
}

// minutes on site. 45 stands in where a row says nothing of how long another
// job takes: the middle of the usual repair, common practice, no source.
func minutes(given int) int {
	if given > 0 {
		return given
	}
	return 45
}

// whereabouts of a job: its own coordinates, else those of anything else in the
// same suburb, else those of the technician it is promised to.
func (s *stage) whereabouts(j caseJob, technician string) (x, y float64) {
	if j.X != nil && j.Y != nil {
		return *j.X, *j.Y
	}
	if s.row.Job.Suburb == j.Suburb && s.row.Job.X != nil && s.row.Job.Y != nil {
		return *s.row.Job.X, *s.row.Job.Y
	}
	i := slices.IndexFunc(s.row.Technicians, func(t caseTech) bool { return t.Suburb == j.Suburb || t.ID == technician })
	if i >= 0 {
		return s.row.Technicians[i].X, s.row.Technicians[i].Y
	}
	return 0, 0
}

func (s *stage) clock(text string) (time.Time, error) {
	t, err := time.Parse("15:04", text)
	if err != nil {
		return t, fmt.Errorf("%w: %q is not a time of day: %w", ErrFile, text, err)
	}
	day := s.now.Truncate(24 * time.Hour)
	return day.Add(time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute).Add(s.shift), nil
}

func (s *stage) window(c clockTimes) (*dispatchv1.TimeWindow, error) {
	start, err := s.clock(c.Start)
	if err != nil {
		return nil, err
	}
	end, err := s.clock(c.End)
	if err != nil {
		return nil, err
	}
	if !end.After(start) { // over midnight
		end = end.Add(24 * time.Hour)
	}
	return &dispatchv1.TimeWindow{StartTime: timestamppb.New(start), EndTime: timestamppb.New(end)}, nil
}

// kmPerDegree is the length of one degree of a great circle on a sphere of the
// earth's mean radius, 6371.0088 km.
const kmPerDegree = math.Pi / 180 * 6371.0088

// place puts plane coordinates on the globe near the crossing of equator and
// first meridian, where over 50 km a great circle differs from a straight line
// by less than a metre.
func place(x, y float64) *latlng.LatLng {
	return &latlng.LatLng{Latitude: y / kmPerDegree, Longitude: x / kmPerDegree}
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// stock of a van or a shelf. Parts promised to a job that stands in the file are
// promised by booking that job; those promised to one that does not are left
// out, since nobody else can have them.
func (s *stage) stock(in []caseStock) []*dispatchv1.StockLine {
	var out []*dispatchv1.StockLine
	for _, l := range in {
		here := slices.ContainsFunc(s.row.OtherJobs, func(o caseJob) bool {
			return o.ID == l.ReservedFor && strings.HasPrefix(o.Status, assigned)
		})
		if l.ReservedFor != "" && !here {
			continue
		}
		i := slices.IndexFunc(out, func(o *dispatchv1.StockLine) bool { return o.PartKind == l.PartKind && o.Mark == text(l.Rating) })
		if i >= 0 {
			out[i].Quantity += int32(l.Quantity)
			continue
		}
		out = append(out, &dispatchv1.StockLine{PartKind: l.PartKind, Mark: text(l.Rating), Quantity: int32(l.Quantity)})
	}
	return out
}
