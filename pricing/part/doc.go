// Package part holds the typed description of a spare part: what is printed on
// it, in units, with "not printed" kept apart from every value.
//
// Start from Spec (one part as read), then Capacitor and Belt. Field lets a
// rule written as data name a property ("voltage", "ribs") and compare it
// without knowing the Go type.
//
// The package must not know how a mark is spelled (marking), what may replace
// what (fit) or what anything costs (catalogue, quote).
//
// Worked number: a dual capacitor of 40+5 µF at 440 V AC is Capacitance
// 40 000 000 pF, Second 5 000 000 pF, Assembly Dual, Ratings[0].Volts 440. All
// quantities are integers, so 12,5 µF and 12.5 µF are equal and 8.2 µF is not 8.
package part
