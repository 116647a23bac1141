package knowledge_test

import (
	"testing"

	"onevisit/diagnosis/knowledge"
)

// Facts of the trade that the data must hold exactly (common practice, no
// source).

func dryer(t *testing.T) *knowledge.Family {
	t.Helper()
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	f, ok := b.Family("tumble_dryer")
	if !ok {
		t.Fatal("no tumble_dryer")
	}
	return f
}

// A dryer hums, its drum does not turn by itself but turns freely by hand with
// belt drag and idler sound: a failed run capacitor, about nine in ten.
func TestFact_HumsAndTurnsFreelyByHand(t *testing.T) {
	f := dryer(t)
	for _, variant := range []string{"vented", "condenser", "heat_pump", "gas_vented", ""} {
		got := rank(t, f, variant, []string{"hums_not_starting", "drum_not_turning", "turns_freely_by_hand_with_drag"}, []string{"drum_loose_light", "drum_stiff"})
		if got[0].kind != "run_capacitor" || got[0].p < 0.85 || got[0].p > 0.95 {
			t.Errorf("variant %q: want run_capacitor at 0.85 to 0.95, got %v", variant, got[:3])
		}
	}
}

// The same with a drum that spins very light is a belt.
func TestFact_LightDrumIsTheBelt(t *testing.T) {
	for _, present := range [][]string{
		{"drum_not_turning", "drum_loose_light"},
		{"motor_runs_drum_still", "drum_loose_light"},
		{"lights_but_no_start", "drum_loose_light", "snap_heard"}, // a belt switch stops everything
	} {
		got := rank(t, dryer(t), "vented", present, nil)
		if got[0].kind != "drive_belt" || got[0].p < 0.85 {
			t.Errorf("%v: want drive_belt above 0.85, got %v", present, got[:3])
		}
	}
}

// An open over-temperature cut-out stops the heat and not the drum.
func TestFact_OpenHighLimitStopsHeatNotDrum(t *testing.T) {
	f := dryer(t)
	i, ok := f.FaultIndex("high_limit_open")
	if !ok {
		t.Fatal("no fault high_limit_open")
	}
	links := map[string]float64{}
	for _, l := range f.Faults[i].Links {
		links[f.Findings[l.Finding].Code] = l.P
	}
	if links["no_heat"] < 0.85 {
		t.Errorf("no_heat follows with %v", links["no_heat"])
	}
	for _, still := range []string{"drum_not_turning", "dead", "lights_but_no_start", "hums_not_starting", "motor_runs_drum_still"} {
		if p, linked := links[still]; linked {
			t.Errorf("%s follows with %v", still, p)
		}
	}
	turning := rank(t, f, "vented", []string{"no_heat"}, []string{"drum_not_turning"})
	if p := chance(turning, "high_limit_thermostat"); p < 0.2 {
		t.Errorf("turns but stays cold: high_limit_thermostat only %v", p)
	}
	standing := rank(t, f, "vented", []string{"drum_not_turning"}, nil)
	if p := chance(standing, "high_limit_thermostat"); p > 0.03 {
		t.Errorf("drum stands: high_limit_thermostat at %v", p)
	}
}

// Unlicensed readers get no steps inside gas or sealed refrigeration.
func TestFact_GasAndSealedCircuitAreLicensed(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	skill := map[string]string{"gas_igniter": "gas", "gas_valve_coil": "gas", "flame_sensor": "gas", "compressor": "sealed_refrigeration"}
	gas, ok := dryer(t).VariantIndex("gas_vented")
	if !ok || dryer(t).Variants[gas].Licence != "gas" {
		t.Error("anybody may open a gas dryer")
	}
	seen := 0
	for _, f := range b.Families {
		for i, fault := range f.Faults {
			want := skill[f.Parts[fault.Part].Kind]
			if want == "" {
				continue
			}
			seen++
			if fault.Hazard != knowledge.Licensed || f.Parts[fault.Part].Licence != want {
				t.Errorf("%s: hazard %v, licence %q", fault.Code, fault.Hazard, f.Parts[fault.Part].Licence)
			}
			for _, c := range f.Checks {
				for _, tells := range c.Faults {
					if tells == i && c.Hazard != knowledge.Licensed && c.Hazard != knowledge.Outside {
						t.Errorf("check %s leads inside %s", c.Code, fault.Code)
					}
				}
			}
		}
	}
	if seen != len(skill) {
		t.Errorf("saw %d licensed faults, want %d", seen, len(skill))
	}
}

// Every danger a caller may report is there; an emergency ends triage and the
// danger of the machine never does without.
func TestFact_Hazards(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	none := []string{"gas_smell", "carbon_monoxide", "fire", "smoke", "person_trapped"}
	priority := []string{"burning_smell", "electric_shock", "water_near_electrics", "trips_breaker", "sparks", "overheating",
		"refrigerant_leak", "flood_damage", "opened_by_user", "interlock_defeated", "vulnerable_person", "medicine_or_food"}
	for _, code := range none {
		if h, ok := b.Hazard(code); !ok || h.Booking != knowledge.BookingNone || !h.Stops || h.Class != knowledge.Emergency {
			t.Errorf("%s: %+v", code, h)
		}
	}
	for _, code := range priority {
		h, ok := b.Hazard(code)
		if !ok || h.Booking != knowledge.BookingPriority || h.Stops == (h.Class == knowledge.Care) {
			t.Errorf("%s: %+v", code, h)
		}
	}
	if len(b.Hazards) != len(none)+len(priority) {
		t.Errorf("%d hazards", len(b.Hazards))
	}
	for i := 1; i < len(b.Hazards); i++ {
		if b.Hazards[i].Class < b.Hazards[i-1].Class {
			t.Errorf("%s is graver than %s but stands after it", b.Hazards[i].Code, b.Hazards[i-1].Code)
		}
	}
}

func chance(ranked []needed, kind string) float64 {
	for _, r := range ranked {
		if r.kind == kind {
			return r.p
		}
	}
	return 0
}
