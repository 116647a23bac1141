// Package parts serves onevisit.parts.v1: it reads marks, judges fit and quotes
// repairs by the rooms of pricing.
//
// Start from [New] and [Server.CheckFit]. Rules, price book and catalogue are
// loaded once, at the start; a request changes nothing.
//
// It must not know rules of the trade: what may replace what, and what it
// costs, are data read by the rooms of pricing.
//
// Worked number: a batch of 20,000 pairs that share few marks is read once per
// mark, not once per pair.
package parts
