package knowledge

// buildTerms reads terms.yaml into b and into the form the builders look up.
func buildTerms(b *Base, f *file, r *report) terms {
	root := object{f.root}
	w := terms{
		prefix: root.text("licensed_prefix"), skills: map[string]bool{}, licensed: map[string]bool{},
		tools: map[string]bool{}, cautions: map[string]string{}, parts: map[string]string{},
	}
	twice := func(o object, what string, taken bool) {
		if _, n := o.get("code"); taken {
			r.add(f.shown, n.Line, n.Column, "%s %q is defined twice", what, n.Value)
		}
	}
	for _, o := range root.objects("skills") {
		t := Term{Code: o.text("code"), Label: o.text("label"), Licensed: o.flag("licensed")}
		twice(o, "skill", w.skills[t.Code])
		w.skills[t.Code] = true
		if t.Licensed {
			w.licensed[t.Code] = true
		}
		b.Skills = append(b.Skills, t)
	}
	for _, o := range root.objects("tools") {
		t := Term{Code: o.text("code"), Label: o.text("label")}
		twice(o, "tool", w.tools[t.Code])
		w.tools[t.Code] = true
		b.Tools = append(b.Tools, t)
	}
	for _, o := range root.objects("cautions") {
		_, taken := w.cautions[o.text("code")]
		twice(o, "caution", taken)
		w.cautions[o.text("code")] = o.text("text")
	}
	for _, p := range root.pairs("licensed_parts") {
		if !w.licensed[p.value.Value] {
			r.add(f.shown, p.value.Line, p.value.Column, "%q is not a licensed skill%s", p.value.Value, nearest(p.value.Value, keysOf(w.licensed)))
		}
		w.parts[p.key.Value] = p.value.Value
	}
	return w
}

// buildHazards reads hazards.yaml.
func buildHazards(f *file, r *report) []Hazard {
	root := object{f.root}
	seen := map[string]bool{}
	var out []Hazard
	for _, o := range root.objects("hazards") {
		h := Hazard{
			Code: o.text("code"), Label: o.text("label"), Class: HazardSeverity(o.word("severity", severityWords)),
			Say: o.texts("say"), Stops: o.flag("stops"), Booking: Booking(o.word("booking", bookingWords)),
			Source: o.text("source"),
		}
		if h.Source == "" {
			h.Source = root.text("source")
		}
		at := func(field, format string, args ...any) {
			n := o.n
			if _, v := o.get(field); v != nil {
				n = v
			}
			r.add(f.shown, n.Line, n.Column, format, args...)
		}
		if h.Source == "" {
			at("", "source is missing: say where it comes from, here or at the top of the file")
		}
		if seen[h.Code] {
			at("code", "hazard %q is defined twice", h.Code)
		}
		seen[h.Code] = true
		if h.Class == Emergency && !h.Stops {
			at("stops", "stops must be true for an emergency")
		}
		if h.Class == Emergency && h.Booking != BookingNone {
			at("booking", "booking must be none for an emergency: nothing is booked until it is declared safe")
		}
		if h.Booking == BookingNone && !h.Stops {
			at("stops", "stops must be true where nothing may be booked")
		}
		out = append(out, h)
	}
	return out
}
