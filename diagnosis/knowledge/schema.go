package knowledge

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Schemas returns the JSON schemas (draft 2020-12) of the files, by file name:
// one for each file at the top, and family.schema.json, whose $defs has one
// entry for each file of a family. They are written from the same description
// that the loader checks against; what one file says about another, such as a
// reference, only the loader can check.
func Schemas() map[string][]byte {
	out := map[string][]byte{}
	for _, f := range topFiles {
		s := f.shape.schema()
		s["$schema"] = schemaDialect
		s["title"] = f.name
		out[stem(f.name)+".schema.json"] = encode(s)
	}
	defs, refs := map[string]any{}, []any{}
	for _, f := range familyFiles {
		s := f.shape.schema()
		s["title"] = f.name
		defs[stem(f.name)] = s
		refs = append(refs, map[string]any{"$ref": "#/$defs/" + stem(f.name)})
	}
	out["family.schema.json"] = encode(map[string]any{
		"$schema":     schemaDialect,
		"title":       "files of a family",
		"description": "Any one file in the folder of a family; $defs names them.",
		"$defs":       defs,
		"anyOf":       refs,
	})
	return out
}

const schemaDialect = "https://json-schema.org/draft/2020-12/schema"

func stem(name string) string { return strings.TrimSuffix(name, ".yaml") }

func encode(s map[string]any) []byte {
	b, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		panic(fmt.Sprintf("knowledge: schema: %v", err)) // cannot happen: strings, numbers, maps and lists only
	}
	return append(b, '\n')
}

// schema writes the shape as a JSON schema.
func (s *shape) schema() map[string]any {
	out := map[string]any{}
	if s.doc != "" {
		out["description"] = s.doc
	}
	switch s.kind {
	case text:
		out["type"], out["minLength"], out["maxLength"] = "string", 1, maxText
		out["pattern"] = `^\S(.*\S)?$`
	case code:
		out["type"], out["pattern"] = "string", codePattern.String()
	case word:
		out["enum"] = s.words
	case flag:
		out["type"] = "boolean"
	case number:
		out["type"] = "number"
		out[either(s.loOpen, "exclusiveMinimum", "minimum")] = s.lo
		out[either(s.hiOpen, "exclusiveMaximum", "maximum")] = s.hi
	case list:
		out["type"], out["items"] = "array", s.item.schema()
		out["minItems"], out["maxItems"] = s.lo, s.most()
	case table:
		out["type"], out["additionalProperties"] = "object", s.item.schema()
		out["propertyNames"] = map[string]any{"pattern": codePattern.String()}
		out["minProperties"], out["maxProperties"] = s.lo, s.most()
	case record:
		out["type"], out["additionalProperties"] = "object", false
		properties, required := map[string]any{}, []string{}
		for i := range s.keys {
			k := &s.keys[i]
			properties[k.name] = k.shape.schema()
			if k.required {
				required = append(required, k.name)
			}
		}
		out["properties"], out["required"] = properties, required
	}
	return out
}

// most is the greatest number of entries of a list or table.
func (s *shape) most() float64 {
	if s.hi == 0 {
		return maxItems
	}
	return s.hi
}

func either(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}
