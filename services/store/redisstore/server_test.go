package redisstore

import (
	"context"
	"net"
	"os/exec"
	"strconv"
	"testing"
	"time"
)

// server is a real Redis of the test's own, on a free port, with its data in a
// folder that goes with the test.
type server struct {
	t       testing.TB
	dir     string
	address string
	args    []string
	cmd     *exec.Cmd
}

func startServer(t testing.TB, args ...string) *server {
	t.Helper()
	if _, err := exec.LookPath("redis-server"); err != nil {
		t.Fatalf("redis-server is not installed; the tests want a real one: apt-get install redis-server (%v)", err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := &server{t: t, dir: t.TempDir(), address: listener.Addr().String(), args: args}
	if err := listener.Close(); err != nil {
		t.Fatal(err)
	}
	s.start()
	t.Cleanup(s.kill)
	return s
}

// start runs the server and waits until it answers.
func (s *server) start() {
	s.t.Helper()
	_, port, err := net.SplitHostPort(s.address)
	if err != nil {
		s.t.Fatal(err)
	}
	args := append([]string{
		"--port", port, "--bind", "127.0.0.1", "--dir", s.dir, "--save", "",
		"--appendonly", "yes", "--appendfsync", "always", "--loglevel", "warning",
	}, s.args...)
	s.cmd = exec.Command("redis-server", args...)
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	for deadline := time.Now().Add(20 * time.Second); ; {
		ctx, cancel := context.WithTimeout(context.Background(), time.Second)
		st, err := Open(ctx, Options{Address: s.address})
		cancel()
		if err == nil {
			if err := st.Close(); err != nil {
				s.t.Fatal(err)
			}
			return
		}
		if time.Now().After(deadline) {
			s.t.Fatalf("redis-server does not answer: %v", err)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// kill ends the server without a word, as a power cut would.
func (s *server) kill() {
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait()
	s.cmd = nil
}

var prefixes = 0

// open gives a store under a prefix of its own. Tests here are not parallel.
func (s *server) open(t testing.TB, o Options) *Store {
	t.Helper()
	o.Address = s.address
	if o.Prefix == "" {
		prefixes++
		o.Prefix = "test" + strconv.Itoa(prefixes)
	}
	st, err := Open(context.Background(), o)
	if err != nil {
		t.Fatalf("Open: %v", err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	})
	return st
}
