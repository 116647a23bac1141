package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestKnowledge_copyThenCheck(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "mine")
	ok(t, "knowledge", "copy", dir)
	has(t, "knowledge check", ok(t, "knowledge", "check", dir).stdout, "No problems")

	r := call(t, "", nil, "knowledge", "copy", dir)
	if r.code != failed || !strings.Contains(r.stderr, "there already") {
		t.Errorf("a second copy: exit code %d, %s", r.code, r.stderr)
	}

	file := filepath.Join(dir, "tumble_dryer", "faults.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	at := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(strings.TrimSpace(l), "part:") })
	if at < 0 {
		t.Fatal("no fault names a part")
	}
	lines[at] = strings.Replace(lines[at], "part:", "prat:", 1)
	if err := os.WriteFile(file, []byte(strings.Join(lines, "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	r = call(t, "", nil, "knowledge", "check", dir)
	if r.code != failed {
		t.Errorf("exit code %d for a folder with a misspelt key", r.code)
	}
	place := file + ":" + itoa(at+1) + ":"
	has(t, "knowledge check", r.stdout, place, "prat")

	r = call(t, "", nil, "knowledge", "check", dir, "--json")
	var found []struct {
		File    string `json:"file"`
		Line    int    `json:"line"`
		Message string `json:"message"`
	}
	if err := json.Unmarshal([]byte(r.stdout), &found); err != nil || len(found) == 0 {
		t.Fatalf("%v: %s", err, r.stdout)
	}
	if !slices.ContainsFunc(found, func(p struct {
		File    string `json:"file"`
		Line    int    `json:"line"`
		Message string `json:"message"`
	}) bool {
		return p.File == file && p.Line == at+1
	}) {
		t.Errorf("no problem at %s: %v", place, found)
	}

	// A server with such a folder does not start, and says the same.
	r = call(t, "", nil, "serve", "--knowledge", dir, "--listen", "127.0.0.1:0", "--store", "temporary")
	if r.code != failed || !strings.Contains(r.stderr, "prat") {
		t.Errorf("serve: exit code %d, %s", r.code, r.stderr)
	}
}

func itoa(n int) string { b, _ := json.Marshal(n); return string(b) }

func TestKnowledge_show(t *testing.T) {
	has(t, "knowledge show", ok(t, "knowledge", "show").stdout, "Version", "tumble_dryer", "washing_machine", "heat_pump", "top_loader")
	has(t, "knowledge show tumble_dryer", ok(t, "knowledge", "show", "tumble_dryer").stdout, "run_capacitor", "Questions", "hand_turn")
	o := ok(t, "knowledge", "show", "tumble_dryer", "--json").object(t)
	if len(o["faults"].([]any)) < 20 {
		t.Errorf("%d faults", len(o["faults"].([]any)))
	}
}

func keys(o map[string]any) []string {
	var out []string
	for k := range o {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// The reports are read by programs: one object with exactly these keys.
func TestEvaluate_exactKeys(t *testing.T) {
	calls := `{"id":"a","family":"tumble_dryer","text":"` + pushed + `","truth":"run_capacitor","parts":["run_capacitor"],"safety":[]}
{"id":"b","family":"toaster","text":"cold","truth":"element","parts":["element"],"safety":[]}
{"id":"c","family":"tumble_dryer","text":"I smell gas","truth":"no_part","parts":["flux_capacitor"],"safety":["gas_smell"]}
`
	fits := `{"id":"a","part_kind":"run_capacitor","original":"8 µF 425 V","candidate":"8 µF 450 V","accept":true}
{"id":"b","part_kind":"run_capacitor","original":"8 µF 425 V","candidate":"8 µF 450 V","accept":false}
`
	score := []string{"cases", "first_acceptable", "hazard_precision", "hazard_recall", "median_ms", "truth_in_three"}
	counts := []string{"agree", "cases", "false_accept", "false_reject", "wrongly_undecided"}
	for name, c := range map[string]struct {
		stdin string
		keys  []string
		cases float64
	}{
		"calls":    {calls, score, 2},
		"fit":      {fits, counts, 2},
		"dispatch": {decision, []string{"agree", "cases"}, 1},
	} {
		t.Run(name, func(t *testing.T) {
			r := call(t, c.stdin, nil, "evaluate", name, "-", "--json")
			if r.code != done {
				t.Fatalf("exit code %d: %s", r.code, r.stderr)
			}
			o := r.object(t)
			want := append(slices.Clone(c.keys), "by_family")
			slices.Sort(want)
			if got := keys(o); !slices.Equal(got, want) {
				t.Errorf("keys %v, want %v", got, want)
			}
			if o["cases"] != c.cases {
				t.Errorf("%v cases, want %v", o["cases"], c.cases)
			}
			families := o["by_family"].(map[string]any)
			if len(families) == 0 {
				t.Error("no family")
			}
			for f, one := range families {
				if got := keys(one.(map[string]any)); !slices.Equal(got, c.keys) {
					t.Errorf("family %s has keys %v, want %v", f, got, c.keys)
				}
			}
			if name == "calls" {
				has(t, "standard error", r.stderr, "toaster", "flux_capacitor")
			}
			if text := call(t, c.stdin, nil, "evaluate", name, "-"); text.code != done || !strings.Contains(text.stdout, "all") {
				t.Errorf("as text: exit code %d, %s%s", text.code, text.stdout, text.stderr)
			}
		})
	}
}

// decision is a dispatch case: two who could go, the nearer one goes.
const decision = `{"id":"d1","now":"2027-05-11T08:35","rules":{"min_per_km":2},` +
	`"job":{"id":"J1","family":"tumble_dryer","x_km":3,"y_km":0,"needs_parts":[{"part_kind":"run_capacitor","rating":"8 µF 425 V","qty":1}],` +
	`"skills":["electrical"],"tools":[],"duration_min":30,"window":null,"priority":"normal","safety":[]},` +
	`"technicians":[` +
	`{"id":"T1","x_km":0,"y_km":0,"skills":["electrical"],"shift":{"start":"08:00","end":"16:00"},"free_at":"08:35","stock":[{"part_kind":"run_capacitor","rating":"8 µF 450 V","qty":1}],"tools":[]},` +
	`{"id":"T2","x_km":9,"y_km":0,"skills":["electrical"],"shift":{"start":"08:00","end":"16:00"},"free_at":"08:35","stock":[{"part_kind":"run_capacitor","rating":"8 µF 450 V","qty":1}],"tools":[]}],` +
	`"warehouse":null,"other_jobs":[],"expect":{"technician":"T1","action":"assign","via_warehouse":false,"because":["nearest"],"rejected":{"T2":"farther"}}}
`

func TestEvaluate_decisionsAgreeAndDiffer(t *testing.T) {
	if o := call(t, decision, nil, "evaluate", "dispatch", "-", "--json").object(t); o["agree"] != 1.0 {
		t.Errorf("the nearer one does not go: %v", o)
	}
	other := strings.Replace(decision, `"technician":"T1"`, `"technician":"T2"`, 1)
	r := call(t, other, nil, "evaluate", "dispatch", "-")
	has(t, "a decision that differs", r.stdout, "wanted assign T2, got assign T1", "nearest", "T1 goes")
}

// Against a server the cases are moved to the present.
func TestEvaluate_atAServer(t *testing.T) {
	s := serve(t, "--store", "temporary", "--zone", "UTC", "--minutes-per-km", "2", "--road-factor", "1")
	o := call(t, decision, nil, "evaluate", "dispatch", "-", "--json", "--server", s.address).object(t)
	if o["cases"] != 1.0 || o["agree"] != 1.0 {
		t.Errorf("at a server: %v", o)
	}
}
