package catalogue_test

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"onevisit/pricing/catalogue"
	"onevisit/pricing/marking"
	"onevisit/pricing/part"
)

// vocabulary is the part kinds of each family, without no_part.
var vocabulary = map[string]string{
	"tumble_dryer": `run_capacitor drive_belt idler_pulley belt_switch drum_roller drum_bearing drum_glide drum_seal drive_motor
		blower_wheel heating_element cycling_thermostat high_limit_thermostat thermal_fuse temperature_sensor moisture_sensor door_switch
		door_catch start_switch timer control_board user_interface_board mains_filter mains_cord lint_filter vent_hose condensate_pump
		float_switch condenser_seal fan_motor compressor gas_igniter gas_valve_coil flame_sensor`,
	"washing_machine": `drain_pump pump_filter drain_hose inlet_valve inlet_hose pressure_switch pressure_hose door_interlock door_handle
		door_gasket lid_switch dispenser drive_belt drive_motor motor_brushes run_capacitor motor_control_board tachometer heating_element
		temperature_sensor drum_bearing drum_spider shock_absorber suspension_spring counterweight clutch gearcase control_board
		user_interface_board mains_filter mains_cord recirculation_pump`,
	"dishwasher": `circulation_pump run_capacitor drain_pump drain_hose non_return_valve inlet_valve inlet_hose float_switch pressure_switch
		flow_meter heating_element temperature_sensor turbidity_sensor door_seal door_latch door_hinge spray_arm sump_filter
		detergent_dispenser softener_unit diverter rack_part control_board user_interface_board mains_filter mains_cord`,
	"fridge_freezer": `start_relay overload_protector run_capacitor compressor inverter_board sealed_system thermostat temperature_sensor
		defrost_heater defrost_thermostat defrost_timer evaporator_fan condenser_fan air_damper door_gasket door_hinge door_switch lamp
		drain_heater water_valve water_filter ice_maker control_board user_interface_board mains_cord`,
	"cooker": `bake_element grill_element fan_element oven_fan cooling_fan thermostat temperature_sensor thermal_cutout selector_switch
		energy_regulator hob_element induction_board touch_control hob_glass clock_timer oven_lamp door_hinge door_seal door_glass door_lock
		spark_module gas_igniter flame_safety gas_valve control_board terminal_block control_knob`,
	"microwave_oven": `magnetron hv_capacitor hv_diode hv_transformer hv_fuse inverter_board line_fuse door_interlock_switch door_latch
		door_assembly thermal_cutout turntable_motor turntable_coupler fan_motor stirrer waveguide_cover grill_element keypad
		user_interface_board control_board lamp mains_cord`,
	"range_hood": `fan_motor run_capacitor speed_switch lamp grease_filter fan_impeller control_board duct_damper mains_cord`,
}

// TestDefault_PricesEveryPartKind: every kind has a price, and no kind is
// priced that nobody can need.
func TestDefault_PricesEveryPartKind(t *testing.T) {
	b := catalogue.Default()
	if got := b.Families(); len(got) != len(vocabulary) {
		t.Errorf("families %v, want %d", got, len(vocabulary))
	}
	for family, kinds := range vocabulary {
		want := strings.Fields(kinds)
		for _, kind := range want {
			if p, err := b.Part(family, kind); err != nil || p.Low.MinorUnits() <= 0 || p.Source == "" {
				t.Errorf("%s %s: %+v, %v", family, kind, p, err)
			}
		}
		if got := b.Kinds(family); len(got) != len(want) {
			t.Errorf("%s prices %d kinds, want %d: %v", family, len(got), len(want), got)
		}
	}
}

// TestDefault_CapacitorTenToThirty: common practice, no source.
func TestDefault_CapacitorTenToThirty(t *testing.T) {
	b := catalogue.Default()
	if b.Currency != "USD" {
		t.Fatalf("currency %s: the test is in dollars", b.Currency)
	}
	for _, family := range []string{"tumble_dryer", "washing_machine", "dishwasher", "range_hood", "fridge_freezer"} {
		p, err := b.Part(family, part.RunCapacitor)
		if err != nil || p.Low.MinorUnits() < 1000 || p.High.MinorUnits() > 3000 {
			t.Errorf("%s: %v to %v, %v; want 10 to 30", family, p.Low, p.High, err)
		}
	}
}

// TestDefault_MarksAreReadable: typical and model marks of typed kinds read
// completely.
func TestDefault_MarksAreReadable(t *testing.T) {
	b := catalogue.Default()
	read := func(kind, mark string) {
		p, err := marking.Parse(kind, mark)
		if err != nil || len(p.Unread) > 0 || p.Canonical == "" {
			t.Errorf("%s %q: %v, unread %v", kind, mark, err, p.Unread)
		}
	}
	for _, family := range b.Families() {
		for _, kind := range b.Kinds(family) {
			p, _ := b.Part(family, kind)
			for _, m := range p.Marks {
				read(kind, m)
			}
		}
	}
	for _, model := range []string{"D-100", "d 100", "D200", "HP-7"} {
		r, err := b.Ratings("tumble_dryer", model)
		if err != nil || r[part.RunCapacitor] == "" {
			t.Errorf("model %s: %v, %v", model, r, err)
		}
		for kind, mark := range r {
			read(kind, mark)
		}
	}
	if _, err := b.Ratings("washing_machine", "D-100"); !errors.Is(err, catalogue.ErrModel) {
		t.Errorf("a dryer's model in another family: %v", err)
	}
	if _, err := b.Part("tumble_dryer", "no_part"); !errors.Is(err, catalogue.ErrPart) {
		t.Errorf("no_part: %v", err)
	}
}

