package knowledge

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// A shape describes what may stand at one place of a file. The loader checks
// files against it and the JSON schema is written from it, so that the two
// cannot disagree.
type shape struct {
	kind kind
	doc  string // what an expert needs to know, in one sentence
	keys []key  // of a record
	item *shape // of a list, or the values of a table
	// bounds of a number, or of the length of a list or table
	lo, hi         float64
	loOpen, hiOpen bool // the bound itself is not allowed
	words          []string
}

type key struct {
	name     string
	required bool
	shape    shape
}

type kind int

const (
	text   kind = iota // words for people
	code               // lower-case name that other entries refer to
	word               // one of words
	number             // with bounds
	flag               // true or false
	list               // of item
	record             // fixed keys
	table              // codes as keys, item as values
)

const (
	maxText  = 600  // runes of one text
	maxItems = 2000 // entries of one list or table
)

var codePattern = regexp.MustCompile(`^[a-z][a-z0-9_]{0,47}$`)

func (s *shape) names() []string {
	out := make([]string, len(s.keys))
	for i := range s.keys {
		out[i] = s.keys[i].name
	}
	return out
}

// bounds says which numbers, or how many entries, are allowed.
func (s *shape) bounds() string {
	low, high := "at least ", "at most "
	if s.loOpen {
		low = "above "
	}
	if s.hiOpen {
		high = "below "
	}
	return fmt.Sprintf("%s%v and %s%v", low, s.lo, high, s.hi)
}

func (s *shape) within(v float64) bool {
	if math.IsNaN(v) || v < s.lo || v > s.hi {
		return false
	}
	return (!s.loOpen || v != s.lo) && (!s.hiOpen || v != s.hi)
}

// wanted says in words what the shape allows.
func (s *shape) wanted() string {
	switch s.kind {
	case text:
		return "a text"
	case code:
		return "a code of lower-case letters, digits and _, such as drive_belt"
	case word:
		return "one of " + strings.Join(s.words, ", ")
	case number:
		return "a number " + s.bounds()
	case flag:
		return "true or false"
	case list:
		return "a list"
	case record:
		return "keys and values, of " + strings.Join(s.names(), ", ")
	case table:
		return "codes and their values"
	}
	return "nothing"
}

// checker checks one file against its shape.
type checker struct {
	file string
	r    *report
}

func (c *checker) at(n *yaml.Node, format string, args ...any) {
	c.r.add(c.file, max(n.Line, 1), max(n.Column, 1), format, args...)
}

// check reports everything below n that s does not allow. name is how the
// place is called in a message. Its depth is bounded by the depth of s.
func (c *checker) check(n *yaml.Node, s *shape, name string) {
	switch {
	case n.Kind == yaml.AliasNode:
		c.at(n, "%s is an alias (*): write the value out, aliases are not allowed", name)
		return
	case n.Anchor != "":
		c.at(n, "%s has an anchor (&): anchors are not allowed", name)
		return
	case n.Kind == yaml.ScalarNode && n.Tag == "!!null":
		c.at(n, "%s is empty: it must be %s", name, s.wanted())
		return
	}
	switch s.kind {
	case record:
		c.record(n, s, name)
	case table:
		c.table(n, s, name)
	case list:
		c.list(n, s, name)
	default:
		c.scalar(n, s, name)
	}
}

func (c *checker) record(n *yaml.Node, s *shape, name string) {
	if n.Kind != yaml.MappingNode {
		c.at(n, "%s must be %s", name, s.wanted())
		return
	}
	seen := c.keys(n)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if seen[k.Value] != k {
			continue // reported by keys
		}
		sub := s.key(k.Value)
		if sub == nil {
			c.at(k, "unknown key %q%s: allowed here are %s", short(k.Value), nearest(k.Value, s.names()), strings.Join(s.names(), ", "))
			continue
		}
		c.check(v, &sub.shape, k.Value)
	}
	for i := range s.keys {
		if k := &s.keys[i]; k.required && seen[k.name] == nil {
			c.at(n, "key %q is missing from %s: it must be %s", k.name, name, k.shape.wanted())
		}
	}
}

