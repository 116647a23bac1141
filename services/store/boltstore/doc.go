// Package boltstore keeps jobs, technicians and warehouses in one file on the
// local disk. It is the default: nothing else has to run.
//
// Start with Open and Store, which implements job.Store. One process has the
// file at a time; a second one is told so after Options.Timeout instead of
// waiting for ever. Every commit is one transaction, synced to the disk before
// it is acknowledged.
//
// It must not know what is decided or why.
//
// The file holds, per region, one bucket with five more in it: jobs,
// technicians, warehouses (id to record), requests (request id to job id) and
// urgent (ids of urgent jobs nobody is sent to). The region bucket's own
// sequence gives the versions. A worked number: the third commit of a region
// gives version 3 to all it writes, even if the other two touched other
// records.
package boltstore
