package main

import (
	"context"
	"fmt"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"onevisit/cmd/internal/page"
	"onevisit/cmd/onevisit/internal/screen"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
)

// jobCmd reads and moves jobs.
type jobCmd struct {
	List     jobListCmd     `cmd:"" help:"List jobs."`
	Show     jobShowCmd     `cmd:"" help:"Show one job."`
	Parts    jobPartsCmd    `cmd:"" help:"Show the technician's parts list: parts, tools, checks, cautions."`
	Start    jobStartCmd    `cmd:"" help:"Tell that the technician has begun."`
	Complete jobCompleteCmd `cmd:"" help:"Close a job: what was wrong, what was fitted."`
	Cancel   jobCancelCmd   `cmd:"" help:"Cancel a job and release its parts."`
	Reassign jobReassignCmd `cmd:"" help:"Look again for somebody for a waiting job."`
}

// oneJob names a job.
type oneJob struct {
	client
	region
	ID string `arg:"" name:"job" help:"Id of the job."`
}

func (c *oneJob) job() string { return c.name("jobs", c.ID) }

// standing makes sure that there is something to read or move: services that
// start with this command and end with it know no job.
func (c *client) standing(a *app) error {
	if c.Server == "" && a.getenv(serverVariable) == "" && c.Store == "" {
		return usage("where are they kept? give --server ADDRESS, or --store file:PATH or redis://HOST:PORT/DB")
	}
	return nil
}

// change asks for one job and shows it.
func (c *oneJob) change(a *app, call func(context.Context, *desk) (*dispatchv1.Job, error)) error {
	if err := c.standing(a); err != nil {
		return err
	}
	return c.ask(a, func(ctx context.Context, d *desk) error {
		j, err := call(ctx, d)
		if err != nil {
			return c.missing(err)
		}
		return a.message(c.JSON, j, func(p *page.Page) { screen.Job(p, j, d.now(), screen.Normal) })
	})
}

// missing says which job is not there, when that is what went wrong.
func (c *oneJob) missing(err error) error {
	if status.Code(err) == codes.NotFound {
		return fmt.Errorf("region %s has no job %s", c.Region, c.ID)
	}
	return err
}

type jobListCmd struct {
	client
	region
	State      []string `enum:"waiting,assigned,under-way,done,cancelled" help:"Only jobs in these states: ${enum}."`
	Technician string   `placeholder:"ID" help:"Only jobs of this technician."`
}

// Help is shown below the flags.
func (jobListCmd) Help() string {
	return "Examples:\n  onevisit job list --state waiting --server 127.0.0.1:7480\n  onevisit job list --technician T1 --store file:onevisit.db --json"
}

var stateOf = map[string]dispatchv1.JobState{
	"waiting": dispatchv1.JobState_JOB_STATE_WAITING, "assigned": dispatchv1.JobState_JOB_STATE_ASSIGNED,
	"under-way": dispatchv1.JobState_JOB_STATE_UNDER_WAY, "done": dispatchv1.JobState_JOB_STATE_DONE,
	"cancelled": dispatchv1.JobState_JOB_STATE_CANCELLED,
}

// Run lists jobs.
func (c *jobListCmd) Run(a *app) error {
	if err := c.standing(a); err != nil {
		return err
	}
	return c.ask(a, func(ctx context.Context, d *desk) error {
		req := &dispatchv1.ListJobsRequest{Parent: c.parent(), PageSize: 1000}
		seen := map[string]bool{}
		for _, s := range c.State {
			if !seen[s] {
				req.States = append(req.States, stateOf[s])
			}
			seen[s] = true
		}
		if c.Technician != "" {
			req.Technician = c.name("technicians", c.Technician)
		}
		jobs, err := allJobs(ctx, d, req)
		if err != nil {
			return err
		}
		return a.message(c.JSON, &dispatchv1.ListJobsResponse{Jobs: jobs}, func(p *page.Page) { screen.Jobs(p, jobs, d.now()) })
	})
}

// allJobs turns the pages.
func allJobs(ctx context.Context, d *desk, req *dispatchv1.ListJobsRequest) ([]*dispatchv1.Job, error) {
	req = proto.CloneOf(req)
	var out []*dispatchv1.Job
	for {
		got, err := d.dispatch.ListJobs(ctx, req)
		if err != nil {
			return nil, err
		}
		out = append(out, got.GetJobs()...)
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			return out, nil
		}
	}
}

