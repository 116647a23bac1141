package part

// Part kinds that have a typed spec. Every other kind of the trade's vocabulary
// is carried as a plain string with a free mark.
const (
	RunCapacitor = "run_capacitor"
	DriveBelt    = "drive_belt"
)

// Spec is one part as read from its mark. At most one of the typed pointers is
// set, and only for a kind that has a type; the others rely on Text alone.
type Spec struct {
	// Kind is the part kind's code, for example "run_capacitor".
	Kind string
	// Capacitor is set for run_capacitor.
	Capacitor *Capacitor
	// Belt is set for drive_belt.
	Belt *Belt
	// Text is the mark in normal form: the canonical mark of a typed kind, the
	// normalised free mark otherwise. Empty when nothing could be read. Two
	// specs with the same Kind and non-empty Text carry equal marks.
	Text string
}

// Equal reports whether two specs say the same in every field. A field unset
// on both sides is the same here: this is identity of what was read, not a
// verdict that one part may replace the other.
func (s Spec) Equal(t Spec) bool {
	if s.Kind != t.Kind || s.Text != t.Text {
		return false
	}
	if (s.Capacitor == nil) != (t.Capacitor == nil) || (s.Belt == nil) != (t.Belt == nil) {
		return false
	}
	if s.Capacitor != nil && *s.Capacitor != *t.Capacitor {
		return false
	}
	return s.Belt == nil || *s.Belt == *t.Belt
}
