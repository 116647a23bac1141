package main

import "go.yaml.in/yaml/v3"

// script is the invented day. It says what people say, and nothing of what the
// services make of it.
type script struct {
	// Date and the clock times of calls are in UTC.
	Date string `yaml:"date"`
	// Patience is how many questions a caller is asked at most, and LeastSaving
	// how much a question must be worth to be asked, in seconds of a technician's
	// time: below it the call-taker gets on with the booking.
	Patience    int          `yaml:"patience"`
	LeastSaving float64      `yaml:"least_saving_seconds"`
	Calls       []scriptCall `yaml:"calls"`
}

type scriptCall struct {
	At      string            `yaml:"at"`
	Where   string            `yaml:"where"`
	Place   string            `yaml:"place"`
	Family  string            `yaml:"family"`
	Variant string            `yaml:"variant"`
	Age     *float64          `yaml:"age"`
	Ratings map[string]string `yaml:"ratings"`
	Window  string            `yaml:"window"`
	Urgent  bool              `yaml:"urgent"`
	Says    string            `yaml:"says"`
	// Knows is what the caller answers if asked, by code of the question. To any
	// other question the caller does not know the answer.
	Knows map[string]scriptReply `yaml:"knows"`
}

type scriptReply struct {
	Answer string `yaml:"answer"`
	Words  string `yaml:"words"`
}

func readScript() (*script, error) {
	f, err := demoFiles.Open("demo/day.yaml")
	if err != nil {
		return nil, err
	}
	defer f.Close() // read only: nothing is lost
	out := &script{}
	decoder := yaml.NewDecoder(f)
	decoder.KnownFields(true)
	return out, decoder.Decode(out)
}
