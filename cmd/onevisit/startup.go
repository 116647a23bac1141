package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

const (
	benchStarts   = 5
	startPatience = 30 * time.Second
)

// startUp starts this program as a server several times, and notes how long it
// takes to say that it is ready and how much memory it then holds.
func (a *app) startUp(f *benchFigures) error {
	self, err := os.Executable()
	if err != nil {
		return fmt.Errorf("bench: own program: %w", err)
	}
	var starts, memory []float64
	for range benchStarts {
		took, mib, err := a.startOnce(self)
		if err != nil {
			return err
		}
		starts, memory = append(starts, float64(took.Microseconds())/1e3), append(memory, mib)
	}
	slices.Sort(starts)
	slices.Sort(memory)
	f.StartMillis, f.ResidentMiB, f.StartsMeasured = starts[benchStarts/2], memory[benchStarts/2], benchStarts
	return nil
}

func (a *app) startOnce(self string) (took time.Duration, mib float64, err error) {
	child := exec.CommandContext(a.ctx, self, "serve", "--listen", "127.0.0.1:0", "--store", "temporary")
	child.Cancel = func() error { return child.Process.Signal(syscall.SIGTERM) }
	child.WaitDelay = startPatience
	out, err := child.StderrPipe()
	if err != nil {
		return 0, 0, err
	}
	begin := time.Now()
	if err := child.Start(); err != nil {
		return 0, 0, fmt.Errorf("bench: start serve: %w", err)
	}
	late := time.AfterFunc(startPatience, func() { _ = child.Process.Kill() }) // the scan below then ends
	defer late.Stop()
	ready := false
	lines := bufio.NewScanner(out)
	for !ready && lines.Scan() {
		var line struct {
			Msg string `json:"msg"`
		}
		ready = json.Unmarshal(lines.Bytes(), &line) == nil && line.Msg == "ready"
	}
	took = time.Since(begin)
	if ready {
		mib = resident(child.Process.Pid)
		err = child.Process.Signal(syscall.SIGTERM)
	} else {
		err = fmt.Errorf("bench: serve ended before it was ready")
	}
	for lines.Scan() { // drained, so that the child is never held up by its log
	}
	if waiting := child.Wait(); err == nil {
		err = waiting
	}
	return took, mib, err
}

// resident returns the resident memory of a process in MiB, 0 where the system
// does not say. Source: proc(5), field VmRSS of /proc/PID/status, in kB.
func resident(pid int) float64 {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(data)) {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			kb, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(rest), " kB"), 64)
			if err != nil {
				return 0
			}
			return kb / 1024
		}
	}
	return 0
}
