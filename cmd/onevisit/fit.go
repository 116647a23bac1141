package main

import (
	"context"

	"onevisit/cmd/internal/page"
	"onevisit/cmd/onevisit/internal/screen"
	partsv1 "onevisit/proto/onevisit/parts/v1"
)

type fitCmd struct {
	client
	Kind      string `arg:"" help:"Kind of part, such as run_capacitor or drive_belt."`
	Original  string `arg:"" help:"What is printed on the original."`
	Candidate string `arg:"" help:"What is printed on the one that may replace it."`
	Family    string `group:"what" placeholder:"CODE" help:"Kind of appliance it works in."`
	Volts     int32  `group:"what" help:"Supply at the site in volts."`
	Hertz     int32  `group:"what" help:"Supply frequency in hertz."`
	Tension   string `group:"what" enum:"fixed,sprung,unknown" default:"unknown" help:"How the belt is tensioned: ${enum}."`
}

// Help is shown below the flags.
func (fitCmd) Help() string {
	return `Examples:
  onevisit fit run_capacitor "8 µF 425 V" "8 uF 450 V"
  onevisit fit drive_belt 1930H7 1935H7 --tension sprung --json`
}

var tensions = map[string]partsv1.Tensioning{
	"unknown": partsv1.Tensioning_TENSIONING_UNSPECIFIED,
	"fixed":   partsv1.Tensioning_TENSIONING_FIXED_CENTRES,
	"sprung":  partsv1.Tensioning_TENSIONING_SPRUNG,
}

// Run asks the part rules about one pair.
func (c *fitCmd) Run(a *app) error {
	return c.ask(a, func(ctx context.Context, d *desk) error {
		got, err := d.parts.CheckFit(ctx, &partsv1.CheckFitRequest{
			PartKind: c.Kind, Original: c.Original, Candidate: c.Candidate,
			Context: &partsv1.FitContext{Family: c.Family, SupplyVolts: c.Volts, SupplyHertz: c.Hertz, Tensioning: tensions[c.Tension]},
		})
		if err != nil {
			return err
		}
		return a.message(c.JSON, got, func(p *page.Page) { screen.Fit(p, c.Kind, got) })
	})
}
