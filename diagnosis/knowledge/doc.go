// Package knowledge holds what experts know about faults: for each family of
// appliance its parts, findings, faults and what they cause, questions, checks
// and access, and for all families the dangers and what to say. It reads them
// from YAML files that an expert edits, and refuses a bad file with its name,
// line and column.
//
// Start from [Load], [Default] and [LoadOver], which return a [Base]; a
// [Family] is what the other rooms read. [Verify] says what is wrong with a
// folder. Everything is read-only after loading and safe for concurrent use.
//
// It must not know words of callers, how beliefs are worked out, how it is
// served, or where on a disk its files are: it takes an fs.FS.
//
// Worked number: an expert writes that a broken belt is the matter in 0.078 of
// calls. With shares that sum to 1.07 and 1.12 faults per call the loader scales
// it by 0.230/1.07 to a prior of 0.017, so that two faults at once stay the
// exception (see setPriors).
package knowledge
