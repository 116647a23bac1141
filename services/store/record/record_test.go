package record_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/services/store/record"
	"onevisit/services/store/storetest"
)

func TestDocument_RoundTrip(t *testing.T) {
	roundTrip(t, storetest.FullJob("J1"))
	roundTrip(t, storetest.FullTechnician("T1"))
	roundTrip(t, storetest.FullWarehouse("W1"))
	roundTrip(t, job.Job{})
}

func roundTrip[T record.Value](t *testing.T, v T) {
	t.Helper()
	doc, err := record.Document(v)
	if err != nil {
		t.Fatal(err)
	}
	got, err := record.Decode[T](record.Join(7, doc))
	if err != nil {
		t.Fatal(err)
	}
	again, err := record.Document(got) // Document drops the version, so this compares the rest
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(doc), string(again)); d != "" {
		t.Errorf("%T (-first +second):\n%s", v, d)
	}
}

// Data written by an earlier build must be read by this one. These lines are
// such data: if a field is renamed, the test fails, and the answer is a new
// Format with a reader for the old, not a new line here.
func TestDecode_WrittenEarlier(t *testing.T) {
	j, err := record.Decode[job.Job]([]byte(`12 {"format":1,"kind":"job","data":{"ID":"J1","Region":"north","Place":{"Lat":1.5,"Lng":2},"Address":"the blue house","Words":"it hums","Family":"tumble_dryer","Window":{"Start":"2031-05-06T12:00:00Z","End":"2031-05-06T14:00:00Z"},"Priority":"urgent","Requirement":{"Certain":true,"Parts":[{"PartKind":"run_capacitor","Mark":"8 µF 450 V","Quantity":1,"Probability":1}],"Duration":2700000000000},"State":"assigned","Action":"assign","Assignment":{"TechnicianID":"T1","Reserved":[{"PartKind":"run_capacitor","Mark":"8 µF 500 V","Quantity":1,"For":"8 µF 450 V"}],"Cost":{"Travel":370},"Chance":1},"RequestID":"req-1"}}`))
	if err != nil {
		t.Fatal(err)
	}
	if j.Version != 12 || j.ID != "J1" || string(j.Address) != "the blue house" || string(j.Words) != "it hums" ||
		!j.Urgent() || j.State != job.Assigned || j.Assignment.TechnicianID != "T1" || j.Assignment.Cost.Travel != 370 ||
		j.Assignment.Reserved[0].For != "8 µF 450 V" || j.Requirement.Parts[0].Mark != "8 µF 450 V" ||
		j.Requirement.Duration.Minutes() != 45 || j.Window.End.Hour() != 14 || j.RequestID != "req-1" {
		t.Errorf("job came back as %+v", j)
	}
	e, err := record.Decode[fleet.Technician]([]byte(`3 {"format":1,"kind":"technician","data":{"ID":"T1","Skills":[{"Code":"gas","Until":"2032-01-01T00:00:00Z"}],"Position":{"Place":{"Lat":1,"Lng":2},"At":"2031-05-06T12:00:00Z"},"Stock":[{"PartKind":"drive_belt","Mark":"1930 mm","Quantity":2,"Reservations":[{"JobID":"J1","Quantity":1}]}],"Day":[{"JobID":"J1","Duration":60000000000,"Via":{"WarehouseID":"W1","Pick":600000000000},"Started":true}]}}`))
	if err != nil {
		t.Fatal(err)
	}
	if e.Version != 3 || e.Skills[0].Until.Year() != 2032 || e.Position.Place.Lng != 2 || e.Stock[0].Free() != 1 ||
		e.Day[0].Via.Pick.Minutes() != 10 || !e.Day[0].Started {
		t.Errorf("technician came back as %+v", e)
	}
}

func TestDecode_Refuses(t *testing.T) {
	for what, stored := range map[string]string{
		"nothing": "", "no version": `{"format":1,"kind":"job","data":{}}`, "version zero": `0 {"format":1,"kind":"job","data":{}}`,
		"negative": `-1 {}`, "no envelope": `1 hello`, "future format": `1 {"format":2,"kind":"job","data":{}}`,
		"another kind": `1 {"format":1,"kind":"technician","data":{}}`, "another shape": `1 {"format":1,"kind":"job","data":{"ID":["the blue house"]}}`,
	} {
		_, err := record.Decode[job.Job]([]byte(stored))
		if !errors.Is(err, job.ErrFormat) {
			t.Errorf("%s: %v, want %v", what, err, job.ErrFormat)
		}
		if err != nil && strings.Contains(err.Error(), "blue house") {
			t.Errorf("%s: the error tells what is stored: %v", what, err)
		}
	}
}

func FuzzDecode(f *testing.F) {
	doc, err := record.Document(storetest.FullJob("J1"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(record.Join(1, doc))                                          // a real one
	f.Add([]byte(`9223372036854775807 {}`))                             // the largest version
	f.Add([]byte(`1 {"format":1,"kind":"job","data":null}`))            // a null where an object belongs
	f.Add([]byte(`1 {"format":1,"kind":"job","data":{"Result":{}}} x`)) // something behind
	f.Fuzz(func(t *testing.T, stored []byte) {
		j, err := record.Decode[job.Job](stored)
		if err != nil {
			if !errors.Is(err, job.ErrFormat) {
				t.Fatalf("error %v does not wrap %v", err, job.ErrFormat)
			}
			return
		}
		// What was read can be written and read again, the same.
		doc, err := record.Document(j)
		if err != nil {
			return // times outside what JSON can say
		}
		again, err := record.Decode[job.Job](record.Join(j.Version, doc))
		if err != nil {
			t.Fatalf("second reading: %v", err)
		}
		second, err := record.Document(again)
		if err != nil || string(second) != string(doc) || again.Version != j.Version {
			t.Fatalf("second reading differs: %v", err)
		}
	})
}
