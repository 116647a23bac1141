// Package wording turns what a caller says into findings, hazards and mentions
// of parts: words in, evidence out.
//
// Start from [Load] or [Default], which read a lexicon, then [Lexicon.Read],
// which gives a [Reading]. Everything that belongs to a language or to the
// trade's manner of speaking is data in the lexicon folder: word forms,
// negation, hedges, synonyms, and for each finding the patterns that say it.
// The Go code knows only how such data are applied.
//
// The steps, one file each: tokens with byte offsets (token.go), unknown words
// repaired against the vocabulary (vocab.go), terms found in a trie (trie.go),
// clauses (clause.go), polarity in the manner of NegEx (polarity.go; Chapman et
// al. 2001), patterns over concepts (pattern.go, match.go), parts (parts.go).
//
// It must not know probabilities of faults, transport, storage or any language.
//
// Worked number: "The drum turns but there is no heat" gives drum_not_turning
// absent with ratio 12 and no_heat present with ratio 60; "I think there is no
// heat" gives no_heat present with ratio 5.
package wording
