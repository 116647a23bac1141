package knowledge_test

import (
	"math"
	"testing"

	"onevisit/diagnosis/knowledge"
)

// TestQuestions_Shift holds the questions to what a reply is worth on the phone:
// the complaint is certain, the reply weighs as the file says. Source of every
// shift: expert judgement, no measurement; the first four are those that the
// trade states as a figure.
func TestQuestions_Shift(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		family, variant  string
		present          []string
		question, answer string
		part             string
		least            float64
	}{
		{"tumble_dryer", "vented", []string{"hums_not_starting", "drum_not_turning"}, "hand_turn", "normal", "run_capacitor", 0.85},
		{"tumble_dryer", "vented", []string{"motor_runs_drum_still"}, "hand_turn", "light", "drive_belt", 0.93},
		{"washing_machine", "front_loader", []string{"overfills"}, "fills_off", "yes", "inlet_valve", 0.93},
		{"washing_machine", "front_loader", []string{"trips_breaker"}, "when_trips", "heating", "heating_element", 0.78},
		{"tumble_dryer", "vented", []string{"trips_breaker"}, "when_trips", "heat", "heating_element", 0.75},
		{"tumble_dryer", "vented", []string{"drum_not_turning"}, "hand_turn", "light", "drive_belt", 0.8},
		{"tumble_dryer", "vented", []string{"dead"}, "socket_works", "no", "no_part", 0.85},
		{"tumble_dryer", "vented", []string{"lights_but_no_start"}, "symbols", "lock", "no_part", 0.5},
		{"tumble_dryer", "vented", []string{"lights_but_no_start"}, "door_press", "yes", "door_switch", 0.5},
		{"tumble_dryer", "vented", []string{"lights_but_no_start"}, "start_button", "yes", "start_switch", 0.6},
		{"tumble_dryer", "vented", []string{"no_heat"}, "programme", "cool", "no_part", 0.6},
		{"tumble_dryer", "vented", []string{"takes_long"}, "air_outside", "weak", "no_part", 0.55},
		{"tumble_dryer", "vented", []string{"takes_long"}, "how_wet", "dripping", "no_part", 0.6},
		{"tumble_dryer", "vented", []string{"takes_long"}, "any_heat", "lukewarm", "heating_element", 0.35},
		{"tumble_dryer", "vented", []string{"door_not_staying_shut"}, "door_hook", "yes", "door_catch", 0.9},
		{"tumble_dryer", "condenser", []string{"tank_message"}, "tank_message_after", "stays", "condensate_pump", 0.45},
		{"tumble_dryer", "gas_vented", []string{"no_heat"}, "burner_glow", "none", "gas_igniter", 0.55},
		{"tumble_dryer", "gas_vented", []string{"no_heat"}, "burner_glow", "flame_goes", "gas_valve_coil", 0.5},
		{"tumble_dryer", "gas_vented", []string{"no_heat"}, "other_gas", "no", "no_part", 0.7},
		{"tumble_dryer", "heat_pump", []string{"no_heat"}, "deep_hum", "cuts_out", "run_capacitor", 0.3},
		{"washing_machine", "front_loader", []string{"water_left"}, "pump_sound", "silent", "drain_pump", 0.6},
		{"washing_machine", "front_loader", []string{"water_left"}, "trap_clean", "clogged", "no_part", 0.6},
		{"washing_machine", "front_loader", []string{"drum_not_turning"}, "hand_turn", "light", "drive_belt", 0.7},
		{"washing_machine", "front_loader", []string{"no_fill"}, "tap_open", "shut", "no_part", 0.75},
		{"washing_machine", "front_loader", []string{"water_leak"}, "rubber", "torn", "door_gasket", 0.7},
		{"washing_machine", "front_loader", []string{"walks_shakes"}, "level", "bolts", "no_part", 0.85},
		{"washing_machine", "front_loader", []string{"walks_shakes"}, "push_down", "bounces", "shock_absorber", 0.5},
		{"washing_machine", "front_loader", []string{"roar_on_spin"}, "hand_turn", "rumbles", "drum_bearing", 0.75},
		{"washing_machine", "front_loader", []string{"no_spin"}, "load_kind", "heavy", "no_part", 0.5},
		{"washing_machine", "front_loader", []string{"drum_not_turning"}, "motor_sound", "sparks", "motor_brushes", 0.45},
		{"washing_machine", "top_loader", []string{"no_spin"}, "lid_click", "no", "lid_switch", 0.5},
		{"washing_machine", "top_loader", []string{"agitates_no_spin"}, "oil", "yes", "gearcase", 0.6},
		{"washing_machine", "top_loader", []string{"hums_not_starting"}, "hand_turn", "normal", "run_capacitor", 0.7},
	} {
		t.Run(c.family+" "+c.present[0]+" "+c.question+" "+c.answer, func(t *testing.T) {
			f, _ := b.Family(c.family)
			q, ok := f.QuestionIndex(c.question)
			if !ok {
				t.Fatal("no such question")
			}
			var all []said
			for _, code := range c.present {
				all = append(all, said{code, true, math.Inf(1)})
			}
			found := false
			for _, a := range f.Questions[q].Answers {
				if a.Code != c.answer {
					continue
				}
				found = true
				for _, r := range a.Reports {
					all = append(all, said{f.Findings[r.Finding].Code, r.Present, r.Ratio})
				}
			}
			if !found {
				t.Fatal("no such answer")
			}
			if got := weigh(t, f, c.variant, all); got[0].kind != c.part || got[0].p < c.least {
				t.Errorf("want %s at %v or more, got %v", c.part, c.least, got[:3])
			}
		})
	}
}
