package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

// Format is the format written. Raise it when old data would be misread by new
// code, and teach Decode the old one.
const Format = 1

// The kinds.
const (
	Job        = "job"
	Technician = "technician"
	Warehouse  = "warehouse"
)

type envelope struct {
	Format int             `json:"format"`
	Kind   string          `json:"kind"`
	Data   json.RawMessage `json:"data"`
}

// Value is what can be kept.
type Value interface {
	job.Job | fleet.Technician | fleet.Warehouse
}

func kindOf[T Value](v *T) (kind string, version *int64) {
	switch v := any(v).(type) {
	case *job.Job:
		return Job, &v.Version
	case *fleet.Technician:
		return Technician, &v.Version
	case *fleet.Warehouse:
		return Warehouse, &v.Version
	}
	panic("record: Value grew without kindOf") // unreachable: Value lists the types
}

// Document returns the envelope of v without version, for a store that gives
// the version later.
func Document[T Value](v T) ([]byte, error) {
	kind, version := kindOf(&v)
	*version = 0 // the version stands in front; a second one inside could disagree
	data, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("record: %s: %w", kind, err)
	}
	return json.Marshal(envelope{Format: Format, Kind: kind, Data: data})
}

// Join puts the version in front of a document.
func Join(version int64, document []byte) []byte {
	return append(strconv.AppendInt(make([]byte, 0, len(document)+20), version, 10), append([]byte{' '}, document...)...)
}

// Version reads the version in front. Errors wrap job.ErrFormat.
func Version(stored []byte) (int64, error) {
	front, _, ok := bytes.Cut(stored, []byte{' '})
	v, err := strconv.ParseInt(string(front), 10, 64)
	if !ok || err != nil || v < 1 {
		return 0, fmt.Errorf("%w: no version in front", job.ErrFormat)
	}
	return v, nil
}

// Decode reads a record with its version. It keeps nothing of stored. Errors
// wrap job.ErrFormat and never carry the record's content, which is personal.
func Decode[T Value](stored []byte) (T, error) {
	var v, none T
	kind, version := kindOf(&v)
	n, err := Version(stored)
	if err != nil {
		return none, err
	}
	_, document, _ := bytes.Cut(stored, []byte{' '})
	var e envelope
	if err := json.Unmarshal(document, &e); err != nil {
		return none, fmt.Errorf("%w: %s is no envelope", job.ErrFormat, kind)
	}
	if e.Format != Format || e.Kind != kind {
		return none, fmt.Errorf("%w: format %d, kind %.20q; want format %d, kind %q", job.ErrFormat, e.Format, e.Kind, Format, kind)
	}
	if err := json.Unmarshal(e.Data, &v); err != nil {
		return none, fmt.Errorf("%w: %s does not have the shape of format %d", job.ErrFormat, kind, Format)
	}
	*version = n
	return v, nil
}
