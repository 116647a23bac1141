// Package storetest is the conformance suite every job.Store passes, whole.
//
// Start with Run, which a store's own test calls with a way to open an empty
// store; Check, which looks for promises that do not match; and Failing, a store
// that fails on purpose.
//
// It must not know any particular store, and there is no way to leave a case
// out: a store that cannot pass one is not a store.
//
// A worked number: 64 bookers after 20 parts on 5 vans end with exactly 20 jobs
// assigned, 20 parts promised and no visit overlapping another.
package storetest
