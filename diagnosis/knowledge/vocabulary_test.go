package knowledge_test

import (
	"slices"
	"strings"
	"testing"

	"onevisit/diagnosis/knowledge"
)

// vocabulary is every part kind of the two families in the shared vocabulary
// of the trade that all rooms use.
var vocabulary = map[string]string{
	"tumble_dryer": `run_capacitor drive_belt idler_pulley belt_switch drum_roller drum_bearing drum_glide drum_seal
		drive_motor blower_wheel heating_element cycling_thermostat high_limit_thermostat thermal_fuse temperature_sensor
		moisture_sensor door_switch door_catch start_switch timer control_board user_interface_board mains_filter mains_cord
		lint_filter vent_hose condensate_pump float_switch condenser_seal fan_motor compressor gas_igniter gas_valve_coil
		flame_sensor no_part`,
	"washing_machine": `drain_pump pump_filter drain_hose inlet_valve inlet_hose pressure_switch pressure_hose door_interlock
		door_handle door_gasket lid_switch dispenser drive_belt drive_motor motor_brushes run_capacitor motor_control_board
		tachometer heating_element temperature_sensor drum_bearing drum_spider shock_absorber suspension_spring counterweight
		clutch gearcase control_board user_interface_board mains_filter mains_cord recirculation_pump no_part`,
}

// TestVocabulary_EveryPartHasAFault: the loader refuses a part without a fault,
// so it is enough that the part kinds are the vocabulary's.
func TestVocabulary_EveryPartHasAFault(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	for family, kinds := range vocabulary {
		f, ok := b.Family(family)
		if !ok {
			t.Errorf("no family %s", family)
			continue
		}
		want := strings.Fields(kinds)
		var got []string
		for _, p := range f.Parts {
			got = append(got, p.Kind)
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(want, got) {
			t.Errorf("%s: parts %v, want %v", family, got, want)
		}
	}
}

// TestVocabulary_EveryPartCanBeSingledOut: for each part kind but no_part there
// is a fault whose own three most telling findings put that part first in some
// variant. A kind that nothing singles out could never be named on the phone.
func TestVocabulary_EveryPartCanBeSingledOut(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range b.Families {
		for p, part := range f.Parts {
			found := false
			for i, fault := range f.Faults {
				if fault.Part != p || found {
					continue
				}
				present := telling(f, i, 3)
				for _, v := range f.Variants {
					found = found || factor(fault, v.Code) > 0 && rank(t, f, v.Code, present, nil)[0].kind == part.Kind
				}
			}
			if !found {
				t.Errorf("%s: nothing singles out %s", f.Code, part.Kind)
			}
		}
	}
}

// telling returns the codes of the n findings of a fault with the highest
// ratio of link to leak.
func telling(f *knowledge.Family, fault, n int) []string {
	links := slices.Clone(f.Faults[fault].Links)
	slices.SortFunc(links, func(a, b knowledge.Link) int {
		x, y := a.P/f.Findings[a.Finding].Leak, b.P/f.Findings[b.Finding].Leak
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	var out []string
	for _, l := range links[:min(n, len(links))] {
		out = append(out, f.Findings[l.Finding].Code)
	}
	return out
}
