package main

import (
	"bytes"
	"encoding/json"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"onevisit/cmd/internal/page"
)

// page sets text on standard output.
func (a *app) page() *page.Page { return page.For(a.stdout, a.getenv) }

// message prints a message of the contract: as JSON, or set by set.
func (a *app) message(asJSON bool, m proto.Message, set func(*page.Page)) error {
	if !asJSON {
		p := a.page()
		set(p)
		return p.Err()
	}
	raw, err := protojson.Marshal(m)
	if err != nil {
		return err
	}
	return a.indented(raw)
}

// protoMessage shortens the signatures here.
type protoMessage = proto.Message

// messages prints several messages as one JSON object: of each the field it is
// named after.
func (a *app) messages(parts map[string]protoMessage) error {
	all := map[string]json.RawMessage{}
	for name, m := range parts {
		raw, err := protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(m)
		if err != nil {
			return err
		}
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(raw, &fields); err != nil {
			return err
		}
		all[name] = fields[name]
	}
	return a.object(all)
}

// object prints any value as JSON.
func (a *app) object(v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return a.indented(raw)
}

// indented prints JSON in one fixed layout: that of protojson differs from run
// to run on purpose.
func (a *app) indented(raw []byte) error {
	var out bytes.Buffer
	if err := json.Indent(&out, raw, "", "  "); err != nil {
		return err
	}
	out.WriteByte('\n')
	_, err := a.stdout.Write(out.Bytes())
	return err
}
