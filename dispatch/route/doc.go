// Package route fits one more visit into a technician's day.
//
// Start with Visit, what is to be fitted in; Cheapest, which tries every place
// in the order of the day and returns the cheapest that keeps all promises;
// and Insertion, the day with the visit in it.
//
// It must not know why this technician is considered, which parts the visit
// takes, or what anything costs: the caller prices an insertion.
//
// A worked number: a technician at A has a visit at C, 20 minutes away. B lies
// on the way, 10 minutes from each. Fitting B in before C adds no driving, only
// the time on site; after C it adds 10 minutes.
package route
