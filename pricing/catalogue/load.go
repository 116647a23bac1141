package catalogue

import (
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"strings"

	"onevisit/pricing/internal/sheet"
	"onevisit/pricing/price"
)

// File names inside the folder. The models file may be absent.
const (
	bookFile   = "book.yaml"
	modelsFile = "models.yaml"
)

type fileBook struct {
	Format int    `yaml:"format"`
	Money  string `yaml:"currency"`
	Tax    struct {
		Name    string `yaml:"name"`
		Percent string `yaml:"percent"`
	} `yaml:"tax"`
	Labour  string `yaml:"labour_per_hour"`
	CallOut struct {
		Amount  string `yaml:"amount"`
		Minutes int    `yaml:"included_minutes"`
	} `yaml:"call_out"`
	Minimum  string `yaml:"minimum_charge"`
	Test     int    `yaml:"final_test_minutes"`
	Rounding struct {
		Rule string `yaml:"rule"`
		Step int64  `yaml:"cash_step"`
	} `yaml:"rounding"`
	ValidDays  int                            `yaml:"valid_days"`
	Surcharges map[string]fileSurcharge       `yaml:"surcharges"`
	Bands      map[string]filePart            `yaml:"bands"`
	Parts      map[string]map[string]filePart `yaml:"parts"`
}

type fileSurcharge struct {
	Amount string `yaml:"amount"`
	Label  string `yaml:"label"`
}

type filePart struct {
	Band    string   `yaml:"band"`
	Low     string   `yaml:"low"`
	Typical string   `yaml:"typical"`
	High    string   `yaml:"high"`
	Source  string   `yaml:"source"`
	Marks   []string `yaml:"marks"`
}

type fileModels struct {
	Format int `yaml:"format"`
	Models []struct {
		Family  string            `yaml:"family"`
		Model   string            `yaml:"model"`
		Ratings map[string]string `yaml:"ratings"`
	} `yaml:"models"`
}

// Load reads book.yaml and, where present, models.yaml from the root of a file
// system. Errors wrap ErrBook and name file, line and what is wrong.
func Load(fsys fs.FS) (*Book, error) {
	b := &Book{}
	if err := b.loadBook(fsys); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrBook, err)
	}
	if err := b.loadModels(fsys); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrBook, err)
	}
	return b, nil
}

// amounts reads amounts of one currency and keeps the first error.
type amounts struct {
	sheet    *sheet.Sheet
	currency string
	err      error
}

func (a *amounts) read(text string, path ...any) price.Amount {
	v, err := price.Parse(a.currency, text)
	if err == nil && v.MinorUnits() < 0 {
		err = fmt.Errorf("%q is below zero", text)
	}
	if err != nil && a.err == nil {
		a.err = a.sheet.Fail(path, "%v", err)
	}
	return v
}

func (b *Book) loadBook(fsys fs.FS) error {
	var f fileBook
	s, err := sheet.Read(fsys, bookFile, &f)
	if err != nil {
		return err
	}
	at := func(path ...any) []any { return path }
	if f.Format != 1 {
		return s.Fail(at("format"), "format must be 1")
	}
	in := &amounts{sheet: s, currency: f.Money}
	if _, err := price.Minor(f.Money, 0); err != nil {
		return s.Fail(at("currency"), "%v", err)
	}
	b.Currency, b.TaxName = f.Money, f.Tax.Name
	b.LabourPerHour = in.read(f.Labour, "labour_per_hour")
	b.CallOut = in.read(f.CallOut.Amount, "call_out", "amount")
	b.Minimum = in.read(f.Minimum, "minimum_charge")
	if in.err != nil {
		return in.err
	}
	var ok bool
	if b.TaxRate, ok = percent(f.Tax.Percent); !ok {
		return s.Fail(at("tax", "percent"), "percent %q is no number from 0 to 100 with at most four decimals", f.Tax.Percent)
	}
	if b.Rounding, ok = price.ParseRounding(f.Rounding.Rule); !ok {
		return s.Fail(at("rounding", "rule"), "rounding rule %q is none of half_even, half_up, up, down", f.Rounding.Rule)
	}
	if b.CashStep = f.Rounding.Step; b.CashStep < 1 || b.CashStep > 1_000_000 {
		return s.Fail(at("rounding", "cash_step"), "cash_step must be 1 or more minor units")
	}
	for _, n := range []struct {
		value int
		into  *int
		path  []any
	}{
		{f.CallOut.Minutes, &b.IncludedMinutes, at("call_out", "included_minutes")},
		{f.Test, &b.FinalTestMinutes, at("final_test_minutes")},
		{f.ValidDays, &b.ValidDays, at("valid_days")},
	} {
		if n.value < 0 || n.value > 1440 {
			return s.Fail(n.path, "%d is outside 0 to 1440", n.value)
		}
		*n.into = n.value
	}
	b.Surcharges = make(map[string]Surcharge, len(f.Surcharges))
	for skill, c := range f.Surcharges {
		if c.Label == "" {
			return s.Fail(at("surcharges", skill), "a surcharge needs a label the customer can read")
		}
		b.Surcharges[skill] = Surcharge{Label: c.Label, Amount: in.read(c.Amount, "surcharges", skill, "amount")}
	}
	if in.err != nil {
		return in.err
	}
	return b.loadParts(s, in, f)
}

