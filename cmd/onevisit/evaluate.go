package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"golang.org/x/term"

	"onevisit/cmd/internal/evaluate"
	"onevisit/cmd/internal/house"
	"onevisit/cmd/internal/page"
	"onevisit/dispatch/travel"
	"onevisit/services/host"
)

// evaluateCmd measures the product on files of cases, through the services a
// user calls.
type evaluateCmd struct {
	Calls    evaluateCallsCmd    `cmd:"" help:"Measure triage on a file of calls."`
	Fit      evaluateFitCmd      `cmd:"" help:"Measure the part rules on a file of pairs."`
	Dispatch evaluateDispatchCmd `cmd:"" help:"Measure dispatch on a file of decisions."`
}

// measured is what every measurement takes.
type measured struct {
	client
	File   string `arg:"" help:"The cases, one JSON object a line; - reads standard input."`
	Misses int    `default:"10" help:"How many wrong answers to show with both sides; none with --json."`
}

// Help is shown below the flags.
func (measured) Help() string {
	return `Examples:
  onevisit evaluate calls calls.jsonl --misses 20
  onevisit evaluate fit fit.jsonl --json
  onevisit evaluate dispatch dispatch.jsonl --server 127.0.0.1:7480`
}

// read returns the whole file.
func (c *measured) read(a *app) ([]byte, error) {
	if c.File == "-" {
		return io.ReadAll(a.stdin)
	}
	data, err := os.ReadFile(c.File)
	if err != nil {
		return nil, usage("%v", err)
	}
	return data, nil
}

// measure opens the desk for as long as it takes.
func (c *measured) measure(a *app, more func(*house.Config), use func(ctx context.Context, d *desk) error) error {
	d, err := c.open(a, more)
	if err != nil {
		return err
	}
	err = use(a.ctx, d)
	if closing := d.close(); err == nil {
		err = closing
	}
	return err
}

type evaluateCallsCmd struct{ measured }

// Run measures triage.
func (c *evaluateCallsCmd) Run(a *app) error {
	data, err := c.read(a)
	if err != nil {
		return err
	}
	return c.measure(a, nil, func(ctx context.Context, d *desk) error {
		progress, over := a.progress(bytes.Count(data, []byte("\n")))
		r, err := evaluate.Calls(ctx, bytes.NewReader(data), d.triage, progress)
		over()
		if err != nil {
			return err
		}
		a.unknown("family", r.UnknownFamilies)
		a.unknown("part kind", r.UnknownParts)
		if c.JSON {
			return a.object(r)
		}
		p := a.page()
		row := func(name string, s evaluate.CallScore) []string {
			return []string{
				fmt.Sprint(s.Cases), share(s.FirstAcceptable), share(s.TruthInThree), share(s.HazardRecall), share(s.HazardPrecision),
				fmt.Sprintf("%.2f", s.MedianMs), name,
			}
		}
		rows := [][]string{}
		for _, f := range slices.Sorted(maps.Keys(r.ByFamily)) {
			rows = append(rows, row(f, r.ByFamily[f]))
		}
		p.Table(0, []string{">cases", ">first ok", ">in three", ">recall", ">precision", ">median ms", "family"}, append(rows, row("all", r.CallScore)))
		p.Faint(0, "first ok: the first part kind is acceptable; in three: the true one is among the first three; recall and precision: of hazards")
		for i, m := range r.Misses {
			if i == 0 {
				p.Head(fmt.Sprintf("Wrong in some way: %d", len(r.Misses)))
			}
			if i == c.Misses {
				break
			}
			p.Item(0, m.ID, m.Text)
			p.Para(4, "wanted "+strings.Join(m.Want, ", ")+"; got "+strings.Join(m.Got, ", "))
			if len(m.HazardsMissed) > 0 {
				p.Danger("hazard missed: " + strings.Join(m.HazardsMissed, ", "))
			}
			if len(m.Wrong) > 0 {
				p.Para(4, "hazard not reported but found: "+strings.Join(m.Wrong, ", "))
			}
		}
		return p.Err()
	})
}

type evaluateFitCmd struct{ measured }

