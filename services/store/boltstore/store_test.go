package boltstore

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
	"onevisit/services/store/storetest"
)

func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(Options{Path: path, Timeout: 5 * time.Second})
	if err != nil {
		t.Fatalf("Open: %v", err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
		sound(t, path)
	})
	return s
}

// sound lets bbolt check its own pages once the store is closed.
func sound(t testing.TB, path string) {
	t.Helper()
	db, err := bbolt.Open(path, 0o600, &bbolt.Options{Timeout: 5 * time.Second, ReadOnly: true})
	if err != nil {
		t.Errorf("reopening for the check: %v", err)
		return
	}
	defer db.Close()
	err = db.View(func(tx *bbolt.Tx) error {
		for err := range tx.Check() {
			t.Errorf("file is damaged: %v", err)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

func TestStore_Conformance(t *testing.T) {
	storetest.Run(t,
		func(t *testing.T) job.Store { return open(t, filepath.Join(t.TempDir(), "data")) },
		func(t *testing.T, s job.Store) job.Store {
			path := s.(*Store).db.Path()
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			return open(t, path)
		})
}

func BenchmarkBook(b *testing.B) {
	storetest.Benchmark(b, open(b, filepath.Join(b.TempDir(), "data")))
}

func TestOpen_SecondOpenerIsTold(t *testing.T) {
	path := filepath.Join(t.TempDir(), "data")
	open(t, path)
	start := time.Now()
	_, err := Open(Options{Path: path, Timeout: 50 * time.Millisecond})
	if !errors.Is(err, job.ErrUnavailable) {
		t.Errorf("second Open: %v, want %v", err, job.ErrUnavailable)
	}
	if d := time.Since(start); d > 5*time.Second {
		t.Errorf("second Open waited %v", d)
	}
}

func TestOpen_NotOurs(t *testing.T) {
	path := filepath.Join(t.TempDir(), "data")
	junk := make([]byte, 32<<10)
	copy(junk, "this is a letter, not a data file")
	if err := os.WriteFile(path, junk, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(Options{Path: path}); !errors.Is(err, job.ErrFormat) {
		t.Errorf("a letter: %v, want %v", err, job.ErrFormat)
	}

	path = filepath.Join(t.TempDir(), "future")
	s := open(t, path)
	err := s.db.Update(func(tx *bbolt.Tx) error { return tx.Bucket(metaBucket).Put(schemaKey, []byte("2")) })
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(Options{Path: path}); !errors.Is(err, job.ErrFormat) {
		t.Errorf("a future schema: %v, want %v", err, job.ErrFormat)
	}
}

func TestOpen_OwnerOnly(t *testing.T) {
	path := filepath.Join(t.TempDir(), "data")
	open(t, path)
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := info.Mode().Perm(); got != 0o600 {
		t.Errorf("mode is %o, want 600: the file holds addresses", got)
	}
}

const childPath = "BOLTSTORE_TEST_CHILD"

// TestKilled is the parent: it kills a child in the middle of booking, several
// times on one file, and looks for every booking the child had acknowledged.
// (It shows what a dying process leaves. That the disk keeps it when the power
// goes is fsync's word.)
func TestKilled(t *testing.T) {
	if path := os.Getenv(childPath); path != "" {
		child(path)
		return
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "data")
	var acknowledged []string
	for round := range 6 {
		cmd := exec.Command(self, "-test.run=^TestKilled$", "-test.count=1")
		cmd.Env = append(os.Environ(), childPath+"="+path)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		seen := 0
		for lines.Scan() {
			var id string
			if n, _ := fmt.Sscanf(lines.Text(), "acknowledged %s", &id); n == 1 {
				acknowledged = append(acknowledged, id)
				if seen++; seen == 10+7*round {
					// Not waiting for a quiet moment: the next commit is on its way.
					if err := cmd.Process.Kill(); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
		if err := cmd.Wait(); err == nil {
			t.Fatal("the child ended by itself")
		}
		if seen < 10+7*round {
			t.Fatalf("the child died early, after %d bookings", seen)
		}
		s := open(t, path)
		for _, id := range acknowledged {
			j, err := s.Job(context.Background(), storetest.Region, id)
			if err != nil || j.State != job.Assigned {
				t.Fatalf("round %d: acknowledged %s: %v, %v", round, id, j, err)
			}
		}
		storetest.Check(t, s, storetest.Region)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d acknowledged bookings over 6 kills, all there", len(acknowledged))
}

// child books until killed.
func child(path string) {
	fail := func(err error) {
		fmt.Println("child:", err)
		os.Exit(3)
	}
	s, err := Open(Options{Path: path, Timeout: 5 * time.Second})
	if err != nil {
		fail(err)
	}
	ctx := context.Background()
	id := fmt.Sprintf("T%d", os.Getpid())
	noon := time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC)
	e := fleet.Technician{
		ID: id, Region: storetest.Region, Skills: []fleet.Skill{{Code: "electrical"}},
		Shifts:   []fleet.Window{{Start: noon, End: noon.Add(10000 * time.Hour)}},
		Position: &fleet.Position{Place: travel.Place{Lat: 0.01}},
		Stock:    fleet.Stock{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: 100000}},
	}
	if _, err := s.Commit(ctx, storetest.Region, job.Change{Technicians: []job.Write[fleet.Technician]{{Value: e}}}); err != nil {
		fail(err)
	}
	for i := 0; ; i++ {
		j := storetest.PlainJob(fmt.Sprintf("J%d-%d", os.Getpid(), i))
		got, err := storetest.Book(ctx, s, j)
		if err != nil || got.State != job.Assigned {
			fail(fmt.Errorf("%v: %w", got, err))
		}
		fmt.Printf("acknowledged %s\n", j.ID)
	}
}
