package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// pushed is the run capacitor once more, told another way: an auxiliary winding
// without its capacitor gives no starting torque, and a push does what it cannot
// (common practice, no source).
const pushed = "Dryer hums but doesn't start turning. Give the drum a push and it runs."

// A whole job over an embedded store: set up, preview, book, book again with the
// same id, list, parts list, start, complete, and the part is off the van.
func TestBook_aJobFromCallToClose(t *testing.T) {
	store := "--store=file:" + filepath.Join(t.TempDir(), "jobs.db")
	words := []string{"book", pushed, "--family", "tumble_dryer", "--rating", "run_capacitor=8 µF 425 V", "--at", "0.030,0.021",
		"--label", "the blue house", "--request-id", "call-1", "--window", "08:00-18:00 tomorrow", "--zone", "UTC", store}

	loaded := ok(t, "fleet", "load", "demo", store, "--json").object(t)
	if loaded["technicians"].(float64) < 3 || loaded["there_already"].(float64) != 0 {
		t.Fatalf("loaded %v", loaded)
	}
	if again := ok(t, "fleet", "load", "demo", store, "--json").object(t); again["technicians"].(float64) != 0 || again["there_already"].(float64) < 4 {
		t.Errorf("loaded twice: %v", again)
	}

	preview := ok(t, append(words, "--preview")...)
	has(t, "preview", preview.stdout, "Nothing was booked", "goes")
	hasNot(t, "list after preview", ok(t, "job", "list", store).stdout, "assigned")

	booked := ok(t, words...)
	has(t, "book", booked.stdout, "goes", "Reserved", "run capacitor 8 µF", "Price", "Not", "T2", "One visit")

	one := ok(t, append(words, "--json")...).object(t)
	two := ok(t, append(words, "--json")...).object(t)
	if one["name"] != two["name"] {
		t.Errorf("one request id made two jobs: %v and %v", one["name"], two["name"])
	}
	list := ok(t, "job", "list", store, "--json").object(t)["jobs"].([]any)
	if len(list) != 1 {
		t.Fatalf("%d jobs, want one", len(list))
	}
	name := list[0].(map[string]any)["name"].(string)
	id := name[strings.LastIndexByte(name, '/')+1:]
	assignment := one["assignment"].(map[string]any)
	technician := assignment["technician"].(string)
	technician = technician[strings.LastIndexByte(technician, '/')+1:]
	parts, _ := assignment["parts"].([]any)
	if len(parts) == 0 {
		t.Fatal("no part is reserved")
	}
	part := parts[0].(map[string]any)
	kind, mark := part["partKind"].(string), part["mark"].(string)

	has(t, "job list", ok(t, "job", "list", "--state", "assigned", "--technician", technician, store).stdout, id)
	has(t, "job show", ok(t, "job", "show", id, store).stdout, technician+" goes", "Not")
	has(t, "job parts", ok(t, "job", "parts", id, store).stdout, "Parts", mark, " 1.", "good:", "bad:", "After", "unplug")

	before := quantity(t, ok(t, "fleet", "stock", technician, store, "--json").object(t), kind, mark)
	has(t, "job start", ok(t, "job", "start", id, store).stdout, "under way")
	ok(t, "job", "complete", id, "--used", kind+"="+mark, store)
	after := quantity(t, ok(t, "fleet", "stock", technician, store, "--json").object(t), kind, mark)
	if after != before-1 {
		t.Errorf("%s %s: %v on the van before, %v after one was used", kind, mark, before, after)
	}
	if r := call(t, "", nil, "job", "cancel", id, store); r.code != failed {
		t.Errorf("a finished job could be cancelled: %s", r.stdout)
	}

	ok(t, "fleet", "adjust", technician, kind, "3", "--mark", mark, store)
	if now := quantity(t, ok(t, "fleet", "stock", technician, store, "--json").object(t), kind, mark); now != after+3 {
		t.Errorf("stock is %v after 3 were added to %v", now, after)
	}
	has(t, "fleet list", ok(t, "fleet", "list", store).stdout, "T1", "electrical", "Warehouse W1")
	has(t, "fleet stock", ok(t, "fleet", "stock", "--warehouse", "W1", store).stdout, "run capacitor")
	all := ok(t, "fleet", "list", store, "--json").object(t)
	if len(all["technicians"].([]any)) < 4 || len(all["warehouses"].([]any)) != 1 {
		t.Errorf("fleet as JSON: %v", all)
	}
}

func quantity(t *testing.T, technician map[string]any, kind, mark string) float64 {
	t.Helper()
	for _, l := range technician["stock"].([]any) {
		l := l.(map[string]any)
		m, _ := l["mark"].(string)
		if l["partKind"] == kind && m == mark {
			q, _ := l["quantity"].(float64)
			return q
		}
	}
	return 0
}

