// Package redisstore keeps jobs, technicians and warehouses in Redis 7, for
// several dispatch processes over one set of data.
//
// Start with Open and Store, which implements job.Store. All keys of a region
// carry one {region} hash tag, so they live in one slot and one script can
// change them together. Commit is one script, Snapshot another; Redis runs a
// script whole, so nothing is ever half done or half seen.
//
// What "acknowledged" is worth is the server's configuration: with appendonly
// yes and appendfsync always a commit is on disk before it is acknowledged;
// with everysec up to about a second of commits can go with the machine. With
// Options.Replicas the commit also waits for that many replicas.
//
// It must not know what is decided or why.
//
// A worked number: a commit of a job and a technician touches 5 of the 9 keys:
// seq, jobs, jobids, technicians, technicianids; an urgent job or a request id
// makes it 6 or 7.
package redisstore
