package knowledge

import (
	"slices"

	"go.yaml.in/yaml/v3"
)

// object reads the values of a record whose shape has been checked. A key that
// is left out reads as the zero value.
type object struct{ n *yaml.Node }

// get returns key and value of one entry, nil when it is left out.
func (o object) get(name string) (k, v *yaml.Node) {
	for i := 0; i+1 < len(o.n.Content); i += 2 {
		if o.n.Content[i].Value == name {
			return o.n.Content[i], o.n.Content[i+1]
		}
	}
	return nil, nil
}

func (o object) text(name string) string {
	if _, v := o.get(name); v != nil {
		return v.Value
	}
	return ""
}

func (o object) number(name string) float64 {
	if _, v := o.get(name); v != nil {
		f, _ := numberOf(v)
		return f
	}
	return 0
}

func (o object) flag(name string) bool {
	var b bool
	if _, v := o.get(name); v != nil {
		_ = v.Decode(&b) // its shape has been checked
	}
	return b
}

// word returns the index of the value in words, 0 when it is left out.
func (o object) word(name string, words []string) int {
	return max(0, slices.Index(words, o.text(name)))
}

// items returns the entries of a list.
func (o object) items(name string) []*yaml.Node {
	if _, v := o.get(name); v != nil {
		return v.Content
	}
	return nil
}

func (o object) objects(name string) []object {
	items := o.items(name)
	out := make([]object, len(items))
	for i, n := range items {
		out[i] = object{n}
	}
	return out
}

// texts returns a list of texts, nil when it is left out.
func (o object) texts(name string) []string {
	var out []string
	for _, n := range o.items(name) {
		out = append(out, n.Value)
	}
	return out
}

// pair is one entry of a table.
type pair struct {
	key   *yaml.Node
	value *yaml.Node
}

func (o object) pairs(name string) []pair {
	items := o.items(name)
	var out []pair
	for i := 0; i+1 < len(items); i += 2 {
		out = append(out, pair{items[i], items[i+1]})
	}
	return out
}
