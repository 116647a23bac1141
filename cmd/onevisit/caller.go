package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	commonv1 "onevisit/proto/onevisit/common/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// caller is what is known from the telephone: the words and the appliance.
type caller struct {
	Text     []string `arg:"" optional:"" name:"text" help:"The caller's words; - reads them from standard input."`
	Family   string   `group:"what" placeholder:"CODE" help:"Kind of appliance, such as tumble_dryer."`
	Variant  string   `group:"what" placeholder:"CODE" help:"Its construction, such as heat_pump; left out when not known."`
	Age      *float64 `group:"what" placeholder:"YEARS" help:"Its age."`
	Model    string   `group:"what" placeholder:"TEXT" help:"Its model, as read from the plate."`
	Rating   []string `group:"what" sep:"none" placeholder:"PART=MARK" help:"A mark read off a part of this machine, such as run_capacitor='8 µF 450 V'; may be repeated."`
	Answer   []string `group:"what" sep:"none" placeholder:"QUESTION=ANSWER" help:"An answer to a question that was asked; may be repeated."`
	Language string   `group:"what" placeholder:"TAG" help:"Language of the words; English when left out."`
}

// maxText is how much is read from standard input: more than the contract
// allows, so that the service says what the limit is.
const maxText = 64 << 10

// request builds what triage is asked. The marks the catalogue knows of the
// model are added, as dispatch does when it books.
func (c *caller) request(ctx context.Context, a *app, d *desk) (*triagev1.AssessRequest, error) {
	text, err := c.words(a)
	if err != nil {
		return nil, err
	}
	if c.Family == "" {
		return nil, needFamily(ctx, d)
	}
	appliance := &commonv1.Appliance{Family: c.Family, Variant: c.Variant, AgeYears: c.Age, Model: c.Model}
	known := map[string]bool{}
	for _, r := range c.Rating {
		kind, mark, ok := strings.Cut(r, "=")
		if !ok {
			return nil, usage("--rating: %q is not PART=MARK", r)
		}
		known[kind] = true
		appliance.KnownRatings = append(appliance.KnownRatings, &commonv1.KnownRating{PartKind: kind, Mark: mark})
	}
	if c.Model != "" {
		got, err := d.parts.LookUpRatings(ctx, &partsv1.LookUpRatingsRequest{Family: c.Family, Model: c.Model})
		if err != nil {
			return nil, err
		}
		for _, r := range got.GetRatings() {
			if !known[r.GetPartKind()] {
				appliance.KnownRatings = append(appliance.KnownRatings, r)
			}
		}
	}
	out := &triagev1.AssessRequest{Appliance: appliance, Text: text, LanguageCode: c.Language}
	for _, one := range c.Answer {
		question, answer, ok := strings.Cut(one, "=")
		if !ok {
			return nil, usage("--answer: %q is not QUESTION=ANSWER", one)
		}
		out.Answers = append(out.Answers, &triagev1.GivenAnswer{Question: question, Answer: answer})
	}
	return out, nil
}

// words returns what the caller said.
func (c *caller) words(a *app) (string, error) {
	if len(c.Text) != 1 || c.Text[0] != "-" {
		return strings.Join(c.Text, " "), nil
	}
	raw, err := io.ReadAll(io.LimitReader(a.stdin, maxText))
	if err != nil {
		return "", fmt.Errorf("standard input: %w", err)
	}
	return strings.TrimSpace(string(raw)), nil
}

// needFamily says which families are known.
func needFamily(ctx context.Context, d *desk) error {
	list, err := d.triage.ListFamilies(ctx, &triagev1.ListFamiliesRequest{})
	if err != nil {
		return err
	}
	var known []string
	for _, f := range list.GetFamilies() {
		known = append(known, f.GetCode()+" ("+f.GetLabel()+")")
	}
	return usage("which appliance? give --family, one of: %s", strings.Join(known, ", "))
}
