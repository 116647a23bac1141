// Package evidence holds the one noun that every room of diagnosis reads: what
// is known about one appliance in trouble.
//
// Start from [Evidence]: the appliance, the findings that were said, answered
// or measured, and what was said about parts. Words go in through the wording
// room, answers and readings through the caller; belief reads the result and
// nothing downstream reads raw words.
//
// It is a leaf. It must not know knowledge, language, probabilities of faults,
// transport or storage.
//
// Worked number: a finding heard in plain words with Ratio 20 multiplies the
// odds of that finding by 20, so an even chance becomes 20/21 = 0.952.
package evidence
