package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// asMain makes the test binary behave as the program, for tests and benchmarks
// that start it as a child.
const asMain = "ONEVISIT_TEST_AS_MAIN"

func TestMain(m *testing.M) {
	// A fuzzing worker is a child too, but calls with flags of the test binary.
	if os.Getenv(asMain) != "" && len(os.Args) > 1 && !strings.HasPrefix(os.Args[1], "-test.") {
		main()
		return
	}
	if err := os.Setenv(asMain, "1"); err != nil { // for children
		panic(err)
	}
	os.Exit(m.Run())
}

// result is what a command left behind.
type result struct {
	code           int
	stdout, stderr string
}

// call runs a command as a user would, with an environment of its own.
func call(t *testing.T, stdin string, env map[string]string, args ...string) result {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(context.Background(), args, strings.NewReader(stdin), &out, &errs, func(k string) string { return env[k] })
	return result{code, out.String(), errs.String()}
}

// ok runs a command that must do what it is asked.
func ok(t *testing.T, args ...string) result {
	t.Helper()
	r := call(t, "", nil, args...)
	if r.code != done {
		t.Fatalf("onevisit %s: exit code %d\nstdout:\n%s\nstderr:\n%s", strings.Join(args, " "), r.code, r.stdout, r.stderr)
	}
	return r
}

// object decodes what a command printed as JSON.
func (r result) object(t *testing.T) map[string]any {
	t.Helper()
	var out map[string]any
	d := json.NewDecoder(strings.NewReader(r.stdout))
	if err := d.Decode(&out); err != nil {
		t.Fatalf("no JSON object: %v\n%s", err, r.stdout)
	}
	if d.More() {
		t.Fatalf("more than one JSON value:\n%s", r.stdout)
	}
	return out
}

func has(t *testing.T, where, text string, wants ...string) {
	t.Helper()
	low := strings.ToLower(text)
	for _, w := range wants {
		if !strings.Contains(low, strings.ToLower(w)) {
			t.Errorf("%s lacks %q:\n%s", where, w, text)
		}
	}
}

func hasNot(t *testing.T, where, text string, not ...string) {
	t.Helper()
	low := strings.ToLower(text)
	for _, w := range not {
		if strings.Contains(low, strings.ToLower(w)) {
			t.Errorf("%s must not hold %q:\n%s", where, w, text)
		}
	}
}

