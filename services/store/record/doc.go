// Package record is the form in which every store keeps a job, a technician or
// a warehouse: JSON in an envelope that names format and kind, behind the
// version and a blank.
//
// Start with Encode and Decode. It must not know where records go.
//
// A worked example: version 7 of a warehouse is
//
//	7 {"format":1,"kind":"warehouse","data":{"ID":"W1",...}}
//
// so that a script can read the version without knowing JSON, and a reader of
// the future can tell an old format from a broken one.
package record
