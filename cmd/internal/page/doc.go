// Package page sets text for people: wrapped to the width of the terminal, bold
// and coloured there, plain everywhere else.
//
// Start from [For], which finds out what it writes to, or [New]; then the
// methods of [Page], each of which sets one kind of line: [Page.Head],
// [Page.Para], [Page.Item], [Page.Table], [Page.Day].
//
// It must not know what is said, only how it is set. Text that came from
// outside is safe to hand over: control characters are taken out, so that no
// caller's words can steer a terminal.
//
// Worked number: on a page of 20 columns, Item(2, "1.", "close the tap first")
// is "  1. close the tap" and "     first": the second line hangs under the
// first word.
package page
