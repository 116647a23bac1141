package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"onevisit/cmd/internal/page"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// Each stage of the main job is on the page; what exactly the services find is
// held by their own tests.
func TestDemo_showsEveryStage(t *testing.T) {
	r := ok(t, "demo")
	has(t, "demo", r.stdout,
		"Caller", "Ask", "Likely", "Carry", "Price", "goes", "Reserved", "one visit", "Not", // a booking
		"EMERGENCY", "Say, in this order", // a danger
		"cannot tell yet",                            // honest when nothing was said
		"What T", "Parts", "unplug", "good:", "bad:", // the technician's list
		"The dispatcher's board", "on the road", // the picture of the day
	)
	if strings.ContainsRune(r.stdout, '\x1b') {
		t.Error("control sequences although it is not a terminal")
	}
	for i, line := range strings.Split(r.stdout, "\n") {
		if page.Columns(line) > 100 {
			t.Errorf("line %d is %d columns wide: %s", i+1, page.Columns(line), line)
		}
	}
	if again := ok(t, "demo"); again.stdout != r.stdout {
		t.Error("the demo differs from run to run")
	}
	if full := ok(t, "demo", "--full"); len(full.stdout) <= len(r.stdout) {
		t.Error("--full says no more")
	}
}

// Every call of the script ends on the board, and nobody is sent after a danger
// that forbids it.
func TestDemo_everyCallEndsOnTheBoard(t *testing.T) {
	s, err := readScript()
	if err != nil {
		t.Fatal(err)
	}
	out := ok(t, "demo").stdout
	_, board, found := strings.Cut(out, "The dispatcher's board")
	if !found {
		t.Fatal("no board")
	}
	for i, c := range s.Calls {
		row := regexp.MustCompile(fmt.Sprintf(`(?m)^%c\s+%s`, 'A'+i, regexp.QuoteMeta(c.Where)))
		if !row.MatchString(board) {
			t.Errorf("call %d (%s) is not on the board:\n%s", i+1, c.Where, board)
		}
	}
}

// What the script says callers know must be answers the knowledge has, or the
// call would break off.
func TestDemo_scriptNamesQuestionsThatExist(t *testing.T) {
	s, err := readScript()
	if err != nil {
		t.Fatal(err)
	}
	a := &app{ctx: context.Background(), stdout: &bytes.Buffer{}, stderr: os.Stderr, getenv: func(string) string { return "" }, now: time.Now}
	in := client{Zone: "UTC"}
	d, err := in.open(a, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer d.close()
	list, err := d.triage.ListFamilies(a.ctx, &triagev1.ListFamiliesRequest{})
	if err != nil {
		t.Fatal(err)
	}
	answers := map[string]bool{}
	for _, f := range list.GetFamilies() {
		for _, q := range f.GetQuestions() {
			for _, x := range q.GetAnswers() {
				answers[f.GetCode()+" "+q.GetCode()+" "+x.GetCode()] = true
			}
		}
	}
	for i, c := range s.Calls {
		for q, reply := range c.Knows {
			if !answers[c.Family+" "+q+" "+reply.Answer] {
				t.Errorf("call %d: %s has no question %s with the answer %s", i+1, c.Family, q, reply.Answer)
			}
		}
	}
}

// The benchmark measures all it says, the start of a child process included.
func TestBench_measuresEverything(t *testing.T) {
	if testing.Short() {
		t.Skip("starts servers")
	}
	o := ok(t, "bench", "--calls", "20", "--json").object(t)
	for key, v := range o {
		if n, isNumber := v.(float64); !isNumber || !(n > 0) {
			t.Errorf("%s is %v", key, v)
		}
	}
	if len(o) != 13 {
		t.Errorf("%d figures: %v", len(o), keys(o))
	}
}
