package knowledge_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"go.yaml.in/yaml/v3"

	"onevisit/diagnosis/knowledge"
)

func TestDefault_IsGood(t *testing.T) {
	for _, p := range knowledge.Verify(knowledge.Embedded(), nil) {
		t.Error(p)
	}
}

// TestDefault_Counts guards against a file that lost its tail, and against
// shares counted in another measure than the others.
func TestDefault_Counts(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	s := knowledge.Count(b)
	if s.Version != b.Version || len(s.Families) != 2 {
		t.Fatalf("%+v", s)
	}
	for _, f := range s.Families {
		if f.Faults < 60 || f.Findings < 100 || f.Questions < 40 || f.Checks < 30 || f.NoPart < 20 || f.PhoneFix < 20 {
			t.Errorf("%+v", f)
		}
		if per := float64(f.Links) / float64(f.Faults); per < 5 || per > 15 {
			t.Errorf("%s: %.1f links a fault", f.Code, per)
		}
		if f.Shares < 0.9 || f.Shares > 1.3 {
			t.Errorf("%s: shares sum to %.2f", f.Code, f.Shares)
		}
	}
}

// TestDefault_PriorsGiveSharesBack: given at least one fault, the mean number of
// faults is that of the family and each fault is about as likely as its share,
// when the shares sum to it. Worked out from the priors alone.
func TestDefault_PriorsGiveSharesBack(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range b.Families {
		mean, none := 0.0, 1.0
		for _, fault := range f.Faults {
			mixed := 0.0
			for _, v := range f.Variants {
				mixed += v.Share * factor(fault, v.Code)
			}
			mean += fault.Prior * mixed
			none *= 1 - fault.Prior*mixed
		}
		if got := mean / (1 - none); got < f.FaultsPerCall-0.005 || got > f.FaultsPerCall+0.005 {
			t.Errorf("%s: %.4f faults per call, want %v", f.Code, got, f.FaultsPerCall)
		}
	}
}

func TestLoad_LookupsAgreeWithLists(t *testing.T) {
	b, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range b.Families {
		byHand := &knowledge.Family{Code: f.Code, Findings: f.Findings, Faults: f.Faults, Parts: f.Parts,
			Questions: f.Questions, Access: f.Access, Checks: f.Checks, Variants: f.Variants}
		for _, x := range []*knowledge.Family{f, byHand} { // with and without an index
			for i, v := range f.Findings {
				if j, ok := x.FindingIndex(v.Code); !ok || i != j {
					t.Fatalf("finding %s: %d, %v", v.Code, j, ok)
				}
			}
			for i, v := range f.Faults {
				if j, ok := x.FaultIndex(v.Code); !ok || i != j {
					t.Fatalf("fault %s: %d, %v", v.Code, j, ok)
				}
			}
			for name, find := range map[string]func(string) (int, bool){
				"variant": x.VariantIndex, "part": x.PartIndex, "finding": x.FindingIndex, "fault": x.FaultIndex,
				"question": x.QuestionIndex, "access": x.AccessIndex, "check": x.CheckIndex,
			} {
				if _, ok := find("no such code"); ok {
					t.Errorf("%s found that is not there", name)
				}
			}
		}
	}
	if _, ok := b.Family("no such family"); ok {
		t.Error("family found that is not there")
	}
	if _, ok := b.Hazard("no such hazard"); ok {
		t.Error("hazard found that is not there")
	}
}

// layer makes a set of files from their contents.
func layer(files map[string]string) fstest.MapFS {
	out := fstest.MapFS{}
	for name, content := range files {
		out[name] = &fstest.MapFile{Data: []byte(content)}
	}
	return out
}