// Run measures the part rules.
func (c *evaluateFitCmd) Run(a *app) error {
	data, err := c.read(a)
	if err != nil {
		return err
	}
	return c.measure(a, nil, func(ctx context.Context, d *desk) error {
		r, err := evaluate.Fit(ctx, bytes.NewReader(data), d.parts)
		if err != nil {
			return err
		}
		a.unknown("part kind without rules", r.UnknownParts)
		if c.JSON {
			return a.object(r)
		}
		p := a.page()
		row := func(name string, s evaluate.FitScore) []string {
			return []string{fmt.Sprint(s.Cases), fmt.Sprint(s.Agree), fmt.Sprint(s.FalseAccept), fmt.Sprint(s.FalseReject), fmt.Sprint(s.WronglyUndecided), name}
		}
		rows := [][]string{}
		for _, k := range slices.Sorted(maps.Keys(r.ByFamily)) {
			rows = append(rows, row(k, r.ByFamily[k]))
		}
		all := evaluate.FitScore{Cases: r.Cases, Agree: r.Agree, FalseAccept: r.FalseAccept, FalseReject: r.FalseReject, WronglyUndecided: r.WronglyUndecided}
		p.Table(0, []string{">cases", ">agree", ">false accept", ">false reject", ">wrongly undecided", "part kind"}, append(rows, row("all", all)))
		for i, m := range r.Misses {
			if i == c.Misses {
				break
			}
			p.Item(0, m.ID, fmt.Sprintf("%s: %q by %q: wanted %s, got %s. %s", m.PartKind, m.Original, m.Candidate, m.Want, m.Got, m.Why))
		}
		return p.Err()
	})
}

type evaluateDispatchCmd struct{ measured }

// setClock is a clock that stands where it was last set.
type setClock struct{ now atomic.Pointer[time.Time] }

// Set puts the clock; nothing needs to be moved.
func (c *setClock) Set(t time.Time) time.Duration { c.now.Store(&t); return 0 }

// read returns the time it was set to, that of start before.
func (c *setClock) read() time.Time { return *c.now.Load() }

// shiftClock moves cases to the present, for a service whose clock runs.
type shiftClock struct{ now func() time.Time }

// Set says how far the present is from t.
func (c shiftClock) Set(t time.Time) time.Duration { return c.now().Sub(t) }

// Run measures dispatch.
func (c *evaluateDispatchCmd) Run(a *app) error {
	data, err := c.read(a)
	if err != nil {
		return err
	}
	rules, err := evaluate.TravelRules(bytes.NewReader(data))
	if err != nil {
		return err
	}
	standing := &setClock{}
	standing.Set(a.now())
	var clock evaluate.Clock = shiftClock{a.now}
	prefix := "eval-" + host.NewRequestID() // regions of their own at a server
	local := func(config *house.Config) {
		config.Travel = travel.Model{RoadFactor: 1, MinutesPerKm: rules.MinutesPerKm}
		config.Now, config.Zone = standing.read, time.UTC
		clock, prefix = standing, "eval"
	}
	return c.measure(a, local, func(ctx context.Context, d *desk) error {
		r, err := evaluate.Dispatch(ctx, bytes.NewReader(data), d.dispatch, clock, prefix)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.object(r)
		}
		p := a.page()
		rows := [][]string{}
		for _, f := range slices.Sorted(maps.Keys(r.ByFamily)) {
			rows = append(rows, []string{fmt.Sprint(r.ByFamily[f].Cases), fmt.Sprint(r.ByFamily[f].Agree), f})
		}
		p.Table(0, []string{">cases", ">agree", "family"}, append(rows, []string{fmt.Sprint(r.Cases), fmt.Sprint(r.Agree), "all"}))
		for i, m := range r.Misses {
			if i == c.Misses {
				break
			}
			p.Head(fmt.Sprintf("%s: wanted %s, got %s", m.ID, m.Want, m.Got))
			for _, w := range m.WantBecause {
				p.Item(2, "wanted:", w)
			}
			for _, g := range m.Because {
				p.Item(2, "got:", g)
			}
		}
		return p.Err()
	})
}

func share(x float64) string { return fmt.Sprintf("%.3f", x) }

// unknown names codes of a file that the services do not know.
func (a *app) unknown(what string, codes map[string]int) {
	for _, code := range slices.Sorted(maps.Keys(codes)) {
		fmt.Fprintf(a.stderr, "onevisit: %s not known: %s (%d times)\n", what, page.Clean(code), codes[code])
	}
}

// progress tells on a terminal how far a long measurement is; over wipes it.
func (a *app) progress(all int) (tell func(done int), over func()) {
	f, ok := a.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, func() {}
	}
	return func(done int) {
		if done%100 == 0 {
			fmt.Fprintf(f, "\r%d of %d", done, all)
		}
	}, func() { fmt.Fprint(f, "\r\x1b[K") }
}
