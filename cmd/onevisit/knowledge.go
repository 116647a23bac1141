package main

import (
	"cmp"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"onevisit/cmd/internal/page"
	"onevisit/cmd/onevisit/internal/screen"
	"onevisit/diagnosis/knowledge"
	"onevisit/services/triage"
)

// knowledgeCmd checks, shows and copies what is known about faults. It works on
// files and asks no server.
type knowledgeCmd struct {
	Check knowledgeCheckCmd `cmd:"" help:"Check an expert's folder as it would be laid over the knowledge that comes with the program."`
	Show  knowledgeShowCmd  `cmd:"" help:"Show the families, or one of them with its faults and questions."`
	Copy  knowledgeCopyCmd  `cmd:"" help:"Write the knowledge that comes with the program into a folder, as a starting point."`
}

type knowledgeCheckCmd struct {
	Dir  string `arg:"" help:"The expert's folder."`
	JSON bool   `name:"json" help:"Print the problems as JSON."`
}

// Help is shown below the flags.
func (knowledgeCheckCmd) Help() string {
	return `A folder laid over the shipped knowledge replaces whole families, and single files at the top. Every problem is
printed as file:line:column: what is wrong; the exit code is 1 when there is one.

Example:
  onevisit knowledge check my-knowledge`
}

// problem is one thing wrong in an expert's files. Line and column are 0 when
// the file as a whole is meant.
type problem struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Message string `json:"message"`
}

// String returns "file:line:column: message".
func (p problem) String() string {
	if p.Line == 0 {
		return p.File + ": " + p.Message
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Message)
}

// Run checks a folder.
func (c *knowledgeCheckCmd) Run(a *app) error {
	over, err := folder("knowledge check", c.Dir)
	if err != nil {
		return err
	}
	if over == nil {
		return usage("knowledge check: the name of the folder is empty")
	}
	found := problems(c.Dir, over)
	switch {
	case c.JSON:
		if err := a.object(found); err != nil {
			return err
		}
	case len(found) == 0:
		if _, err := fmt.Fprintln(a.stdout, "No problems: a server started with this folder will use it."); err != nil {
			return err
		}
	default:
		for _, p := range found {
			fmt.Fprintln(a.stdout, p)
		}
	}
	if len(found) > 0 {
		return errFound
	}
	return nil
}

// shipped comes before the names of files that are not the expert's own.
const shipped = "base/"

// problems finds all that is wrong with a folder: first in its files, then, when
// they are good, in what a service makes of them.
func problems(dir string, over fs.FS) []problem {
	out := []problem{}
	for _, p := range knowledge.Verify(knowledge.Embedded(), over) {
		file := filepath.Join(dir, filepath.FromSlash(p.File))
		if rest, ok := strings.CutPrefix(p.File, shipped); ok {
			file = "(shipped) " + rest
		}
		out = append(out, problem{file, p.Line, p.Column, p.Message})
	}
	if len(out) == 0 {
		if _, err := triage.New(triage.Config{Knowledge: over}); err != nil {
			for _, line := range strings.Split(err.Error(), "\n") {
				out = append(out, problem{File: dir, Message: line})
			}
		}
	}
	return out
}

type knowledgeShowCmd struct {
	Family    string `arg:"" optional:"" help:"Code of a family; all of them, in short, when left out."`
	Knowledge string `placeholder:"DIR" help:"An expert's folder laid over the knowledge that comes with the program."`
	JSON      bool   `name:"json" help:"Print it as JSON."`
}

// Help is shown below the flags.
func (knowledgeShowCmd) Help() string {
	return "Examples:\n  onevisit knowledge show\n  onevisit knowledge show tumble_dryer"
}

// familyView is one family as printed.
type familyView struct {
	Code     string      `json:"code"`
	Label    string      `json:"label"`
	Variants []string    `json:"variants"`
	Parts    []string    `json:"part_kinds"`
	Findings []string    `json:"findings"`
	Faults   []faultView `json:"faults"`
	Asks     []askView   `json:"questions"`
	Checks   int         `json:"checks"`
}

type faultView struct {
	Code  string  `json:"code"`
	Label string  `json:"label"`
	Part  string  `json:"part_kind"`
	Prior float64 `json:"prior"`
}

type askView struct {
	Code    string   `json:"code"`
	Text    string   `json:"text"`
	Answers []string `json:"answers"`
}

func viewOf(f *knowledge.Family) familyView {
	out := familyView{Code: f.Code, Label: f.Label, Checks: len(f.Checks)}
	for _, v := range f.Variants {
		out.Variants = append(out.Variants, v.Code)
	}
	for _, p := range f.Parts {
		out.Parts = append(out.Parts, p.Kind)
	}
	for _, x := range f.Findings {
		out.Findings = append(out.Findings, x.Code)
	}
	for _, x := range f.Faults {
		out.Faults = append(out.Faults, faultView{x.Code, x.Label, f.Parts[x.Part].Kind, x.Prior})
	}
	slices.SortStableFunc(out.Faults, func(a, b faultView) int { return cmp.Compare(b.Prior, a.Prior) })
	for _, q := range f.Questions {
		one := askView{Code: q.Code, Text: q.Text}
		for _, x := range q.Answers {
			one.Answers = append(one.Answers, x.Code)
		}
		out.Asks = append(out.Asks, one)
	}
	return out
}

// Run shows knowledge.
func (c *knowledgeShowCmd) Run(a *app) error {
	over, err := folder("--knowledge", c.Knowledge)
	if err != nil {
		return err
	}
	base, err := knowledge.Default()
	if over != nil {
		base, err = knowledge.LoadOver(knowledge.Embedded(), over)
	}
	if err != nil {
		return err
	}
	if c.Family == "" {
		return c.all(a, base)
	}
	f, ok := base.Family(c.Family)
	if !ok {
		var known []string
		for _, f := range base.Families {
			known = append(known, f.Code)
		}
		return usage("no family %q; known are %s", c.Family, strings.Join(known, ", "))
	}
	v := viewOf(f)
	if c.JSON {
		return a.object(v)
	}
	p := a.page()
	c.one(p, v)
	return p.Err()
}

func (c *knowledgeShowCmd) all(a *app, base *knowledge.Base) error {
	views := []familyView{}
	for _, f := range base.Families {
		views = append(views, viewOf(f))
	}
	if c.JSON {
		return a.object(map[string]any{"version": base.Version, "families": views})
	}
	p := a.page()
	p.Field("Version", base.Version)
	p.Blank()
	rows := [][]string{}
	for _, v := range views {
		rows = append(rows, []string{v.Code, fmt.Sprint(len(v.Faults)), fmt.Sprint(len(v.Findings)), fmt.Sprint(len(v.Asks)), fmt.Sprint(v.Checks), strings.Join(v.Variants, ", ")})
	}
	p.Table(0, []string{"family", ">faults", ">findings", ">questions", ">checks", "variants"}, rows)
	return p.Err()
}

func (c *knowledgeShowCmd) one(p *page.Page, v familyView) {
	p.Title(v.Label)
	p.Field("Variants", strings.Join(v.Variants, ", "))
	p.Head("Faults, before anything is said")
	rows := [][]string{}
	for _, f := range v.Faults {
		rows = append(rows, []string{screen.Percent(f.Prior), f.Code, f.Part, f.Label})
	}
	p.Table(2, []string{">chance", "code", "part", "what"}, rows)
	p.Head("Questions")
	for _, q := range v.Asks {
		p.Item(2, q.Code, fmt.Sprintf("%s [%s]", q.Text, strings.Join(q.Answers, ", ")))
	}
}
