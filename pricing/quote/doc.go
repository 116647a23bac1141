// Package quote turns likely repairs into a price a customer can be told:
// expected, low and high, each with the lines that make it up.
//
// Start from Make, Request and Quote. The distribution is that of the real bill
// over the possible faults: opening the same panel is paid once, the call-out
// always, parts at the book's typical price.
//
// Money is whole minor units (package price). Probabilities come as floats and
// are rounded once, to parts per billion, before anything is summed. The
// package must not know how probabilities arise (diagnosis) nor what day it is:
// a quote is valid for a number of days, the caller knows from when.
//
// Worked number: with the default book a dryer's capacitor (25 minutes, 15 of
// them in the call-out, one at 18.00) is 95.00 + 16.67 + 18.00 + 16.67 for the
// final test = 146.34, with 8.5 % tax 158.78.
package quote
