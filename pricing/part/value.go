package part

import "strings"

// Value is one property of a part as a rule sees it. Set false means "not
// printed or not readable", whatever N holds: such a value equals nothing.
type Value struct {
	// N is the quantity in the field's unit, the rank of an ordered word, the
	// code of a word, or a bit set; the Field says which.
	N int64
	// Set reports whether the property was stated at all.
	Set bool
	// Unreadable reports that something was printed there but could not be
	// read, so that silence is not taken for "nothing asked". Only with Set false.
	Unreadable bool
}

// Of returns a stated value.
func Of(n int64) Value { return Value{N: n, Set: true} }

// positive treats zero and below as not stated.
func positive(n int64) Value { return Value{N: n, Set: n > 0} }

// Presence is a yes/no property that may also be unsaid. The zero value is
// Unsaid and never equals Yes or No.
type Presence uint8

// The three states of a Presence.
const (
	Unsaid Presence = iota
	Yes
	No
)

// Field is a named property of one kind of part.
type Field struct {
	// Name is the word rules use, for example "voltage".
	Name string
	// Label is the words a technician reads, for example "rated voltage".
	Label string
	// Get reads the property. It must not change the spec.
	Get func(*Spec) Value
	// Format prints a stated value with its unit; a value not stated prints as
	// "not stated". Nil for fields that only scope other rules.
	Format func(Value) string
	// Text, where set, prints the whole property of a spec when one number
	// cannot: both sections, all pairs, a length with its basis. It returns ""
	// when the property is not stated.
	Text func(*Spec) string
	// Words are the names of an enumeration's codes, nil for quantities. Rules
	// write the word, never the code.
	Words map[string]int64
	// Bits marks a field whose N is a bit set rather than a quantity.
	Bits bool
}

// Show prints a value of the field for a reader.
func (f Field) Show(v Value) string {
	if !v.Set {
		return "not stated"
	}
	if f.Format != nil {
		return f.Format(v)
	}
	for word, code := range f.Words {
		if code == v.N {
			return strings.ReplaceAll(word, "_", " ")
		}
	}
	return "not stated"
}

// Describe prints the field of a spec for a reader, "not stated" when it is not.
func (f Field) Describe(s *Spec) string {
	if f.Text != nil {
		if t := f.Text(s); t != "" {
			return t
		}
		return "not stated"
	}
	return f.Show(f.Get(s))
}

// Fields returns the properties rules may name for a part kind, nil when the
// kind has no typed spec yet. The slice is shared: do not change it.
func Fields(kind string) []Field {
	switch kind {
	case RunCapacitor:
		return capacitorFields
	case DriveBelt:
		return beltFields
	}
	return nil
}

// Lookup finds a property by name. Cost O(number of fields).
func Lookup(kind, name string) (Field, bool) {
	for _, f := range Fields(kind) {
		if f.Name == name {
			return f, true
		}
	}
	return Field{}, false
}
