// Package catalogue holds what parts cost and what models carry: the price
// book, the marks met most often, and ratings by model.
//
// Start from Default, then Book.Part and Book.Ratings. The figures are YAML
// that an owner replaces by a folder of the same shape; a file with an unknown
// key, a bad amount or a price out of order is refused with file and line.
//
// The package must not know why a part is needed (diagnosis), whether it fits
// (fit), or how a bill is put together (quote).
//
// Worked number: the default book prices a dryer's run capacitor at 18.00,
// between 10.00 and 30.00 (common practice, no source).
package catalogue
