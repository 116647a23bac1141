package travel

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"sync"

	"go.yaml.in/yaml/v3"
)

// ErrRoads marks a file of road models that cannot be used; the text names the
// file and, where YAML tells it, the line.
var ErrRoads = errors.New("travel: bad roads")

//go:embed roads.yaml
var shipped []byte

// Roads are named models with a default.
type Roads struct {
	Default string
	Models  map[string]Model
}

var defaults = sync.OnceValue(func() Roads {
	r, err := parseRoads("roads.yaml", shipped)
	if err != nil {
		panic(err) // the shipped file is embedded and tested: cannot happen
	}
	return r
})

// Default returns the shipped default model; its sources are in roads.yaml.
func Default() Model {
	r := defaults()
	return r.Models[r.Default]
}

// LoadRoads reads models from a file of the shape of the shipped roads.yaml.
// Errors wrap ErrRoads, or are fsys's own.
func LoadRoads(fsys fs.FS, name string) (Roads, error) {
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return Roads{}, err
	}
	return parseRoads(name, data)
}

func parseRoads(name string, data []byte) (Roads, error) {
	var f struct {
		Default string               `yaml:"default"`
		Roads   map[string]yaml.Node `yaml:"roads"`
	}
	d := yaml.NewDecoder(bytes.NewReader(data))
	d.KnownFields(true)
	if err := d.Decode(&f); err != nil {
		return Roads{}, fmt.Errorf("%w: %s: %w", ErrRoads, name, err)
	}
	r := Roads{Default: f.Default, Models: map[string]Model{}}
	var bad []error
	for key, node := range f.Roads {
		m, err := parseModel(&node)
		if err != nil {
			bad = append(bad, fmt.Errorf("%w: %s:%d: %s: %w", ErrRoads, name, node.Line, key, err))
			continue
		}
		r.Models[key] = m
	}
	if err := errors.Join(bad...); err != nil {
		return Roads{}, err
	}
	if _, ok := r.Models[r.Default]; !ok {
		return Roads{}, fmt.Errorf("%w: %s: default %q is not among the roads", ErrRoads, name, r.Default)
	}
	return r, nil
}

func parseModel(n *yaml.Node) (Model, error) {
	var v struct {
		RoadFactor float64 `yaml:"road_factor"`
		KmH        float64 `yaml:"kmh"`
		Source     string  `yaml:"source"`
	}
	// Decode on a node cannot refuse unknown keys, so go by way of text.
	text, err := yaml.Marshal(n)
	if err != nil {
		return Model{}, err
	}
	d := yaml.NewDecoder(bytes.NewReader(text))
	d.KnownFields(true)
	if err := d.Decode(&v); err != nil {
		return Model{}, err
	}
	switch {
	case !(v.RoadFactor >= 1 && v.RoadFactor <= 5):
		return Model{}, fmt.Errorf("road_factor is %g, want 1 to 5", v.RoadFactor)
	case !(v.KmH >= 1 && v.KmH <= 200):
		return Model{}, fmt.Errorf("kmh is %g, want 1 to 200", v.KmH)
	case v.Source == "":
		return Model{}, errors.New("source is missing")
	}
	return Model{RoadFactor: v.RoadFactor, MinutesPerKm: 60 / v.KmH}, nil
}
