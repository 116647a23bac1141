package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"onevisit/cmd/internal/house"
	"onevisit/cmd/internal/page"
	"onevisit/cmd/onevisit/internal/screen"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

type demoCmd struct {
	Full bool `help:"Everything a call-taker's screen would say, and the whole list of checks."`
}

// Help is shown below the flags.
func (demoCmd) Help() string {
	return `Town, people and calls are invented and fixed; every answer is worked out now by the same services that serve.
What is booked is forgotten at the end.

Examples:
  onevisit demo
  onevisit demo --full | less`
}

// demo plays the script.
type demo struct {
	ctx    context.Context
	d      *desk
	p      *page.Page
	clock  *atomic.Pointer[time.Time]
	script *script
	depth  screen.Depth
	jobs   []*dispatchv1.Job
}

// Run plays the invented day.
func (c *demoCmd) Run(a *app) error {
	s, err := readScript()
	if err != nil {
		return fmt.Errorf("demo: day.yaml: %w", err)
	}
	day, err := time.Parse(time.DateOnly, s.Date)
	if err != nil {
		return fmt.Errorf("demo: day.yaml: date: %w", err)
	}
	clock := &atomic.Pointer[time.Time]{}
	clock.Store(&day)
	in := client{Zone: "UTC"}
	d, err := in.open(a, func(config *house.Config) {
		config.Now = func() time.Time { return *clock.Load() }
	})
	if err != nil {
		return err
	}
	play := &demo{ctx: a.ctx, d: d, p: a.page(), clock: clock, script: s, depth: screen.Brief}
	if c.Full {
		play.depth = screen.Normal
	}
	err = play.all()
	if closing := d.close(); err == nil {
		err = closing
	}
	return errors.Join(err, play.p.Err())
}

// demoRegion is the region of the invented town.
const demoRegion = "regions/demo"

func (d *demo) all() error {
	fleet, err := readFleet(demoFleet)
	if err != nil {
		return err
	}
	n, err := fleet.load(d.ctx, d.d, demoRegion)
	if err != nil {
		return err
	}
	d.p.Title("One day in an invented town")
	d.p.Para(0, fmt.Sprintf("%d technicians, %d warehouse, %d calls. Only the town and what people say is written down; the rest is worked out now. Beside each question stands what it is worth: technician's time saved.",
		n.Technicians, n.Warehouses, len(d.script.Calls)))
	for i, c := range d.script.Calls {
		if err := d.call(i, c); err != nil {
			return fmt.Errorf("demo: call %d: %w", i+1, err)
		}
	}
	if err := d.technician(); err != nil {
		return err
	}
	return d.board()
}

// call plays one call: words, screen, questions and answers, booking.
func (d *demo) call(i int, c scriptCall) error {
	now, ok := clockOn(c.At, *d.clock.Load())
	if !ok {
		return fmt.Errorf("at: %q is no clock time", c.At)
	}
	d.clock.Store(&now)
	d.p.Head(fmt.Sprintf("%s  Call %d, %s – %s", c.At, i+1, c.Where, appliance(c)))
	d.p.Field("Caller", "“"+c.Says+"”")

	req := &triagev1.AssessRequest{Text: c.Says, Appliance: &commonv1.Appliance{Family: c.Family, Variant: c.Variant, AgeYears: c.Age}}
	for kind, mark := range c.Ratings {
		d.p.Field("", "(reads from a plate: "+screen.Words(kind)+" "+mark+")")
		req.Appliance.KnownRatings = append(req.Appliance.KnownRatings, &commonv1.KnownRating{PartKind: kind, Mark: mark})
	}
	got, err := d.talk(req, c)
	if err != nil {
		return err
	}
	d.show(got)
	j, err := d.book(i, c, req)
	if err != nil {
		return err
	}
	d.jobs = append(d.jobs, j)
	d.booked(j)
	return nil
}

// talk assesses, and asks what is worth asking as long as the caller has
// patience and an answer would still help.
func (d *demo) talk(req *triagev1.AssessRequest, c scriptCall) (*triagev1.AssessResponse, error) {
	got, err := d.d.triage.Assess(d.ctx, req)
	if err != nil {
		return nil, err
	}
	for range d.script.Patience {
		q := got.GetNextQuestion()
		unsure := got.GetDisposition() == triagev1.Disposition_DISPOSITION_CANNOT_TELL
		if q == nil || !unsure && q.GetNetSaving().AsDuration().Seconds() < d.script.LeastSaving {
			break
		}
		if unsure {
			d.p.Field("So far", "cannot tell yet; ask first")
		} else {
			d.p.Field("So far", screen.Glance(got))
		}
		d.p.Field("Ask", q.GetText()+" (worth "+screen.Saving(q)+")")
		reply, knows := c.Knows[q.GetCode()]
		if !knows {
			d.p.Field("Caller", "“I can't say.”")
			reply.Answer = noAnswer(q)
		} else {
			d.p.Field("Caller", "“"+reply.Words+"”")
		}
		if reply.Answer == "" {
			break
		}
		req.Answers = append(req.Answers, &triagev1.GivenAnswer{Question: q.GetCode(), Answer: reply.Answer})
		if got, err = d.d.triage.Assess(d.ctx, req); err != nil {
			return nil, err
		}
	}
	return got, nil
}

