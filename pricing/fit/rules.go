package fit

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"onevisit/pricing/internal/sheet"
	"onevisit/pricing/part"
)

//go:embed rules/*.yaml
var embedded embed.FS

// Rules are loaded rules for any number of part kinds, ready to use and never
// changed: safe for concurrent use.
type Rules struct{ kinds map[string]*ruleSet }

// ruleSet is the rules of one kind, in file order.
type ruleSet struct {
	rules []rule
	// equalNeeds are the fields that must be stated for two equal but
	// incomplete marks to be accepted with conditions; nil switches that off.
	equalNeeds []part.Field
}

// softens reports whether missing values become conditions because both parts
// carry the same incomplete mark.
func (s *ruleSet) softens(o, c *part.Spec) bool {
	if len(s.equalNeeds) == 0 || o.Text == "" || o.Text != c.Text {
		return false
	}
	for _, f := range s.equalNeeds {
		if !f.Get(o).Set {
			return false
		}
	}
	return true
}

// file is a rule file as written. See rules/*.yaml for the words.
type file struct {
	Kind         string     `yaml:"kind"`
	Needs        []string   `yaml:"equal_incomplete_marks_need"`
	NeedsSay     string     `yaml:"equal_incomplete_marks_say"`
	HotFamilies  []string   `yaml:"hot_families"`
	Rules        []fileRule `yaml:"rules"`
	FormatNumber int        `yaml:"format"`
}

type fileRule struct {
	ID      string       `yaml:"id"`
	Field   string       `yaml:"field"`
	Compare string       `yaml:"compare"`
	Effect  string       `yaml:"effect"`
	Needed  bool         `yaml:"needed"`
	Missing string       `yaml:"missing"`
	Only    *fileOnly    `yaml:"only"`
	Silent  string       `yaml:"silent_means"`
	Content string       `yaml:"any_will_do_for"`
	Cross   []fileCross  `yaml:"except"`
	Within  *fileWithin  `yaml:"within"`
	AskOver int64        `yaml:"ask_if_more_by"`
	Say     string       `yaml:"say"`
	Asks    string       `yaml:"ask"`
	Why     string       `yaml:"why"`
	Source  string       `yaml:"source"`
	Length  *fileLengths `yaml:"lengths"`
}

type fileOnly struct {
	Field string   `yaml:"field"`
	Is    []string `yaml:"is"`
}

type fileCross struct {
	Original  string `yaml:"original"`
	Candidate string `yaml:"candidate"`
	Outcome   string `yaml:"outcome"`
	Say       string `yaml:"say"`
}

type fileWithin struct {
	Below int64 `yaml:"below_micrometres"`
	Above int64 `yaml:"above_micrometres"`
}

type fileLengths struct {
	Tight int64 `yaml:"fixed_centres_permille"`
	Loose int64 `yaml:"adjustable_permille"`
	Slack int64 `yaml:"other_basis_slack_micrometres"`
}

// Default returns the rules shipped with the program. It panics only if the
// shipped files are broken, which a test rules out.
func Default() *Rules {
	sub, err := fs.Sub(embedded, "rules")
	if err == nil {
		var rs *Rules
		if rs, err = Load(sub); err == nil {
			return rs
		}
	}
	panic(err)
}

// Load reads every *.yaml file at the root of a file system, one part kind
// each. The files replace the shipped ones, they do not add to them.
//
// Errors wrap ErrRules and name file, line and what is wrong; a folder without
// rule files is an error too, since it would let nothing be refused.
func Load(fsys fs.FS) (*Rules, error) {
	names, err := fs.Glob(fsys, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRules, err)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%w: no *.yaml file in the folder", ErrRules)
	}
	rs := &Rules{kinds: make(map[string]*ruleSet)}
	for _, name := range names {
		if err := rs.load(fsys, path.Clean(name)); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrRules, err)
		}
	}
	return rs, nil
}

// Kinds returns the part kinds that have rules, and Ids of them, for tests and
// for showing an expert what is loaded. The order is not defined.
func (rs *Rules) Kinds() map[string][]string {
	out := make(map[string][]string, len(rs.kinds))
	for kind, set := range rs.kinds {
		for _, r := range set.rules {
			out[kind] = append(out[kind], r.id)
		}
	}
	return out
}

func (rs *Rules) load(fsys fs.FS, name string) error {
	var f file
	s, err := sheet.Read(fsys, name, &f)
	if err != nil {
		return err
	}
	at := func(steps ...any) []any { return steps }
	switch {
	case f.FormatNumber != 1:
		return s.Fail(at("format"), "format must be 1")
	case part.Fields(f.Kind) == nil:
		return s.Fail(at("kind"), "part kind %q has no typed spec", f.Kind)
	case rs.kinds[f.Kind] != nil:
		return s.Fail(at("kind"), "part kind %q has a second file", f.Kind)
	case len(f.Rules) == 0:
		return s.Fail(at("rules"), "no rules")
	}
	set := &ruleSet{}
	for i, n := range f.Needs {
		field, ok := part.Lookup(f.Kind, n)
		if !ok {
			return s.Fail(at("equal_incomplete_marks_need", i), "no field %q in %s", n, f.Kind)
		}
		set.equalNeeds = append(set.equalNeeds, field)
	}
	if (len(f.Needs) > 0) != (f.NeedsSay != "") {
		return s.Fail(at("equal_incomplete_marks_need"), "equal_incomplete_marks_need and _say go together")
	}
	seen := map[string]bool{}
	for i, fr := range f.Rules {
		if seen[fr.ID] {
			return s.Fail(at("rules", i), "rule id %q twice", fr.ID)
		}
		seen[fr.ID] = true
		r, where, err := compile(f, fr)
		if err != nil {
			return s.Fail(at("rules", i, where), "rule %q: %v", fr.ID, err)
		}
		set.rules = append(set.rules, r)
	}
	rs.kinds[f.Kind] = set
	return nil
}

