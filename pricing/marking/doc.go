// Package marking reads what is printed on an old part, or what a tired
// technician typed from it, into a part.Spec, and prints the canonical mark
// back.
//
// Start from Parse and Parsed. Parse never guesses: what it cannot read is
// returned in Parsed.Unread, a value stated twice differently is dropped and
// reported, and a missing value stays unset. Two conventions of the trade are
// applied because every reader of such marks applies them: volts on a motor
// capacitor are AC unless marked DC (common practice, no source), and MF or MFD
// is the microfarad, never milli.
//
// The package must not know what may replace what (package fit).
//
// Worked number: "12,5uF 450VAC CL.C" gives 12 500 000 pF, one rating of 450 V
// class C, and the canonical mark "12.5 µF 450 VAC C".
package marking