// noAnswer is the code of the answer that tells nothing, "" when there is none.
func noAnswer(q *triagev1.Question) string {
	for _, a := range q.GetAnswers() {
		if a.GetCode() == "unknown" {
			return a.GetCode()
		}
	}
	return ""
}

// show sets the screen once nothing more is asked.
func (d *demo) show(got *triagev1.AssessResponse) {
	if d.depth == screen.Normal || got.GetDisposition() != triagev1.Disposition_DISPOSITION_ASSESSED {
		screen.Assessment(d.p, got, d.depth)
		return
	}
	screen.Hazards(d.p, got.GetHazards())
	screen.Summary(d.p, got)
}

func (d *demo) book(i int, c scriptCall, req *triagev1.AssessRequest) (*dispatchv1.Job, error) {
	at, err := place(c.Place)
	if err != nil {
		return nil, err
	}
	arrive, err := window(c.Window, *d.clock.Load())
	if err != nil {
		return nil, err
	}
	in := &dispatchv1.Job{
		Appliance: req.GetAppliance(), Place: &dispatchv1.Place{Location: at, Label: c.Where},
		CustomerWords: req.GetText(), Answers: req.GetAnswers(), Window: arrive,
	}
	if c.Urgent {
		in.Priority = dispatchv1.Priority_PRIORITY_URGENT
	}
	return d.d.dispatch.CreateJob(d.ctx, &dispatchv1.CreateJobRequest{
		Parent: demoRegion, Job: in, JobId: fmt.Sprintf("job-%d", i+1), RequestId: fmt.Sprintf("demo-%d", i+1),
	})
}

// booked sets what became of the call. Its dangers stand above already.
func (d *demo) booked(j *dispatchv1.Job) {
	now := *d.clock.Load()
	if j.GetAction() == dispatchv1.Action_ACTION_ASSIGN && j.GetQuote() != nil {
		d.p.Field("Price", screen.PriceShort(j.GetQuote()))
	}
	if d.depth == screen.Brief {
		screen.Decision(d.p, j, now)
	} else {
		screen.Outcome(d.p, j, now)
	}
	if j.GetAction() == dispatchv1.Action_ACTION_PHONE_FIX {
		d.p.Good("Say", j.GetPhoneAdvice())
	}
	if d.depth == screen.Normal && j.GetAction() == dispatchv1.Action_ACTION_ASSIGN {
		screen.Candidates(d.p, j, now)
	}
}

// technician shows the parts list of the first visit of the day that has a part
// reserved.
func (d *demo) technician() error {
	i := slices.IndexFunc(d.jobs, func(j *dispatchv1.Job) bool { return len(j.GetAssignment().GetParts()) > 0 })
	if i < 0 {
		return nil
	}
	j := d.jobs[i]
	l, err := d.d.dispatch.GetPartsList(d.ctx, &dispatchv1.GetPartsListRequest{Name: j.GetName() + "/partsList"})
	if err != nil {
		return err
	}
	d.p.Title(fmt.Sprintf("What %s reads at %s", screen.ID(j.GetAssignment().GetTechnician()), j.GetPlace().GetLabel()))
	most := briefChecks
	if d.depth == screen.Normal {
		most = 0
	}
	screen.PartsList(d.p, l, most)
	return nil
}

// briefChecks is how many checks the short demo sets.
const briefChecks = 2

// board shows the dispatcher's picture of the day.
func (d *demo) board() error {
	fleet, err := wholeFleet(d.ctx, d.d, demoRegion)
	if err != nil {
		return err
	}
	jobs, err := allJobs(d.ctx, d.d, &dispatchv1.ListJobsRequest{Parent: demoRegion})
	if err != nil {
		return err
	}
	now := *d.clock.Load()
	d.p.Title("The dispatcher's board at " + now.Format("15:04"))
	screen.Board(d.p, fleet.technicians.GetTechnicians(), jobs, now)
	return nil
}

// appliance names the machine of a call.
func appliance(c scriptCall) string {
	out := screen.Words(c.Family)
	if c.Variant != "" {
		out += " (" + screen.Words(c.Variant) + ")"
	}
	if c.Age != nil {
		out += fmt.Sprintf(", %g years", *c.Age)
	}
	return strings.TrimSpace(out)
}
