package main

import (
	"context"
	"fmt"

	"onevisit/cmd/internal/page"
	"onevisit/cmd/onevisit/internal/screen"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	"onevisit/services/host"
)

// region is where jobs, technicians and stock belong together.
type region struct {
	Region string `default:"home" help:"Region whose technicians and jobs are meant."`
}

func (r region) parent() string { return "regions/" + r.Region }

func (r region) name(kind, id string) string { return r.parent() + "/" + kind + "/" + id }

type bookCmd struct {
	client
	caller
	region
	At        string `placeholder:"LAT,LNG" required:"" help:"Where the appliance stands, in degrees."`
	Label     string `placeholder:"TEXT" help:"What the place is called, such as the blue house."`
	Window    string `placeholder:"TIMES" help:"When the technician must arrive: '09:00-12:00 tomorrow', or START/END in RFC 3339 form. Any time when left out."`
	Urgent    bool   `help:"Before normal jobs."`
	RequestID string `name:"request-id" placeholder:"ID" help:"The same id is one job, however often it is sent; made up when left out."`
	Fleet     string `placeholder:"demo|FILE" help:"First add the technicians and warehouses of this file that are not there yet; demo is an invented town."`
	Preview   bool   `help:"Say what would be booked, and book nothing."`
}

// Help is shown below the flags.
func (bookCmd) Help() string {
	return `The demo fleet works in an invented town around 0.02,0.02; without --store or --server what is booked is
forgotten when the command ends.

Examples:
  onevisit book "it hums but won't turn" --family tumble_dryer --at 0.031,0.012 --label "the blue house" --fleet demo --preview
  onevisit book "no heat" --family tumble_dryer --at 0.031,0.012 --window "09:00-12:00 tomorrow" --store file:onevisit.db --fleet fleet.yaml
  onevisit book "it leaks" --family washing_machine --at 0.02,0.02 --urgent --request-id call-17 --server 127.0.0.1:7480 --json`
}

// Run books a job or says what booking would do.
func (c *bookCmd) Run(a *app) error {
	return c.ask(a, func(ctx context.Context, d *desk) error {
		req, err := c.request(ctx, a, d)
		if err != nil {
			return err
		}
		at, err := place(c.At)
		if err != nil {
			return fmt.Errorf("%w (--at)", err)
		}
		arrive, err := window(c.Window, d.now())
		if err != nil {
			return err
		}
		if err := c.people(ctx, d); err != nil {
			return err
		}
		in := &dispatchv1.Job{
			Appliance: req.GetAppliance(), Place: &dispatchv1.Place{Location: at, Label: c.Label},
			CustomerWords: req.GetText(), LanguageCode: req.GetLanguageCode(), Answers: req.GetAnswers(), Window: arrive,
		}
		if c.Urgent {
			in.Priority = dispatchv1.Priority_PRIORITY_URGENT
		}
		j, err := c.book(ctx, d, in)
		if err != nil {
			return err
		}
		c.deserted(a, j)
		return a.message(c.JSON, j, func(p *page.Page) {
			if c.Preview {
				p.Strong(0, "Nothing was booked. This is what would happen now:")
			}
			screen.Job(p, j, d.now(), screen.Normal)
		})
	})
}

func (c *bookCmd) book(ctx context.Context, d *desk, in *dispatchv1.Job) (*dispatchv1.Job, error) {
	if c.Preview {
		return d.dispatch.PreviewJob(ctx, &dispatchv1.PreviewJobRequest{Parent: c.parent(), Job: in})
	}
	if c.RequestID == "" {
		c.RequestID = host.NewRequestID()
	}
	return d.dispatch.CreateJob(ctx, &dispatchv1.CreateJobRequest{Parent: c.parent(), Job: in, RequestId: c.RequestID})
}

// people adds the fleet that was asked for.
func (c *bookCmd) people(ctx context.Context, d *desk) error {
	if c.Fleet == "" {
		return nil
	}
	f, err := readFleet(c.Fleet)
	if err != nil {
		return err
	}
	_, err = f.load(ctx, d, c.parent())
	return err
}

// deserted warns when there is nobody who could have been sent.
func (c *bookCmd) deserted(a *app, j *dispatchv1.Job) {
	if len(j.GetCandidates()) == 0 && j.GetAssignment() == nil && len(j.GetHazards()) == 0 && j.GetAction() != dispatchv1.Action_ACTION_PHONE_FIX {
		fmt.Fprintf(a.stderr, "onevisit: region %s has no technicians, so nobody can be sent; --fleet demo or --fleet FILE adds some\n", c.Region)
	}
}