type jobShowCmd struct{ oneJob }

// Run shows a job.
func (c *jobShowCmd) Run(a *app) error {
	return c.change(a, func(ctx context.Context, d *desk) (*dispatchv1.Job, error) {
		return d.dispatch.GetJob(ctx, &dispatchv1.GetJobRequest{Name: c.job()})
	})
}

type jobPartsCmd struct{ oneJob }

// Run shows the parts list of a job.
func (c *jobPartsCmd) Run(a *app) error {
	if err := c.standing(a); err != nil {
		return err
	}
	return c.ask(a, func(ctx context.Context, d *desk) error {
		l, err := d.dispatch.GetPartsList(ctx, &dispatchv1.GetPartsListRequest{Name: c.job() + "/partsList"})
		if err != nil {
			return c.missing(err)
		}
		return a.message(c.JSON, l, func(p *page.Page) { screen.PartsList(p, l, 0) })
	})
}

type jobStartCmd struct{ oneJob }

// Run begins a job.
func (c *jobStartCmd) Run(a *app) error {
	return c.change(a, func(ctx context.Context, d *desk) (*dispatchv1.Job, error) {
		return d.dispatch.StartJob(ctx, &dispatchv1.StartJobRequest{Name: c.job()})
	})
}

type jobCompleteCmd struct {
	oneJob
	Fault    string   `placeholder:"CODE" help:"Code of what was wrong; left out when the knowledge has none for it."`
	Used     []string `sep:"none" placeholder:"PART=MARK" help:"A part that was fitted, PART alone when it has no mark; may be repeated."`
	NotFixed bool     `help:"The appliance does not work yet."`
}

// Help is shown below the flags.
func (jobCompleteCmd) Help() string {
	return "Example:\n  onevisit job complete j17 --fault run_capacitor_failed --used run_capacitor='8 µF 450 V' --server 127.0.0.1:7480"
}

// Run closes a job.
func (c *jobCompleteCmd) Run(a *app) error {
	outcome := &dispatchv1.Outcome{Fault: c.Fault, Fixed: !c.NotFixed}
	for _, u := range c.Used {
		kind, mark, _ := strings.Cut(u, "=")
		i := 0
		for i < len(outcome.GetPartsUsed()) && (outcome.GetPartsUsed()[i].GetPartKind() != kind || outcome.GetPartsUsed()[i].GetMark() != mark) {
			i++
		}
		if i < len(outcome.GetPartsUsed()) { // named twice: two of them
			*outcome.GetPartsUsed()[i].Quantity++
			continue
		}
		one := int32(1)
		outcome.PartsUsed = append(outcome.PartsUsed, &commonv1.PartNeed{PartKind: kind, Mark: mark, Quantity: &one})
	}
	return c.change(a, func(ctx context.Context, d *desk) (*dispatchv1.Job, error) {
		return d.dispatch.CompleteJob(ctx, &dispatchv1.CompleteJobRequest{Name: c.job(), Outcome: outcome})
	})
}

// changed is the version of a job a change starts from.
type changed struct {
	Etag string `placeholder:"ETAG" help:"Etag of the job as it was read; refused when it has changed since."`
}

type jobCancelCmd struct {
	oneJob
	changed
}

// Run cancels a job.
func (c *jobCancelCmd) Run(a *app) error {
	return c.change(a, func(ctx context.Context, d *desk) (*dispatchv1.Job, error) {
		return d.dispatch.CancelJob(ctx, &dispatchv1.CancelJobRequest{Name: c.job(), Etag: c.Etag})
	})
}

type jobReassignCmd struct {
	oneJob
	changed
}

// Run looks again for somebody.
func (c *jobReassignCmd) Run(a *app) error {
	return c.change(a, func(ctx context.Context, d *desk) (*dispatchv1.Job, error) {
		return d.dispatch.ReassignJob(ctx, &dispatchv1.ReassignJobRequest{Name: c.job(), Etag: c.Etag})
	})
}

// Help is shown below the flags.
func (oneJob) Help() string {
	return fmt.Sprintf("The services are found at --server, in $%s, or started over --store.\n\nExample:\n  onevisit job show j17 --server 127.0.0.1:7480", serverVariable)
}
