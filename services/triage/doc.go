// Package triage serves onevisit.triage.v1: words, answers and readings in, an
// assessment out.
//
// Start from [New] and [Server.Assess]: read the words (package wording), add
// answers and readings, compute belief, choose kit and question. Knowledge is
// loaded and compiled once, at the start; a request changes nothing.
//
// It must not know rules of the trade: what a word means, what a fault causes
// and what an answer is worth are decided in the rooms of diagnosis.
//
// Worked number: with eight findings heard, explaining the ranking takes nine
// posteriors, one for each finding added.
package triage
