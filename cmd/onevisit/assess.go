package main

import (
	"context"
	"fmt"

	"onevisit/cmd/internal/page"
	"onevisit/cmd/onevisit/internal/screen"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

type assessCmd struct {
	client
	caller
}

// Help is shown below the flags.
func (assessCmd) Help() string {
	return `Examples:
  onevisit assess "it hums but won't turn" --family tumble_dryer
  onevisit assess --family tumble_dryer --variant heat_pump --age 6 "it stops after ten minutes" --answer filter_clean=dirty
  echo "there is water on the floor" | onevisit assess - --family washing_machine --json`
}

// Run assesses a call.
func (c *assessCmd) Run(a *app) error {
	return c.ask(a, func(ctx context.Context, d *desk) error {
		req, err := c.request(ctx, a, d)
		if err != nil {
			return err
		}
		got, err := d.triage.Assess(ctx, req)
		if err != nil {
			return err
		}
		return a.message(c.JSON, got, func(p *page.Page) { screen.Assessment(p, got, screen.Normal) })
	})
}

type quoteCmd struct {
	client
	caller
}

// Help is shown below the flags.
func (quoteCmd) Help() string {
	return `Examples:
  onevisit quote "no heat any more" --family tumble_dryer --variant vented
  onevisit quote "it hums but won't turn" --family tumble_dryer --rating run_capacitor="8 µF 450 V" --json`
}

// Run prices what a call is likely about.
func (c *quoteCmd) Run(a *app) error {
	return c.ask(a, func(ctx context.Context, d *desk) error {
		req, err := c.request(ctx, a, d)
		if err != nil {
			return err
		}
		assessment, err := d.triage.Assess(ctx, req)
		if err != nil {
			return err
		}
		if assessment.GetDisposition() != triagev1.Disposition_DISPOSITION_ASSESSED || len(assessment.GetOutcomes()) == 0 {
			if !c.JSON {
				p := a.page()
				screen.Assessment(p, assessment, screen.Brief)
			}
			fmt.Fprintln(a.stderr, "onevisit: "+unpriced(assessment))
			return errFound
		}
		got, err := d.parts.QuoteRepair(ctx, &partsv1.QuoteRepairRequest{Family: c.Family, Outcomes: assessment.GetOutcomes()})
		if err != nil {
			return err
		}
		return a.message(c.JSON, got, func(p *page.Page) {
			screen.Hazards(p, assessment.GetHazards())
			screen.Quote(p, got)
		})
	})
}

// unpriced says why there is no price.
func unpriced(a *triagev1.AssessResponse) string {
	if a.GetDisposition() == triagev1.Disposition_DISPOSITION_STOPPED {
		return "no price: a danger was reported that comes first"
	}
	return "no price: too little is known of what may be wrong"
}