// compile checks one rule and binds its words to codes. The second result is
// the key the error is about.
func compile(f file, fr fileRule) (r rule, where string, err error) {
	if fr.ID == "" || strings.ToLower(fr.ID) != fr.ID || strings.ContainsAny(fr.ID, " _") {
		return r, "id", fmt.Errorf("an id is lower-case words joined by hyphens")
	}
	field, ok := part.Lookup(f.Kind, fr.Field)
	if !ok {
		return r, "field", fmt.Errorf("no field %q in %s", fr.Field, f.Kind)
	}
	r = rule{id: fr.ID, field: field, needed: fr.Needed, askOver: fr.AskOver, why: fr.Why, source: fr.Source,
		say: fr.Say, asks: fr.Asks, hot: f.HotFamilies, equalSay: f.NeedsSay}
	if r.onDiffer, ok = effects[fr.Effect]; !ok {
		return r, "effect", fmt.Errorf("effect %q is none of gate, condition, mention", fr.Effect)
	}
	// Gating values may not be missing; of the others a missing one is as bad
	// as a different one, no worse.
	r.onMissing = min(r.onDiffer, Missing)
	if fr.Missing != "" {
		if r.onMissing, ok = map[string]Outcome{"condition": Condition, "ask": Missing, "mention": Noted}[fr.Missing]; !ok {
			return r, "missing", fmt.Errorf("missing %q is none of ask, condition, mention", fr.Missing)
		}
	}
	if r.compare, ok = comparisons[fr.Compare]; !ok {
		return r, "compare", fmt.Errorf("unknown comparison %q", fr.Compare)
	}
	if fr.Why == "" || fr.Source == "" {
		return r, "id", fmt.Errorf("why and source must be given (a source may be %q)", commonPractice)
	}
	if r.onDiffer == Condition && fr.Say == "" {
		return r, "effect", fmt.Errorf("a condition must say what to do")
	}
	if where, err = r.bind(f, fr); err != nil {
		return r, where, err
	}
	return r, "", nil
}

var effects = map[string]Outcome{"gate": Differs, "condition": Condition, "mention": Noted}

// bind resolves the parts of a rule that are words or numbers of one comparison.
func (r *rule) bind(f file, fr fileRule) (where string, err error) {
	code := func(field part.Field, word string) (part.Value, error) {
		if n, ok := field.Words[word]; ok {
			return part.Of(n), nil
		}
		return part.Value{}, fmt.Errorf("field %s has no word %q", field.Name, word)
	}
	if fr.Only != nil {
		scope, ok := part.Lookup(f.Kind, fr.Only.Field)
		if !ok {
			return "only", fmt.Errorf("no field %q in %s", fr.Only.Field, f.Kind)
		}
		r.scope = &scope
		for _, w := range fr.Only.Is {
			if w == "unknown" {
				r.scopeUnknown = true
				continue
			}
			v, err := code(scope, w)
			if err != nil {
				return "only", err
			}
			r.scopeIs |= 1 << v.N
		}
	}
	if fr.Silent != "" {
		if r.silent, err = code(r.field, fr.Silent); err != nil {
			return "silent_means", err
		}
	}
	if fr.Content != "" {
		if r.content, err = code(r.field, fr.Content); err != nil {
			return "any_will_do_for", err
		}
	}
	for _, c := range fr.Cross {
		x := cross{say: c.Say}
		var ok bool
		if x.outcome, ok = map[string]Outcome{"agrees": Agrees, "mention": Noted, "condition": Condition, "ask": Ask, "differs": Differs}[c.Outcome]; !ok {
			return "except", fmt.Errorf("outcome %q is none of agrees, mention, condition, ask, differs", c.Outcome)
		}
		if x.outcome == Condition && c.Say == "" {
			return "except", fmt.Errorf("a condition must say what to do")
		}
		o, err := code(r.field, c.Original)
		if err != nil {
			return "except", err
		}
		k, err := code(r.field, c.Candidate)
		if err != nil {
			return "except", err
		}
		x.original, x.candidate = o.N, k.N
		r.cross = append(r.cross, x)
	}
	if fr.Within != nil {
		r.below, r.above = fr.Within.Below, fr.Within.Above
	}
	if fr.Length != nil {
		r.tight, r.loose, r.slack = fr.Length.Tight, fr.Length.Loose, fr.Length.Slack
	}
	switch {
	case fr.Compare == "within" && fr.Within == nil:
		return "compare", fmt.Errorf("within needs its limits")
	case fr.Compare == "belt_length" && (r.loose <= 0 || r.tight < 0):
		return "compare", fmt.Errorf("belt_length needs lengths with a positive adjustable_permille")
	}
	return "", nil
}