func TestBook_cancelReleasesAndReassign(t *testing.T) {
	store := "--store=file:" + filepath.Join(t.TempDir(), "jobs.db")
	job := ok(t, "book", humming, "--family", "tumble_dryer", "--at", "0.03,0.02", "--fleet", "demo", store, "--json").object(t)
	name := job["name"].(string)
	id := name[strings.LastIndexByte(name, '/')+1:]
	has(t, "job cancel", ok(t, "job", "cancel", id, store).stdout, "cancelled")
	if r := call(t, "", nil, "job", "reassign", id, store); r.code != failed {
		t.Errorf("a cancelled job was reassigned: %s", r.stdout)
	}
}

func TestBook_saysWhenNobodyIsThere(t *testing.T) {
	r := call(t, "", nil, "book", humming, "--family", "tumble_dryer", "--at", "0,0")
	has(t, "standard error", r.stderr, "--fleet")
}

func TestBook_dangerBooksNothing(t *testing.T) {
	r := ok(t, "book", "I smell gas", "--family", "tumble_dryer", "--at", "0.03,0.02", "--fleet", "demo")
	has(t, "book", r.stdout, "EMERGENCY", "a person must decide")
	hasNot(t, "book", r.stdout, "goes,")
}

func TestReadFleet_namesWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct{ text, says string }{
		"an unknown key":     {"technicians:\n  - id: T1\n    hobby: chess\n", "hobby"},
		"days beyond a year": {"days: 1000\n", "days"},
		"no place":           {"technicians:\n  - {id: T1, shift: 08:00-16:00}\n", "T1"},
		"a shift in words":   {"technicians:\n  - {id: T1, at: \"0,0\", shift: mornings}\n", "mornings"},
		"a licence in words": {"technicians:\n  - {id: T1, at: \"0,0\", skills: [gas], licences_until: {gas: soon}}\n", "soon"},
		"an id with spaces":  {"technicians:\n  - {id: T 1, at: \"0,0\"}\n", "technician_id"},
		"not YAML":           {"technicians: [", "yaml"},
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(dir, "fleet.yaml")
			if err := os.WriteFile(file, []byte(c.text), 0o600); err != nil {
				t.Fatal(err)
			}
			r := call(t, "", nil, "fleet", "load", file, "--store", "temporary")
			if r.code == done || !strings.Contains(r.stderr, c.says) {
				t.Errorf("exit code %d, standard error %q, want it to name %q", r.code, r.stderr, c.says)
			}
		})
	}
}

func TestWindow_forms(t *testing.T) {
	zone := time.FixedZone("here", 2*3600)
	now := time.Date(2027, 5, 11, 8, 30, 0, 0, zone) // an invented day
	for text, want := range map[string][2]string{
		"09:00-12:00":                               {"2027-05-11T09:00:00+02:00", "2027-05-11T12:00:00+02:00"},
		"09:00-12:00 today":                         {"2027-05-11T09:00:00+02:00", "2027-05-11T12:00:00+02:00"},
		"tomorrow 09:00-12:00":                      {"2027-05-12T09:00:00+02:00", "2027-05-12T12:00:00+02:00"},
		"2027-06-01 13:15-14:45":                    {"2027-06-01T13:15:00+02:00", "2027-06-01T14:45:00+02:00"},
		"2027-05-11T09:00:00Z/2027-05-11T10:00:00Z": {"2027-05-11T09:00:00Z", "2027-05-11T10:00:00Z"},
	} {
		got, err := window(text, now)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		for i, at := range []time.Time{got.GetStartTime().AsTime(), got.GetEndTime().AsTime()} {
			if w, _ := time.Parse(time.RFC3339, want[i]); !at.Equal(w) {
				t.Errorf("%q: time %d is %v, want %v", text, i, at, w)
			}
		}
	}
	for _, text := range []string{"9-12 o'clock", "09:00", "25:00-26:00", "2027-05-11T09:00:00Z/soon", "09:00-12:00 10:00-11:00"} {
		if _, err := window(text, now); err == nil {
			t.Errorf("%q was read", text)
		}
	}
}

// Whatever a user types where a time or a place belongs, the program says so
// and does not break; what is read is in order, and is read again the same.
func FuzzWindow(f *testing.F) {
	for _, seed := range []string{
		"09:00-12:00 today", "tomorrow 09:00-12:00", "2027-05-11T09:00:00Z/2027-05-11T10:00:00Z", // good ones
		"", "-", "/", "--", "09:00-09:00", "24:00-25:00", "today tomorrow", "0001-01-01 00:00-00:01", // edges
	} {
		f.Add(seed)
	}
	now := time.Date(2027, 5, 11, 8, 30, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		w, err := window(text, now)
		if err == nil && w != nil && !w.GetEndTime().AsTime().After(w.GetStartTime().AsTime()) {
			t.Errorf("%q ends before it begins", text)
		}
		if _, err := place(text); err == nil && !strings.Contains(text, ",") {
			t.Errorf("%q is no place", text)
		}
	})
}

func TestObject_isIndentedTheSameEveryTime(t *testing.T) {
	r := ok(t, "fit", "run_capacitor", "8 µF 425 V", "8 µF 450 V", "--json")
	if !json.Valid([]byte(r.stdout)) || !strings.HasPrefix(r.stdout, "{\n  \"") {
		t.Errorf("layout: %q", r.stdout[:min(40, len(r.stdout))])
	}
}