// Wrong calls of commands: exit code, and what the one line on standard error
// must name. The reason stands beside each.
func TestRun_refusesWrongCalls(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct {
		args  []string
		stdin string
		code  int
		says  string
	}{
		"unknown command":              {args: []string{"mend"}, code: misused, says: "mend"},
		"unknown flag":                 {args: []string{"assess", "--color", "red"}, code: misused, says: "--color"},
		"no family names the known":    {args: []string{"assess", "it hums"}, code: misused, says: "tumble_dryer"},
		"answer without equals":        {args: []string{"assess", "x", "--family", "tumble_dryer", "--answer", "yes"}, code: misused, says: "QUESTION=ANSWER"},
		"rating without equals":        {args: []string{"assess", "x", "--family", "tumble_dryer", "--rating", "8uF"}, code: misused, says: "PART=MARK"},
		"family with a wrong shape":    {args: []string{"assess", "x", "--family", "Tumble Dryer"}, code: failed, says: "--family"},
		"family nobody knows":          {args: []string{"assess", "x", "--family", "toaster"}, code: failed, says: "family"},
		"variant nobody knows":         {args: []string{"assess", "x", "--family", "tumble_dryer", "--variant", "steam"}, code: failed, says: "variant"},
		"question nobody knows":        {args: []string{"assess", "x", "--family", "tumble_dryer", "--answer", "colour=red"}, code: failed, says: "--answer"},
		"age beyond the contract":      {args: []string{"assess", "x", "--family", "tumble_dryer", "--age", "101"}, code: failed, says: "--age"},
		"words longer than allowed":    {args: []string{"assess", "-", "--family", "tumble_dryer"}, stdin: strings.Repeat("hum ", 6000), code: failed, says: "TEXT"},
		"volts beyond the contract":    {args: []string{"fit", "run_capacitor", "8 µF", "8 µF", "--volts", "5000"}, code: failed, says: "--volts"},
		"a mark that is empty":         {args: []string{"fit", "run_capacitor", "", "8 µF"}, code: failed, says: "ORIGINAL"},
		"tension that is none":         {args: []string{"fit", "drive_belt", "a", "b", "--tension", "loose"}, code: misused, says: "tension"},
		"fit with too few":             {args: []string{"fit", "run_capacitor", "8 µF"}, code: misused, says: "candidate"},
		"book without a place":         {args: []string{"book", "x", "--family", "tumble_dryer"}, code: misused, says: "--at"},
		"book at no place":             {args: []string{"book", "x", "--family", "tumble_dryer", "--at", "here"}, code: misused, says: "--at"},
		"book off the globe":           {args: []string{"book", "x", "--family", "tumble_dryer", "--at", "91,0"}, code: failed, says: "--at"},
		"window without times":         {args: []string{"book", "x", "--family", "tumble_dryer", "--at", "0,0", "--window", "soon"}, code: misused, says: "soon"},
		"window that ends first":       {args: []string{"book", "x", "--family", "tumble_dryer", "--at", "0,0", "--window", "12:00-09:00"}, code: misused, says: "--window"},
		"region with a wrong shape":    {args: []string{"book", "x", "--family", "tumble_dryer", "--at", "0,0", "--region", "The Valley"}, code: failed, says: "--region"},
		"fleet file that is not there": {args: []string{"book", "x", "--family", "tumble_dryer", "--at", "0,0", "--fleet", dir + "/none.yaml"}, code: misused, says: "none.yaml"},
		"store that is none":           {args: []string{"assess", "x", "--family", "tumble_dryer", "--store", "paper"}, code: misused, says: "paper"},
		"zone that is none":            {args: []string{"assess", "x", "--family", "tumble_dryer", "--zone", "Here/There"}, code: misused, says: "--zone"},
		"folder that is not there":     {args: []string{"assess", "x", "--family", "tumble_dryer", "--knowledge", dir + "/none"}, code: misused, says: "--knowledge"},
		"server with a store":          {args: []string{"assess", "x", "--server", "127.0.0.1:1", "--store", "temporary"}, code: misused, says: "--store"},
		"certificates without server":  {args: []string{"assess", "x", "--plaintext"}, code: misused, says: "--server"},
		"server that is away":          {args: []string{"assess", "x", "--family", "tumble_dryer", "--server", "127.0.0.1:1", "--timeout", "2s"}, code: failed, says: "127.0.0.1:1"},
		"jobs kept nowhere":            {args: []string{"job", "list"}, code: misused, says: "--store"},
		"fleet kept nowhere":           {args: []string{"fleet", "list"}, code: misused, says: "--store"},
		"job that is not there":        {args: []string{"job", "show", "nobody", "--store", "temporary"}, code: failed, says: "nobody"},
		"cases that are not there":     {args: []string{"evaluate", "calls", dir + "/none.jsonl"}, code: misused, says: "none.jsonl"},
		"cases that are no JSON":       {args: []string{"evaluate", "fit", "-"}, stdin: "hello\n", code: failed, says: "line 1"},
		"cases that are none":          {args: []string{"evaluate", "calls", "-"}, stdin: "\n\n", code: failed, says: "no cases"},
		"folder to check not there":    {args: []string{"knowledge", "check", dir + "/none"}, code: misused, says: "none"},
		"family to show not known":     {args: []string{"knowledge", "show", "toaster"}, code: misused, says: "tumble_dryer"},
		"role that is none":            {args: []string{"serve", "--role", "cook"}, code: misused, says: "cook"},
		"dispatch without the others":  {args: []string{"serve", "--role", "dispatch", "--listen", "127.0.0.1:0"}, code: misused, says: "triage"},
		"open port in plain text":      {args: []string{"serve", "--listen", ":0"}, code: misused, says: "--plaintext"},
		"certificate without key":      {args: []string{"serve", "--tls-cert", "c.pem"}, code: misused, says: "--tls-key"},
		"authority without own":        {args: []string{"serve", "--tls-ca", "c.pem"}, code: misused, says: "--tls-cert"},
		"bench of too little":          {args: []string{"bench", "--calls", "1"}, code: misused, says: "--calls"},
	} {
		t.Run(name, func(t *testing.T) {
			r := call(t, c.stdin, nil, c.args...)
			if r.code != c.code {
				t.Errorf("exit code %d, want %d; stderr: %s", r.code, c.code, r.stderr)
			}
			if !strings.Contains(r.stderr, c.says) {
				t.Errorf("standard error lacks %q: %s", c.says, r.stderr)
			}
			if lines := strings.Count(r.stderr, "\n"); lines != 1 && !strings.HasPrefix(name, "window") {
				t.Errorf("%d lines on standard error, want one: %s", lines, r.stderr)
			}
			if r.stdout != "" {
				t.Errorf("standard output is not empty: %s", r.stdout)
			}
		})
	}
}

func TestRun_helpHasExamples(t *testing.T) {
	r := ok(t, "--help")
	for _, command := range []string{"demo", "assess", "fit", "quote", "book", "job", "fleet", "knowledge", "evaluate", "bench", "serve"} {
		has(t, "--help", r.stdout, command)
	}
	for _, command := range []string{
		"demo", "assess", "fit", "quote", "book", "job list", "job show", "job complete", "fleet load", "fleet adjust",
		"knowledge check", "knowledge copy", "evaluate calls", "bench", "serve",
	} {
		r := ok(t, append(strings.Fields(command), "--help")...)
		has(t, command+" --help", r.stdout, "Example", "onevisit "+strings.Fields(command)[0])
	}
	if r := ok(t); !strings.Contains(r.stdout, "Usage") {
		t.Error("without arguments the help is not shown")
	}
}

// Every exported command of the grammar can be run: kong fails when one cannot.
func TestRun_serverFromTheEnvironment(t *testing.T) {
	r := call(t, "", map[string]string{serverVariable: "127.0.0.1:1"}, "assess", "x", "--family", "tumble_dryer", "--timeout", "2s")
	if r.code != failed || !strings.Contains(r.stderr, "127.0.0.1:1") {
		t.Errorf("exit code %d, stderr %q: the environment was not read", r.code, r.stderr)
	}
}