func (s *shape) key(name string) *key {
	for i := range s.keys {
		if s.keys[i].name == name {
			return &s.keys[i]
		}
	}
	return nil
}

// keys returns the first node of each key and reports keys that are repeated or
// are not plain words.
func (c *checker) keys(n *yaml.Node) map[string]*yaml.Node {
	seen := make(map[string]*yaml.Node, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		switch {
		case k.Kind != yaml.ScalarNode || k.Tag == "!!merge":
			c.at(k, "a key must be a plain word")
		case seen[k.Value] != nil:
			c.at(k, "key %q is given twice, first in line %d", short(k.Value), seen[k.Value].Line)
		default:
			seen[k.Value] = k
		}
	}
	return seen
}

func (c *checker) table(n *yaml.Node, s *shape, name string) {
	if n.Kind != yaml.MappingNode {
		c.at(n, "%s must be %s", name, s.wanted())
		return
	}
	c.length(n, s, name, len(n.Content)/2)
	seen := c.keys(n)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if seen[k.Value] != k {
			continue
		}
		if !codePattern.MatchString(k.Value) {
			c.at(k, "%q is not a code of lower-case letters, digits and _", short(k.Value))
			continue
		}
		c.check(v, s.item, k.Value)
	}
}

func (c *checker) list(n *yaml.Node, s *shape, name string) {
	if n.Kind != yaml.SequenceNode {
		c.at(n, "%s must be %s", name, s.wanted())
		return
	}
	c.length(n, s, name, len(n.Content))
	for _, v := range n.Content {
		c.check(v, s.item, "an entry of "+name)
	}
}

func (c *checker) length(n *yaml.Node, s *shape, name string, got int) {
	limit := s.most()
	if f := float64(got); f < s.lo || f > limit {
		c.at(n, "%s has %d entries: allowed are %v to %v", name, got, s.lo, limit)
	}
}

func (c *checker) scalar(n *yaml.Node, s *shape, name string) {
	if n.Kind != yaml.ScalarNode {
		c.at(n, "%s must be %s", name, s.wanted())
		return
	}
	switch s.kind {
	case text:
		if n.Tag != "!!str" {
			c.at(n, "%s %s is not a text: put it in quotes", name, short(n.Value))
			return
		}
		if why := badText(n.Value); why != "" {
			c.at(n, "%s %s", name, why)
		}
	case code:
		if n.Tag != "!!str" || !codePattern.MatchString(n.Value) {
			c.at(n, "%s %q must be %s", name, short(n.Value), s.wanted())
		}
	case word:
		for _, w := range s.words {
			if n.Value == w {
				return
			}
		}
		c.at(n, "%s %q%s must be %s", name, short(n.Value), nearest(n.Value, s.words), s.wanted())
	case number:
		v, ok := numberOf(n)
		if !ok {
			c.at(n, "%s %q must be %s", name, short(n.Value), s.wanted())
		} else if !s.within(v) {
			c.at(n, "%s %v is out of range: it must be %s", name, v, s.bounds())
		}
	case flag:
		var v bool
		if n.Tag != "!!bool" || n.Decode(&v) != nil {
			c.at(n, "%s %q must be true or false", name, short(n.Value))
		}
	}
}

func badText(v string) string {
	switch {
	case strings.TrimSpace(v) == "":
		return "is empty"
	case utf8.RuneCountInString(v) > maxText:
		return fmt.Sprintf("is longer than %d characters", maxText)
	case strings.TrimSpace(v) != v:
		return "begins or ends with a space"
	}
	for _, r := range v {
		if unicode.IsControl(r) {
			return fmt.Sprintf("holds the control character %U", r)
		}
	}
	return ""
}

func numberOf(n *yaml.Node) (float64, bool) {
	if n.Kind != yaml.ScalarNode || (n.Tag != "!!int" && n.Tag != "!!float") {
		return 0, false
	}
	var v float64
	if err := n.Decode(&v); err != nil {
		return 0, false
	}
	return v, true
}

// short cuts what a file says down to what a message can bear.
func short(v string) string {
	const most = 60
	if utf8.RuneCountInString(v) <= most {
		return v
	}
	return string([]rune(v)[:most]) + "…"
}
