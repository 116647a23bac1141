package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/type/latlng"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	"onevisit/services/host"
)

// Sixty-four callers book through the real program, which is killed without a
// word while they do, and started again. Whatever was acknowledged is there; no
// part went twice; nobody is in two places at once.
func TestServe_killedWhileManyBook(t *testing.T) {
	for name, store := range map[string]func(t *testing.T) string{
		"file":  func(t *testing.T) string { return "file:" + filepath.Join(t.TempDir(), "jobs.db") },
		"redis": func(t *testing.T) string { return "redis://" + realRedis(t) + "/0" },
	} {
		t.Run(name, func(t *testing.T) { killedWhileManyBook(t, store(t)) })
	}
}

const (
	killRegion  = "regions/town"
	killVans    = 8
	killParts   = 4 // on each van
	killCallers = 64
)

func killedWhileManyBook(t *testing.T, store string) {
	child, address := startChild(t, store)
	client := dispatchAt(t, address)
	for i := range killVans {
		_, err := client.CreateTechnician(context.Background(), &dispatchv1.CreateTechnicianRequest{
			Parent: killRegion, TechnicianId: fmt.Sprintf("T%d", i), Technician: &dispatchv1.Technician{
				Skills: []*dispatchv1.Skill{{Code: "electrical"}}, Position: &latlng.LatLng{Longitude: 0.01 * float64(i)},
				Shifts: []*dispatchv1.TimeWindow{{StartTime: timestamppb.New(time.Now().Add(-time.Hour)), EndTime: timestamppb.New(time.Now().Add(100 * time.Hour))}},
				Stock:  []*dispatchv1.StockLine{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: killParts}},
			},
		})
		if err != nil {
			t.Fatal(err)
		}
	}

	var mu sync.Mutex
	acknowledged := map[string]string{} // request id to job
	half := make(chan struct{})
	var callers sync.WaitGroup
	for i := range killCallers {
		callers.Go(func() {
			id := fmt.Sprintf("request-%d", i)
			ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
			defer cancel()
			j, err := client.CreateJob(ctx, killJob(id))
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				return // cut off: it may have happened or not, never half
			}
			acknowledged[id] = j.GetName()
			if len(acknowledged) == killCallers/4 {
				close(half)
			}
		})
	}
	select {
	case <-half:
	case <-time.After(60 * time.Second):
		t.Fatal("too few bookings were acknowledged")
	}
	if err := child.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = child.Wait() // killed: its exit status says only that
	callers.Wait()

	_, address = startChild(t, store)
	client = dispatchAt(t, address)
	for id, name := range acknowledged {
		j, err := client.GetJob(context.Background(), &dispatchv1.GetJobRequest{Name: name})
		if err != nil {
			t.Fatalf("acknowledged %s is gone: %v", name, err)
		}
		if again, err := client.CreateJob(context.Background(), killJob(id)); err != nil || again.GetName() != j.GetName() {
			t.Fatalf("%s sent again is %v (%v), want %s", id, again.GetName(), err, j.GetName())
		}
	}
	t.Logf("%d bookings acknowledged before the kill", len(acknowledged))
	// Those that were cut off try again; then all parts are promised once each.
	for i := range killCallers {
		if _, err := client.CreateJob(context.Background(), killJob(fmt.Sprintf("request-%d", i))); err != nil {
			t.Fatal(err)
		}
	}
	invariants(t, client)
}

func killJob(request string) *dispatchv1.CreateJobRequest {
	return &dispatchv1.CreateJobRequest{Parent: killRegion, RequestId: request, Job: &dispatchv1.Job{
		Appliance: &commonv1.Appliance{Family: "tumble_dryer"},
		Place:     &dispatchv1.Place{Location: &latlng.LatLng{Longitude: 0.03}},
		Requirement: &dispatchv1.Requirement{
			Parts:  []*commonv1.PartNeed{{PartKind: "run_capacitor", Mark: "8 µF 425 V"}},
			Skills: []string{"electrical"}, Duration: durationpb.New(30 * time.Minute),
		},
	}}
}

// invariants hold whatever died when.
func invariants(t *testing.T, client dispatchv1.DispatchServiceClient) {
	t.Helper()
	jobs, err := client.ListJobs(context.Background(), &dispatchv1.ListJobsRequest{Parent: killRegion, PageSize: 1000})
	if err != nil {
		t.Fatal(err)
	}
	if len(jobs.GetJobs()) != killCallers {
		t.Errorf("%d jobs, want one for each of %d callers", len(jobs.GetJobs()), killCallers)
	}
	assigned := map[string]int{}
	for _, j := range jobs.GetJobs() {
		if a := j.GetAssignment(); a != nil {
			assigned[a.GetTechnician()]++
		}
	}
	vans, err := client.ListTechnicians(context.Background(), &dispatchv1.ListTechniciansRequest{Parent: killRegion, PageSize: 1000})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range vans.GetTechnicians() {
		promised := int(v.GetStock()[0].GetReservedQuantity())
		if promised != killParts || assigned[v.GetName()] != killParts || len(v.GetVisits()) != killParts {
			t.Errorf("%s: %d parts promised, %d jobs, %d visits; want %d of each", v.GetName(), promised, assigned[v.GetName()], len(v.GetVisits()), killParts)
		}
		for i := 1; i < len(v.GetVisits()); i++ {
			if v.GetVisits()[i].GetArriveTime().AsTime().Before(v.GetVisits()[i-1].GetFinishTime().AsTime()) {
				t.Errorf("%s is in two places at once: %v", v.GetName(), v.GetVisits())
			}
		}
	}
}

// startChild runs the program as a server on a free port.
func startChild(t *testing.T, store string) (*exec.Cmd, string) {
	t.Helper()
	child := exec.Command(os.Args[0], "serve", "--listen", "127.0.0.1:0", "--store", store)
	log := &lockedBuffer{}
	child.Stderr = log
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = child.Process.Kill() // it may have ended already
		_ = child.Wait()
	})
	for until := time.Now().Add(60 * time.Second); time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		if address := readyAddress(log.text()); address != "" {
			return child, address
		}
	}
	t.Fatalf("never ready:\n%s", log.text())
	return nil, ""
}

func dispatchAt(t *testing.T, address string) dispatchv1.DispatchServiceClient {
	t.Helper()
	conn, err := host.Dial(address, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return dispatchv1.NewDispatchServiceClient(conn)
}

// realRedis starts a Redis of the test's own that keeps every write before it
// acknowledges it, and returns its address.
func realRedis(t *testing.T) string {
	t.Helper()
	if _, err := exec.LookPath("redis-server"); err != nil {
		t.Fatalf("redis-server is not installed; the tests want a real one: apt-get install redis-server (%v)", err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := l.Addr().String()
	_, port, _ := net.SplitHostPort(address)
	l.Close()
	server := exec.Command("redis-server", "--port", port, "--bind", "127.0.0.1", "--dir", t.TempDir(),
		"--save", "", "--appendonly", "yes", "--appendfsync", "always", "--loglevel", "warning")
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = server.Process.Kill()
		_ = server.Wait()
	})
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		if c, err := net.Dial("tcp", address); err == nil {
			c.Close()
			return address
		}
	}
	t.Fatal("redis-server does not answer")
	return ""
}
