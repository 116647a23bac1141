package marking

import (
	"fmt"
	"strings"

	"onevisit/pricing/part"
)

// Capacitor prints the canonical mark of a capacitor: type where it is not a
// plain run capacitor, value, tolerance, voltages with classes, climate,
// protection, frequency, then fittings. A value not stated prints nothing, so a
// capacitor that states nothing prints "".
func Capacitor(c part.Capacitor) string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	switch c.Construction {
	case part.Start:
		add("start")
	case part.Suppressor:
		add("suppressor")
	case part.DC:
		add("DC")
	case part.Lamp:
		add("lamp")
	case part.HighVoltage:
		add("HV")
	}
	a, b := part.Decimal(int64(c.Capacitance), 6), part.Decimal(int64(c.Second), 6)
	switch {
	case c.Capacitance == 0:
	case c.Upper > 0:
		add("%s-%s µF", a, part.Decimal(int64(c.Upper), 6))
	case c.Assembly == part.Dual:
		add("dual %s+%s µF", a, b)
	case c.Assembly == part.Two:
		add("two singles %s µF + %s µF", a, b)
	case c.Assembly == part.Parallel:
		add("%s µF + %s µF in parallel", a, b)
	case c.Assembly == part.Series:
		add("%s µF + %s µF in series", a, b)
	default:
		add("%s µF", a)
	}
	if t := c.Tolerance; t.Minus == t.Plus && t.Plus > 0 {
		add("±%s %%", part.Decimal(int64(t.Plus), 1))
	} else if t.Stated() {
		add("-%s/+%s %%", part.Decimal(int64(t.Minus), 1), part.Decimal(int64(t.Plus), 1))
	}
	var pairs []string
	for _, p := range c.Ratings {
		if p.Volts > 0 {
			pairs = append(pairs, strings.TrimSpace(fmt.Sprintf("%d VAC %s", p.Volts, p.Class.Letter())))
		}
	}
	if len(pairs) > 0 {
		add("%s", strings.Join(pairs, " / "))
	}
	if c.DCVolts > 0 {
		add("%d VDC", c.DCVolts)
	}
	switch {
	case c.Climate.Days > 0:
		add("%d/%03d/%d", -c.Climate.Min, c.Climate.Max, c.Climate.Days)
	case c.Climate.Stated():
		add("%d/+%d °C", c.Climate.Min, c.Climate.Max)
	}
	if p := c.Protection.String(); p != "" {
		add("%s", p)
	}
	if c.Frequency != 0 {
		add("%s", [...]string{"", "50 Hz", "60 Hz", "50/60 Hz"}[c.Frequency&3])
	}
	switch c.Terminals {
	case part.SingleTabs:
		add("single tabs")
	case part.DoubleTabs:
		add("double tabs")
	case part.Leads:
		add("leads")
	}
	if c.TabTenths > 0 {
		add("%s mm tabs", part.Decimal(int64(c.TabTenths), 1))
	}
	switch {
	case c.Bleed == part.No:
		add("no bleed")
	case c.BleedOhms > 0:
		add("%d ohm bleed", c.BleedOhms)
	case c.Bleed == part.Yes:
		add("bleed")
	}
	if c.Stud > 0 {
		add("M%d stud", c.Stud)
	}
	if c.DiameterTenths > 0 && c.LengthTenths > 0 {
		add("%sx%s mm", part.Decimal(int64(c.DiameterTenths), 1), part.Decimal(int64(c.LengthTenths), 1))
	}
	return strings.Join(out, " ")
}
