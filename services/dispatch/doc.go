// Package dispatch serves onevisit.dispatch.v1: it turns calls into decisions of
// the dispatch rooms and keeps what they promise in a store.
//
// Start from [New] and [Server.CreateJob]: read (snapshot), ask (triage and
// parts, over gRPC), decide (package offer), promise (one Commit). A commit that
// finds a record changed starts again from reading; nothing is half-done.
//
// It must not know rules of the trade: which technician is best, which part
// fits and what a word means are decided elsewhere.
//
// Worked number: two calls for the last part on a van both read version 7; the
// first commit makes it 8, the second gets a stale version, reads again and
// finds the part reserved.
package dispatch