const goodBook = `format: 1
currency: EUR
tax: {name: VAT, percent: "20"}
labour_per_hour: "80"
call_out: {amount: "70", included_minutes: 20}
minimum_charge: "60"
final_test_minutes: 10
rounding: {rule: half_even, cash_step: 5}
valid_days: 7
parts:
  tumble_dryer:
    run_capacitor: {low: "9", typical: "15", high: "25", source: own list}
`

func TestLoad_OwnersFolder(t *testing.T) {
	b, err := catalogue.Load(fstest.MapFS{"book.yaml": {Data: []byte(goodBook)}})
	if err != nil {
		t.Fatal(err)
	}
	if p, err := b.Part("tumble_dryer", "run_capacitor"); err != nil || p.Typical.String() != "EUR 15.00" || b.TaxRate != 200_000 || b.CashStep != 5 {
		t.Errorf("%+v %v %+v", p, err, b)
	}
}

func TestLoad_BadFiles(t *testing.T) {
	swap := func(old, with string) string { return strings.Replace(goodBook, old, with, 1) }
	models := "format: 1\nmodels:\n  - {family: tumble_dryer, model: D-1, ratings: {run_capacitor: 8 uF}}\n"
	for _, c := range []struct{ name, book, models, want string }{
		{"unknown key", swap("valid_days", "valid_day"), "", "book.yaml:9: invalid file: field valid_day not known here"},
		{"key twice", goodBook + "    run_capacitor: {low: \"9\"}\n", "", `book.yaml:13: invalid file: mapping key "run_capacitor" already defined at line 12`},
		{"currency", swap("EUR", "EURO"), "", `book.yaml:2: invalid file: price: currency: "EURO"`},
		{"too fine", swap(`"80"`, `"80.005"`), "", `book.yaml:4: invalid file: price: amount: "80.005" has more than 2 decimals`},
		{"below zero", swap(`"70"`, `"-70"`), "", `book.yaml:5: invalid file: "-70" is below zero`},
		{"percent", swap(`"20"`, `"1/5"`), "", `book.yaml:3: invalid file: percent "1/5"`},
		{"rounding", swap("half_even", "bankers"), "", `book.yaml:8: invalid file: rounding rule "bankers"`},
		{"minutes", swap("final_test_minutes: 10", "final_test_minutes: -1"), "", "book.yaml:7: invalid file: -1 is outside"},
		{"order", swap(`low: "9"`, `low: "19"`), "", "book.yaml:12: invalid file: low 19, typical 15, high 25 are not rising"},
		{"source", swap(", source: own list", ""), "", "book.yaml:12: invalid file: source must be given"},
		{"band", swap(`{low: "9", typical: "15", high: "25", source: own list}`, "{band: small}"), "", `book.yaml:12: invalid file: no band "small"`},
		{"no_part", swap("run_capacitor", "no_part"), "", "book.yaml:12: invalid file: no_part has no price"},
		{"empty", "", "", "book.yaml:1: invalid file: empty"},
		{"two documents", goodBook + "---\nformat: 1\n", "", "more than one document"},
		{"model family", goodBook, strings.Replace(models, "tumble_dryer", "boat", 1), `models.yaml:3: invalid file: family "boat"`},
		{"model part", goodBook, strings.Replace(models, "run_capacitor", "sail", 1), `models.yaml:3: invalid file: catalogue: no price for part "sail"`},
		{"model twice", goodBook, models + "  - {family: tumble_dryer, model: d1, ratings: {run_capacitor: 8 uF}}\n", `models.yaml:4: invalid file: model "d1" twice`},
	} {
		files := fstest.MapFS{"book.yaml": {Data: []byte(c.book)}}
		if c.models != "" {
			files["models.yaml"] = &fstest.MapFile{Data: []byte(c.models)}
		}
		_, err := catalogue.Load(files)
		if !errors.Is(err, catalogue.ErrBook) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
	if _, err := catalogue.Load(fstest.MapFS{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no book: %v", err)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add(goodBook, "")                                                       // the smallest good book
	f.Add(goodBook, "format: 1\nmodels: []\n")                                // no models
	f.Add("format: 1\ncurrency: JPY\ntax: {percent: \"99999999999\"}\n", "a") // a rate beyond any field
	f.Add("a: &a {b: *a}", "- - -")                                           // an alias of itself
	f.Fuzz(func(t *testing.T, book, models string) {
		b, err := catalogue.Load(fstest.MapFS{"book.yaml": {Data: []byte(book)}, "models.yaml": {Data: []byte(models)}})
		if err == nil && (b.Currency == "" || len(b.Families()) == 0) {
			t.Errorf("loaded a book without currency or parts: %+v", b)
		}
	})
}