func TestLoadOver_ReplacesWholeFamiliesAndAddsNew(t *testing.T) {
	over := fstest.MapFS{}
	for name, f := range good(t) {
		if rest, ok := strings.CutPrefix(name, "kettle/"); ok {
			over["urn/"+rest] = f
			over["washing_machine/"+rest] = f // an expert's own washing machine
		}
	}
	over["lexicon/en/words.yaml"] = &fstest.MapFile{Data: []byte("anything: at all")} // another room's
	over["notes.txt"] = &fstest.MapFile{Data: []byte("not ours")}
	// The default knows other skills and tools than the toy family.
	terms, err := fs.ReadFile(knowledge.Embedded(), "terms.yaml")
	if err != nil {
		t.Fatal(err)
	}
	terms = bytes.Replace(terms, []byte("tools:\n"), []byte("tools:\n  - {code: meter, label: \"meter\"}\n  - {code: spanner, label: \"spanner\"}\n"), 1)
	terms = bytes.Replace(terms, []byte("cautions:\n"), []byte("cautions:\n  - {code: hot, text: \"Hot.\"}\n"), 1)
	terms = bytes.Replace(terms, []byte("licensed_parts:\n"), []byte("licensed_parts:\n  burner: gas\n"), 1)
	over["terms.yaml"] = &fstest.MapFile{Data: terms}

	b, err := knowledge.LoadOver(knowledge.Embedded(), over)
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, f := range b.Families {
		codes = append(codes, f.Code)
	}
	if want := []string{"tumble_dryer", "urn", "washing_machine"}; !slices.Equal(codes, want) {
		t.Errorf("families %v, want %v", codes, want)
	}
	if f, _ := b.Family("washing_machine"); f == nil || len(f.Faults) != 4 {
		t.Error("the washing machine is not the expert's")
	}
	d, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	if b.Version == d.Version {
		t.Errorf("other content, same version %s", b.Version)
	}
	if len(b.Hazards) != len(d.Hazards) {
		t.Error("hazards of the base are lost")
	}
}

func TestLoadOver_TellsBaseFromOver(t *testing.T) {
	base := good(t)
	base["kettle/faults.yaml"].Data = bytes.Replace(base["kettle/faults.yaml"].Data, []byte("part: seal\n"), []byte("part: seel\n"), 1)
	got := knowledge.Verify(base, layer(map[string]string{"hazard.yaml": "hazards: []", "pot/parts.yml": "", "pot/parts.yaml": "parts: 3"}))
	var text []string
	for _, p := range got {
		text = append(text, p.Error())
	}
	all := strings.Join(text, "\n")
	for _, want := range []string{
		"base/kettle/faults.yaml:29:11: unknown part kind \"seel\"",
		"hazard.yaml: unknown file (did you mean \"hazards.yaml\"?)",
		"pot: family.yaml, findings.yaml, access.yaml, faults.yaml, causes.yaml, questions.yaml, checks.yaml missing: a family needs",
		"pot/parts.yml: unknown file (did you mean \"parts.yaml\"?)",
		"pot/parts.yaml:1:8: parts must be a list",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in\n%s", want, all)
		}
	}
}

func TestLoad_RefusesWhatItCannotRead(t *testing.T) {
	big := good(t)
	big["kettle/parts.yaml"] = &fstest.MapFile{Data: bytes.Repeat([]byte("# \n"), 400_000)}
	many := good(t)
	for name, file := range good(t) {
		if rest, ok := strings.CutPrefix(name, "kettle/"); ok {
			for i := range 64 {
				many[fmt.Sprintf("kettle_%d/%s", i, rest)] = file
			}
		}
	}
	for name, c := range map[string]struct {
		fsys fs.FS
		want string
	}{
		"nil":           {nil, "no folder given"},
		"empty":         {fstest.MapFS{}, "no family"},
		"too large":     {big, "larger than 1048576 bytes"},
		"too many":      {many, "more than 64 families"},
		"bad folder":    {layer(map[string]string{"My Kettle/parts.yaml": ""}), "name of a family's folder"},
		"no hazards":    {layer(map[string]string{"terms.yaml": "licensed_prefix: x"}), "hazards.yaml: file is missing"},
		"deep":          {layer(map[string]string{"version.yaml": strings.Repeat("[", 20_000)}), "not YAML"},
		"deep mappings": {layer(map[string]string{"version.yaml": strings.Repeat("{a: ", 5_000)}), "version.yaml"},
		"merge key":     {layer(map[string]string{"version.yaml": "<<: {version: x}"}), "a key must be a plain word"},
	} {
		_, err := knowledge.Load(c.fsys)
		if !errors.Is(err, knowledge.ErrInvalid) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %.300v", name, err)
		}
	}
}

