package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// The figures on the project's own cases must not fall. The floors stand a
// little below what was measured when they were last raised (see DEVELOPERS.md);
// raise them with the figures, never lower them to let a change pass. calls.jsonl
// was written by somebody who had not seen the lexicon, and nobody tunes on it;
// how fresh it still is stands in DEVELOPERS.md.
func TestEvaluate_FiguresDoNotFall(t *testing.T) {
	for _, tc := range []struct {
		kind, file string
		floors     map[string]float64
		ceilings   map[string]float64
	}{
		{kind: "calls", file: "testdata/calls.jsonl", floors: map[string]float64{
			"first_acceptable": 0.82, "truth_in_three": 0.93, "hazard_recall": 0.86, "hazard_precision": 0.82,
		}},
		{kind: "calls", file: "testdata/calls_tuning.jsonl", floors: map[string]float64{
			"first_acceptable": 0.92, "truth_in_three": 0.97, "hazard_recall": 0.98, "hazard_precision": 0.94,
		}},
		{kind: "fit", file: "testdata/fit.jsonl",
			floors:   map[string]float64{"agree": 249},
			ceilings: map[string]float64{"false_accept": 0, "wrongly_undecided": 0}},
		{kind: "dispatch", file: "testdata/dispatch.jsonl", floors: map[string]float64{"agree": 24}},
	} {
		t.Run(tc.file, func(t *testing.T) {
			var got map[string]any
			if err := json.Unmarshal([]byte(ok(t, "evaluate", tc.kind, tc.file, "--json").stdout), &got); err != nil {
				t.Fatal(err)
			}
			t.Logf("%v", got)
			for key, floor := range tc.floors {
				if v, is := got[key].(float64); !is || v < floor {
					t.Errorf("%s is %v, was at least %v", key, got[key], floor)
				}
			}
			for key, ceiling := range tc.ceilings {
				if v, is := got[key].(float64); !is || v > ceiling {
					t.Errorf("%s is %v, was at most %v", key, got[key], ceiling)
				}
			}
		})
	}
}

// A call that says nothing gets a question and no kit.
func TestAssess_VagueCallsAreAskedFirst(t *testing.T) {
	raw, err := os.ReadFile("testdata/calls_vague.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(raw)) {
		var row struct{ ID, Family, Variant, Text string }
		if err := json.Unmarshal([]byte(line), &row); err != nil {
			t.Fatal(err)
		}
		got := ok(t, "assess", "--family", row.Family, "--variant", row.Variant, "--json", row.Text).object(t)
		if got["disposition"] != "DISPOSITION_CANNOT_TELL" || got["nextQuestion"] == nil || got["kit"] != nil {
			t.Errorf("%s: %v, question %v, kit %v; want to ask first", row.ID, got["disposition"], got["nextQuestion"], got["kit"])
		}
	}
}
