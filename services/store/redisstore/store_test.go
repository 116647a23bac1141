package redisstore

import (
	"context"
	"errors"
	"net"
	"os"
	"strings"
	"testing"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/services/store/storetest"
)

func TestStore_Conformance(t *testing.T) {
	s := startServer(t)
	storetest.Run(t,
		func(t *testing.T) job.Store { return s.open(t, Options{}) },
		func(t *testing.T, old job.Store) job.Store {
			prefix := old.(*Store).prefix
			if err := old.Close(); err != nil {
				t.Fatal(err)
			}
			s.kill()
			s.start()
			return s.open(t, Options{Prefix: prefix})
		})
}

func technician(id string) job.Change {
	return job.Change{Technicians: []job.Write[fleet.Technician]{{Value: fleet.Technician{ID: id, Region: storetest.Region}}}}
}

// TestCommit_Killed kills the server between bookings, with the store open.
func TestCommit_Killed(t *testing.T) {
	ctx := context.Background()
	s := startServer(t)
	st := s.open(t, Options{})
	e := storetest.FullTechnician("T1")
	e.Stock, e.Day, e.Breaks = fleet.Stock{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: 1000}}, nil, nil
	e.Shifts = []fleet.Window{{Start: e.UpdatedAt, End: e.UpdatedAt.Add(10000 * time.Hour)}}
	if _, err := st.Commit(ctx, storetest.Region, job.Change{Technicians: []job.Write[fleet.Technician]{{Value: e}}}); err != nil {
		t.Fatal(err)
	}
	var acknowledged []string
	for round := range 4 {
		stop := time.AfterFunc(time.Duration(30+20*round)*time.Millisecond, func() { _ = s.cmd.Process.Kill() })
		for i := 0; ; i++ {
			j := storetest.PlainJob("J" + strings.Repeat("x", round) + "-" + string(rune('a'+i%26)) + strings.Repeat("y", i/26))
			got, err := storetest.Book(ctx, st, j)
			if err != nil {
				if !errors.Is(err, job.ErrUnavailable) {
					t.Fatalf("while the server dies: %v, want %v", err, job.ErrUnavailable)
				}
				break
			}
			if got.State != job.Assigned {
				t.Fatalf("%v was not assigned", got)
			}
			acknowledged = append(acknowledged, j.ID)
		}
		stop.Stop()
		s.kill()
		s.start()
		for _, id := range acknowledged {
			if j, err := st.Job(ctx, storetest.Region, id); err != nil || j.State != job.Assigned {
				t.Fatalf("acknowledged %s: %v, %v", id, j, err)
			}
		}
		storetest.Check(t, st, storetest.Region)
	}
	if len(acknowledged) == 0 {
		t.Error("nothing was acknowledged, so nothing was shown")
	}
	t.Logf("%d acknowledged bookings over 4 kills, all there", len(acknowledged))
}

func TestCommit_Replicas(t *testing.T) {
	ctx := context.Background()
	s := startServer(t, "--repl-diskless-sync-delay", "0")
	host, port, err := net.SplitHostPort(s.address)
	if err != nil {
		t.Fatal(err)
	}
	replica := startServer(t, "--replicaof", host+" "+port)
	st := s.open(t, Options{Replicas: 1, ReplicaWait: 5 * time.Second})
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		info, err := replica.open(t, Options{}).client.Info(ctx, "replication").Result()
		if err == nil && strings.Contains(info, "master_link_status:up") {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("the replica does not join: %v", err)
		}
	}
	if _, err := st.Commit(ctx, storetest.Region, technician("T1")); err != nil {
		t.Fatalf("with a replica: %v", err)
	}
	copied := replica.open(t, Options{Prefix: st.prefix})
	if _, err := copied.Technician(ctx, storetest.Region, "T1"); err != nil {
		t.Errorf("acknowledged, but the replica has it not: %v", err)
	}
	if _, err := copied.Commit(ctx, storetest.Region, technician("T2")); !errors.Is(err, job.ErrUnavailable) {
		t.Errorf("commit to a replica: %v, want %v", err, job.ErrUnavailable)
	}
	replica.kill()
	short := s.open(t, Options{Prefix: st.prefix, Replicas: 1, ReplicaWait: 100 * time.Millisecond})
	if _, err := short.Commit(ctx, storetest.Region, technician("T3")); !errors.Is(err, job.ErrUnavailable) {
		t.Errorf("without the replica: %v, want %v", err, job.ErrUnavailable)
	}
}

func TestOpen_NobodyThere(t *testing.T) {
	s := startServer(t)
	s.kill()
	if _, err := Open(context.Background(), Options{Address: s.address, Timeout: time.Second}); !errors.Is(err, job.ErrUnavailable) {
		t.Errorf("Open: %v, want %v", err, job.ErrUnavailable)
	}
}

func TestCommit_DeadlineIsKept(t *testing.T) {
	s := startServer(t)
	st := s.open(t, Options{})
	if err := st.client.Do(context.Background(), "client", "pause", "3000", "all").Err(); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	start := time.Now()
	_, err := st.Commit(ctx, storetest.Region, technician("T1"))
	if !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("Commit: %v, want %v", err, context.DeadlineExceeded)
	}
	if d := time.Since(start); d > 2*time.Second {
		t.Errorf("Commit took %v over a deadline of 100 ms", d)
	}
}

// late is a context whose deadline is over though its timer has not struck yet.
type late struct{ context.Context }

func (late) Deadline() (time.Time, bool) { return time.Unix(1, 0), true }

func TestTranslate_DeadlineBeforeItsTimer(t *testing.T) {
	timeout := &net.OpError{Op: "read", Err: os.ErrDeadlineExceeded}
	if err := (&Store{}).translate(late{context.Background()}, timeout); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("deadline over: %v, want %v", err, context.DeadlineExceeded)
	}
	if err := (&Store{}).translate(context.Background(), timeout); !errors.Is(err, job.ErrUnavailable) {
		t.Errorf("no deadline: %v, want %v", err, job.ErrUnavailable)
	}
}

func BenchmarkBook(b *testing.B) {
	storetest.Benchmark(b, startServer(b).open(b, Options{}))
}

// TestKeys_OneSlot holds the promise that a region is one slot of a cluster.
func TestKeys_OneSlot(t *testing.T) {
	keys := (&Store{prefix: "p"}).keys("north")
	seen := map[string]bool{}
	for _, k := range keys {
		if !strings.HasPrefix(k, "p:{north}:") || strings.Count(k, "{") != 1 || strings.Count(k, "}") != 1 {
			t.Errorf("key %q has not exactly the tag {north}", k)
		}
		seen[k] = true
	}
	if len(seen) != 9 {
		t.Errorf("%d different keys, want 9", len(seen))
	}
}
