// Package fit decides whether one part may replace another, and says why.
//
// Start from Default, which loads the rules shipped in rules/*.yaml, then
// Rules.Check and Result. Each rule compares one property, names its source
// and what follows when it fails; an expert edits the YAML, the engine here
// only compares. The rule that matters most: capacitance equal, voltage equal
// or higher, never lower.
//
// To add a part kind: a spec type with its fields in package part, a parser in
// marking, and rules/<kind>.yaml here; comparisons such as at_least and within
// are ready, a property that needs more than two numbers gets its own.
//
// The package must not know how marks are spelled (marking makes the specs),
// what parts cost, who asks, or where the files come from (an fs.FS).
//
// Worked number: an elastic belt of 1236 mm tolerates 0.5 % = 6.18 mm, so
// 1240 mm fits and 1246 mm does not.
package fit
