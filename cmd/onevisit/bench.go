package main

import (
	"context"
	"fmt"
	"net"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	"onevisit/cmd/internal/house"
	"onevisit/cmd/internal/page"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/host"
)

type benchCmd struct {
	Calls int  `default:"2000" help:"How many calls of each kind are timed; a tenth as many bookings."`
	JSON  bool `name:"json" help:"Print the figures as JSON."`
}

// Help is shown below the flags.
func (benchCmd) Help() string {
	return `All figures are of one run on this machine; compare the ratios, not the times, between machines. The empty call
is the standard health check over the same connection.

Example:
  onevisit bench --calls 5000 --json`
}

// benchFigures are what bench measures. Times are in microseconds.
type benchFigures struct {
	Calls             int     `json:"calls"`
	EmptyMemoryMicros float64 `json:"empty_memory_us"`  // median, an empty call in memory
	AssessMemory      float64 `json:"assess_memory_us"` // median, assess in memory
	EmptyTCP          float64 `json:"empty_tcp_us"`     // median, an empty call over TCP loopback
	AssessTCP         float64 `json:"assess_tcp_us"`    // median, assess over TCP loopback
	AssessTCP99       float64 `json:"assess_tcp_p99_us"`
	AssessOverEmpty   float64 `json:"assess_tcp_over_empty_tcp"` // ratio of medians
	FitsPerSecond     float64 `json:"fits_per_second"`           // in batches of fitBatch
	BookingsAlone     float64 `json:"bookings_per_second_one_caller"`
	BookingsTogether  float64 `json:"bookings_per_second_eight_callers"`
	StartMillis       float64 `json:"serve_start_ms"`     // median of starts, exec to ready
	ResidentMiB       float64 `json:"serve_resident_mib"` // right after ready; 0 where it cannot be read
	StartsMeasured    int     `json:"serve_starts"`
}

// Run measures.
func (c *benchCmd) Run(a *app) error {
	if c.Calls < 20 {
		return usage("--calls must be at least 20")
	}
	f := benchFigures{Calls: c.Calls}
	roles, err := house.Roles(house.All)
	if err != nil {
		return err
	}
	h, err := house.Open(a.ctx, house.Config{Roles: roles, Store: house.Temporary, Now: a.now, Log: zap.NewNop()})
	if err != nil {
		return err
	}
	err = c.measure(a.ctx, h, &f)
	if closing := h.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return err
	}
	if err := a.startUp(&f); err != nil {
		return err
	}
	if c.JSON {
		return a.object(f)
	}
	p := a.page()
	f.set(p)
	return p.Err()
}

func (c *benchCmd) measure(ctx context.Context, h *house.House, f *benchFigures) error {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	h.Serve(listener)
	conn, err := host.Dial(listener.Addr().String(), nil)
	if err != nil {
		return err
	}
	defer conn.Close() // nothing is under way any more
	if err := c.assess(ctx, h, conn, f); err != nil {
		return err
	}
	if err := fits(ctx, h, f); err != nil {
		return err
	}
	return c.bookings(ctx, h, f)
}

// benchWords is the call that is timed: two findings, one denied.
const benchWords = "it hums but the drum won't turn, and it turns easily by hand. no burning smell"

func benchAppliance() *commonv1.Appliance {
	return &commonv1.Appliance{Family: "tumble_dryer", Variant: "vented"}
}

// assess times four kinds of call, taking turns so that a slow moment of the
// machine hits all of them.
func (c *benchCmd) assess(ctx context.Context, h *house.House, conn *grpc.ClientConn, f *benchFigures) error {
	far := triagev1.NewTriageServiceClient(conn)
	req := &triagev1.AssessRequest{Appliance: benchAppliance(), Text: benchWords}
	assess := func(t triagev1.TriageServiceClient) func() error {
		return func() error { _, err := t.Assess(ctx, req); return err }
	}
	near := healthpb.NewHealthClient(h.Conn())
	empty := func(c healthpb.HealthClient) func() error {
		return func() error { _, err := c.Check(ctx, &healthpb.HealthCheckRequest{}); return err }
	}
	kinds := []func() error{empty(near), assess(h.Triage), empty(healthpb.NewHealthClient(conn)), assess(far)}
	times := make([][]time.Duration, len(kinds))
	for i := range c.Calls + c.Calls/10 {
		for k, call := range kinds {
			begin := time.Now()
			if err := call(); err != nil {
				return err
			}
			if i >= c.Calls/10 { // the first tenth warms up
				times[k] = append(times[k], time.Since(begin))
			}
		}
	}
	for _, t := range times {
		slices.Sort(t)
	}
	micros := func(t []time.Duration, q float64) float64 {
		return float64(t[int(q*float64(len(t)-1))].Nanoseconds()) / 1e3
	}
	f.EmptyMemoryMicros, f.AssessMemory = micros(times[0], 0.5), micros(times[1], 0.5)
	f.EmptyTCP, f.AssessTCP, f.AssessTCP99 = micros(times[2], 0.5), micros(times[3], 0.5), micros(times[3], 0.99)
	f.AssessOverEmpty = f.AssessTCP / f.EmptyTCP
	return nil
}