func (b *Book) loadParts(s *sheet.Sheet, in *amounts, f fileBook) error {
	if len(f.Parts) == 0 {
		return s.Fail([]any{"parts"}, "no parts")
	}
	b.parts = make(map[string]map[string]Part, len(f.Parts))
	for name, fp := range f.Bands {
		if fp.Band != "" {
			return s.Fail([]any{"bands", name, "band"}, "a band cannot refer to a band")
		}
		if _, err := readPart(s, in, fp, "bands", name); err != nil {
			return err
		}
	}
	for family, kinds := range f.Parts {
		b.parts[family] = make(map[string]Part, len(kinds))
		for kind, fp := range kinds {
			if kind == "no_part" {
				return s.Fail([]any{"parts", family, kind}, "no_part has no price")
			}
			if fp.Band != "" {
				band, ok := f.Bands[fp.Band]
				if !ok {
					return s.Fail([]any{"parts", family, kind, "band"}, "no band %q", fp.Band)
				}
				if fp.Low+fp.Typical+fp.High != "" {
					return s.Fail([]any{"parts", family, kind}, "give a band or own prices, not both")
				}
				fp.Low, fp.Typical, fp.High = band.Low, band.Typical, band.High
				if fp.Source == "" {
					fp.Source = band.Source
				}
			}
			p, err := readPart(s, in, fp, "parts", family, kind)
			if err != nil {
				return err
			}
			b.parts[family][kind] = p
		}
	}
	return nil
}

func readPart(s *sheet.Sheet, in *amounts, fp filePart, path ...any) (Part, error) {
	p := Part{Low: in.read(fp.Low, append(path, "low")...), Typical: in.read(fp.Typical, append(path, "typical")...),
		High: in.read(fp.High, append(path, "high")...), Marks: fp.Marks, Source: fp.Source}
	switch {
	case in.err != nil:
		return p, in.err
	case p.Low.Cmp(p.Typical) > 0 || p.Typical.Cmp(p.High) > 0:
		return p, s.Fail(path, "low %s, typical %s, high %s are not rising", fp.Low, fp.Typical, fp.High)
	case fp.Source == "":
		return p, s.Fail(path, "source must be given (it may be \"common practice, no source\")")
	}
	return p, nil
}

func (b *Book) loadModels(fsys fs.FS) error {
	var f fileModels
	s, err := sheet.Read(fsys, modelsFile, &f)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if f.Format != 1 {
		return s.Fail([]any{"format"}, "format must be 1")
	}
	b.models = make(map[string]map[string]string, len(f.Models))
	for i, m := range f.Models {
		key := modelKey(m.Family, m.Model)
		switch {
		case b.parts[m.Family] == nil:
			return s.Fail([]any{"models", i, "family"}, "family %q is not in the price book", m.Family)
		case strings.HasSuffix(key, "\x00"):
			return s.Fail([]any{"models", i, "model"}, "model missing")
		case b.models[key] != nil:
			return s.Fail([]any{"models", i}, "model %q twice", m.Model)
		case len(m.Ratings) == 0:
			return s.Fail([]any{"models", i}, "model %q has no ratings", m.Model)
		}
		for kind := range m.Ratings {
			if _, err := b.Part(m.Family, kind); err != nil {
				return s.Fail([]any{"models", i, "ratings", kind}, "%v", err)
			}
		}
		b.models[key] = m.Ratings
	}
	return nil
}

// percent reads "8.5" as 85 000 parts per million, exactly.
func percent(text string) (Rate, bool) {
	if len(text) > 12 || strings.ContainsAny(text, "/eE_xXpP") {
		return 0, false
	}
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		return 0, false
	}
	r.Mul(r, big.NewRat(10_000, 1))
	if !r.IsInt() || r.Sign() < 0 || r.Cmp(big.NewRat(1_000_000, 1)) > 0 {
		return 0, false
	}
	return Rate(r.Num().Int64()), true
}
