// Package kit chooses which part kinds pay their way on the van, before the
// fault is certain.
//
// Start from [Problem], what may be needed together and with what probability;
// [Best], the exact optimum; and [Plan], the answer. [Of] builds the problem
// from a posterior. [BestWithin] keeps to a number of slots and [Reach] to a
// wanted chance of finishing in one visit.
//
// A visit is complete when every part that turns out to be needed is there. A
// part costs its carrying whether or not it is used, an incomplete visit costs
// a return. Parts needed together pay together, so the gain has increasing
// returns: adding parts one at a time and stopping at the first that does not
// pay is wrong. The unlimited problem is project selection, exact by minimum
// cut (Rhys 1970, Picard 1976, attribution from memory); with a limit on slots
// it is NP-hard and solved by branch and bound.
//
// It must not know ratings, stock, vans, money or text.
//
// Worked number: parts a, b, c, d cost 6, 9, 8 and 5 minutes to carry; a is
// needed with probability 0.20, b and c together 0.40, a and d 0.15, c and d
// 0.10, nothing 0.15. With a return visit of 40 minutes all four pay (28 to
// carry, always complete), though alone none but a and d would.
package kit
