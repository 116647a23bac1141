package main

import (
	"strings"
	"testing"
)

// A dryer that hums, whose drum will not turn by itself but turns freely by hand
// with the belt heard, is a failed run capacitor (common practice, no source).
const humming = "it hums but the drum won't turn by itself; by hand it turns freely and I hear the belt"

func TestAssess_saysWhatACallTakerReads(t *testing.T) {
	r := ok(t, "assess", humming, "--family", "tumble_dryer")
	has(t, "assess", r.stdout, "Heard", "“hums”", "Likely", "capacitor", "odds ×", "Carry", "Tools", "On site", "Caution", "%")
}

func TestAssess_readsStandardInput(t *testing.T) {
	from := call(t, humming+"\n", nil, "assess", "-", "--family", "tumble_dryer")
	if want := ok(t, "assess", humming, "--family", "tumble_dryer"); from.stdout != want.stdout {
		t.Errorf("words from standard input are read otherwise:\n%s\nand\n%s", from.stdout, want.stdout)
	}
}

// A danger comes first and ends it: no fault, no part, no question.
func TestAssess_dangerFirst(t *testing.T) {
	r := ok(t, "assess", "there is a strong smell of gas and it does not get warm", "--family", "tumble_dryer", "--variant", "gas_vented")
	has(t, "assess", r.stdout, "EMERGENCY", "gas", "1.", "emergency", "Triage stops")
	hasNot(t, "assess", r.stdout, "Likely", "Carry", "Ask next")
	if !strings.HasPrefix(r.stdout, "! EMERGENCY") {
		t.Errorf("the danger is not the first line:\n%s", r.stdout)
	}
}

// Words that say nothing get a question, and no kit.
func TestAssess_cannotTell(t *testing.T) {
	r := ok(t, "assess", "it is playing up again", "--family", "tumble_dryer")
	has(t, "assess", r.stdout, "Cannot tell yet", "Ask next", "worth")
	hasNot(t, "assess", r.stdout, "Carry", "Likely")
	if q := strings.Index(r.stdout, "Ask next"); q > strings.Index(r.stdout, "Heard") {
		t.Errorf("the question does not come first:\n%s", r.stdout)
	}
}

// An answer changes what is likely: the code printed with the question is what
// the flag takes.
func TestAssess_answersCount(t *testing.T) {
	first := ok(t, "assess", "the drum does not turn", "--family", "tumble_dryer", "--json").object(t)
	question, _ := first["nextQuestion"].(map[string]any)
	if question == nil {
		t.Fatal("no question to answer")
	}
	answer := question["answers"].([]any)[0].(map[string]any)["code"].(string)
	second := ok(t, "assess", "the drum does not turn", "--family", "tumble_dryer", "--json", "--answer", question["code"].(string)+"="+answer).object(t)
	most := func(o map[string]any) any { return o["faults"].([]any)[0].(map[string]any)["probability"] }
	if most(first) == most(second) {
		t.Errorf("an answer left the likeliest fault at %v", most(first))
	}
	found := second["findings"].([]any)
	if len(found) <= len(first["findings"].([]any)) {
		t.Error("the answer is not among what was heard")
	}
}

func TestAssess_jsonIsTheContract(t *testing.T) {
	o := ok(t, "assess", humming, "--family", "tumble_dryer", "--age", "9", "--json").object(t)
	for _, key := range []string{"knowledgeVersion", "disposition", "findings", "faults", "partKinds", "kit", "outcomes", "method"} {
		if _, there := o[key]; !there {
			t.Errorf("no %q in %v", key, o)
		}
	}
	fault := o["faults"].([]any)[0].(map[string]any)
	if p := fault["probability"].(float64); !(p > 0 && p < 1) {
		t.Errorf("probability %v", p)
	}
}

// A mark read off the machine outranks what is usual.
func TestAssess_knownRating(t *testing.T) {
	r := ok(t, "assess", "it hums and wants a push to start", "--family", "tumble_dryer", "--rating", "run_capacitor=7.3 µF 475 V")
	has(t, "assess", r.stdout, "7.3 µF 475 V, as on this machine")
}

// 8 µF 425 V may be replaced by 8 µF 450 V or 500 V, not by 300 V, not by 10 µF
// (common practice, no source).
func TestFit_capacitorRule(t *testing.T) {
	for candidate, want := range map[string]string{
		"8 µF 450 V": "yes", "8uF 500V": "yes", "8 µF 300 V": "NO", "10 µF 450 V": "NO",
	} {
		r := ok(t, "fit", "run_capacitor", "8 µF 425 V", candidate)
		first, _, _ := strings.Cut(r.stdout, "\n")
		if !strings.HasSuffix(first, "? "+want) && !(want == "yes" && strings.Contains(first, "? yes")) {
			t.Errorf("%s: %s, want %s", candidate, first, want)
		}
		has(t, "fit", r.stdout, "Because", "common practice, no source")
	}
	if v := ok(t, "fit", "run_capacitor", "8 µF 425 V", "8 µF 300 V", "--json").object(t)["verdict"]; v != "VERDICT_DOES_NOT_FIT" {
		t.Errorf("verdict %v", v)
	}
	r := ok(t, "fit", "run_capacitor", "8 µF 425 V", "8 µF")
	has(t, "fit with a voltage missing", r.stdout, "cannot tell", "Missing")
}

func TestQuote_pricesTheLikelyRepairs(t *testing.T) {
	r := ok(t, "quote", pushed, "--family", "tumble_dryer")
	has(t, "quote", r.stdout, "Price", "Call-out", "Labour", "capacitor", "in all", "if it is", "Stands for")
	o := ok(t, "quote", humming, "--family", "tumble_dryer", "--json").object(t)
	for _, key := range []string{"lines", "likely", "low", "high", "expected", "outcomes"} {
		if _, there := o[key]; !there {
			t.Errorf("no %q in %v", key, o)
		}
	}
}

// Where nothing can be priced the reason is on standard error and the question
// or the danger on the screen.
func TestQuote_refusesToGuess(t *testing.T) {
	r := call(t, "", nil, "quote", "I smell gas", "--family", "tumble_dryer")
	if r.code != failed {
		t.Errorf("exit code %d", r.code)
	}
	has(t, "quote", r.stderr, "no price")
	has(t, "quote", r.stdout, "EMERGENCY")
}