// TestProblems_Bounded: a hostile file fills no memory with messages.
func TestProblems_Bounded(t *testing.T) {
	set := good(t)
	set["kettle/findings.yaml"] = &fstest.MapFile{Data: []byte("findings:\n" + strings.Repeat("  - {}\n", 1999))}
	got := knowledge.Verify(set, nil)
	if len(got) != 201 || !strings.Contains(got[200].Message, "more problems") {
		t.Errorf("%d problems, last %v", len(got), got[len(got)-1])
	}
	if knowledge.Problems(nil) != nil || knowledge.Problems(errors.New("other")) != nil {
		t.Error("problems from nowhere")
	}
}

func TestLoad_SameContentSameBase(t *testing.T) {
	first, err := knowledge.Load(good(t))
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			again, err := knowledge.Load(good(t))
			if err != nil {
				t.Error(err)
				return
			}
			if d := cmp.Diff(first, again, cmpopts.IgnoreUnexported(knowledge.Base{}, knowledge.Family{})); d != "" {
				t.Error(d)
			}
		})
	}
	wg.Wait()
}

// TestSchema_EveryKeyMatters: taking any key of the good set away changes what
// is loaded or is refused. A key that only the description knows would pass a
// slip in silence.
func TestSchema_EveryKeyMatters(t *testing.T) {
	want, err := knowledge.Load(good(t))
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for name, file := range good(t) {
		var doc yaml.Node
		if err := yaml.Unmarshal(file.Data, &doc); err != nil {
			t.Fatal(err)
		}
		each(&doc, func(m *yaml.Node, i int) {
			key := m.Content[i]
			kept := m.Content
			m.Content = slices.Delete(slices.Clone(kept), i, i+2)
			data, err := yaml.Marshal(&doc)
			m.Content = kept
			if err != nil {
				t.Fatal(err)
			}
			tried++
			set := good(t)
			set[name] = &fstest.MapFile{Data: data}
			got, err := knowledge.Load(set)
			if err != nil {
				return
			}
			got.Version = want.Version // the content differs, so the version does
			if cmp.Equal(got, want, cmpopts.IgnoreUnexported(knowledge.Base{}, knowledge.Family{})) {
				t.Errorf("%s:%d: key %q makes no difference", name, key.Line, key.Value)
			}
		})
	}
	if tried < 150 {
		t.Errorf("only %d keys tried", tried)
	}
}

// each calls f for every key of every mapping below n.
func each(n *yaml.Node, f func(mapping *yaml.Node, i int)) {
	if n.Kind == yaml.MappingNode {
		for i := 0; i < len(n.Content); i += 2 {
			f(n, i)
		}
	}
	for _, c := range n.Content {
		each(c, f)
	}
}

// TestSchema_GoodSetUsesEveryKey: the good set shows every key of the schemas,
// or the test above would not see it.
func TestSchema_GoodSetUsesEveryKey(t *testing.T) {
	used := map[string]bool{}
	for name, file := range good(t) {
		var doc yaml.Node
		if err := yaml.Unmarshal(file.Data, &doc); err != nil {
			t.Fatal(err)
		}
		each(&doc, func(m *yaml.Node, i int) { used[strings.TrimPrefix(name, "kettle/")+" "+m.Content[i].Value] = true })
	}
	for file, keys := range knowledge.KeysOfFiles() {
		for _, k := range keys {
			if !used[file+" "+k] {
				t.Errorf("%s: key %q is in the schema but not in the good set", file, k)
			}
		}
	}
}

func TestBase_IsNotEmptyByReflection(t *testing.T) {
	b, err := knowledge.Load(good(t))
	if err != nil {
		t.Fatal(err)
	}
	f, _ := b.Family("kettle")
	v := reflect.ValueOf(*f)
	for i := range v.NumField() {
		if v.Type().Field(i).IsExported() && v.Field(i).IsZero() {
			t.Errorf("Family.%s is empty", v.Type().Field(i).Name)
		}
	}
}