const (
	fitBatch   = 5000
	fitBatches = 8
)

// fits times batches of part checks, half capacitors, half belts.
func fits(ctx context.Context, h *house.House, f *benchFigures) error {
	req := &partsv1.BatchCheckFitsRequest{}
	for i := range fitBatch {
		one := &partsv1.CheckFitRequest{PartKind: "run_capacitor", Original: "8 µF 425 V", Candidate: fmt.Sprintf("%d µF 450 V", 6+i%5)}
		if i%2 == 1 {
			one = &partsv1.CheckFitRequest{PartKind: "drive_belt", Original: "1930H7", Candidate: fmt.Sprintf("%dH7", 1900+i%60)}
		}
		req.Pairs = append(req.Pairs, one)
	}
	if _, err := h.Parts.BatchCheckFits(ctx, req); err != nil { // warms up
		return err
	}
	begin := time.Now()
	for range fitBatches {
		if _, err := h.Parts.BatchCheckFits(ctx, req); err != nil {
			return err
		}
	}
	f.FitsPerSecond = fitBatch * fitBatches / time.Since(begin).Seconds()
	return nil
}

const (
	jobsPerRegion = 5 // a day of four technicians takes so many
	together      = 8
)

// bookings times whole bookings, from words to a durable job, with one caller
// and with several at once.
func (c *benchCmd) bookings(ctx context.Context, h *house.House, f *benchFigures) error {
	regions := max(c.Calls/50, 2)
	fleet, err := readFleet(demoFleet)
	if err != nil {
		return err
	}
	d := &desk{dispatch: h.Dispatch, now: func() time.Time { return time.Now().UTC() }}
	region := func(set string, i int) string { return fmt.Sprintf("regions/bench-%s-%d", set, i) }
	rate := func(set string, callers int) (float64, error) {
		for i := range regions {
			if _, err := fleet.load(ctx, d, region(set, i)); err != nil {
				return 0, err
			}
		}
		var next atomic.Int64
		errs := make([]error, callers)
		var wait sync.WaitGroup
		begin := time.Now()
		for w := range callers {
			wait.Go(func() {
				for {
					i := int(next.Add(1)) - 1
					if i >= regions*jobsPerRegion || errs[w] != nil {
						return
					}
					errs[w] = bookOne(ctx, h.Dispatch, region(set, i%regions), i)
				}
			})
		}
		wait.Wait()
		took := time.Since(begin)
		for _, err := range errs {
			if err != nil {
				return 0, err
			}
		}
		return float64(regions*jobsPerRegion) / took.Seconds(), nil
	}
	if f.BookingsAlone, err = rate("one", 1); err != nil {
		return err
	}
	f.BookingsTogether, err = rate("eight", together)
	return err
}

func bookOne(ctx context.Context, dispatch dispatchv1.DispatchServiceClient, region string, i int) error {
	at, err := place("0.02,0.02")
	if err != nil {
		return err
	}
	_, err = dispatch.CreateJob(ctx, &dispatchv1.CreateJobRequest{
		Parent: region, RequestId: fmt.Sprintf("bench-%d", i),
		Job: &dispatchv1.Job{Appliance: benchAppliance(), Place: &dispatchv1.Place{Location: at}, CustomerWords: benchWords},
	})
	return err
}

// set sets the figures for people.
func (f *benchFigures) set(p *page.Page) {
	times := func(us float64) string { return fmt.Sprintf("%.0f µs", us) }
	ratio := func(us float64) string { return fmt.Sprintf("%.1f", us/f.EmptyTCP) }
	p.Table(0, []string{">median", ">÷ empty over TCP", "call"}, [][]string{
		{times(f.EmptyMemoryMicros), ratio(f.EmptyMemoryMicros), "empty, in memory"},
		{times(f.AssessMemory), ratio(f.AssessMemory), "assess, in memory"},
		{times(f.EmptyTCP), ratio(f.EmptyTCP), "empty, over TCP loopback"},
		{times(f.AssessTCP), ratio(f.AssessTCP), fmt.Sprintf("assess, over TCP loopback (99 in 100 under %s)", times(f.AssessTCP99))},
	})
	p.Blank()
	p.Table(0, []string{">a second", "what"}, [][]string{
		{fmt.Sprintf("%.0f", f.FitsPerSecond), fmt.Sprintf("part checks, in batches of %d", fitBatch)},
		{fmt.Sprintf("%.0f", f.BookingsAlone), "bookings into the embedded store, one caller"},
		{fmt.Sprintf("%.0f", f.BookingsTogether), fmt.Sprintf("bookings into the embedded store, %d callers", together)},
	})
	p.Blank()
	p.Para(0, fmt.Sprintf("serve is ready %.0f ms after it is started and then holds %.0f MiB (resident).", f.StartMillis, f.ResidentMiB))
}
