package main

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"go.yaml.in/yaml/v3"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
)

//go:embed demo
var demoFiles embed.FS

// fleetFile is a file of technicians and warehouses, as an owner writes it.
type fleetFile struct {
	// Days is for how many days from today on shifts and openings are laid out.
	Days        int              `yaml:"days"`
	Technicians []fileTechnician `yaml:"technicians"`
	Warehouses  []fileWarehouse  `yaml:"warehouses"`

	name string
}

type fileTechnician struct {
	ID     string            `yaml:"id"`
	Label  string            `yaml:"label"`
	Skills []string          `yaml:"skills"`
	Until  map[string]string `yaml:"licences_until"` // by skill, as a date
	Tools  []string          `yaml:"tools"`
	Shift  string            `yaml:"shift"`
	Break  string            `yaml:"break"`
	At     string            `yaml:"at"`
	Stock  []fileStock       `yaml:"stock"`
}

type fileWarehouse struct {
	ID    string      `yaml:"id"`
	At    string      `yaml:"at"`
	Open  string      `yaml:"open"`
	Pick  int         `yaml:"pick_minutes"`
	Stock []fileStock `yaml:"stock"`
}

type fileStock struct {
	Part  string `yaml:"part"`
	Mark  string `yaml:"mark"`
	Count int32  `yaml:"count"`
}

// demoFleet names the fleet that comes with the program.
const demoFleet = "demo"

// maxDays bounds Days: as many shifts as a technician may have.
const maxDays = 366

// readFleet reads a fleet file. Unknown keys are refused with their line.
func readFleet(name string) (*fleetFile, error) {
	var (
		f   io.ReadCloser
		err error
	)
	if name == demoFleet {
		f, err = demoFiles.Open("demo/fleet.yaml")
	} else {
		f, err = os.Open(name)
	}
	if err != nil {
		return nil, usage("fleet: %v", err)
	}
	defer f.Close() // read only: nothing is lost
	out := &fleetFile{name: name, Days: 7}
	decoder := yaml.NewDecoder(f)
	decoder.KnownFields(true)
	if err := decoder.Decode(out); err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if out.Days < 1 || out.Days > maxDays {
		return nil, fmt.Errorf("%s: days: must be 1 to %d", name, maxDays)
	}
	return out, nil
}

// added is what load did.
type added struct {
	Technicians, Warehouses, There int
}

// load adds those who are not there yet. Who is there already stays as is.
func (f *fleetFile) load(ctx context.Context, d *desk, parent string) (added, error) {
	var out added
	count := func(what *int, err error) error {
		switch status.Code(err) {
		case codes.OK:
			*what++
		case codes.AlreadyExists:
			out.There++
		default:
			return err
		}
		return nil
	}
	today := d.now()
	for i, t := range f.Technicians {
		one, err := f.technician(t, today)
		if err != nil {
			return out, fmt.Errorf("%s: technicians[%d] %s: %w", f.name, i, t.ID, err)
		}
		_, err = d.dispatch.CreateTechnician(ctx, &dispatchv1.CreateTechnicianRequest{Parent: parent, TechnicianId: t.ID, Technician: one})
		if err := count(&out.Technicians, err); err != nil {
			return out, err
		}
	}
	for i, w := range f.Warehouses {
		one, err := f.warehouse(w, today)
		if err != nil {
			return out, fmt.Errorf("%s: warehouses[%d] %s: %w", f.name, i, w.ID, err)
		}
		_, err = d.dispatch.CreateWarehouse(ctx, &dispatchv1.CreateWarehouseRequest{Parent: parent, WarehouseId: w.ID, Warehouse: one})
		if err := count(&out.Warehouses, err); err != nil {
			return out, err
		}
	}
	return out, nil
}

func (f *fleetFile) technician(t fileTechnician, today time.Time) (*dispatchv1.Technician, error) {
	at, err := place(t.At)
	if err != nil {
		return nil, err
	}
	out := &dispatchv1.Technician{Label: t.Label, Tools: t.Tools, Position: at, Base: at, Stock: stockLines(t.Stock)}
	for _, s := range t.Skills {
		skill := &dispatchv1.Skill{Code: s}
		if u := t.Until[s]; u != "" {
			day, err := time.ParseInLocation(time.DateOnly, u, today.Location())
			if err != nil {
				return nil, usage("licences_until: %q is no date such as 2027-05-11", u)
			}
			skill.ExpireTime = timestamppb.New(day.AddDate(0, 0, 1)) // to the end of that day
		}
		out.Skills = append(out.Skills, skill)
	}
	if out.Shifts, err = f.layOut(t.Shift, today); err != nil {
		return nil, fmt.Errorf("%w (shift)", err)
	}
	if out.Breaks, err = f.layOut(t.Break, today); err != nil {
		return nil, fmt.Errorf("%w (break)", err)
	}
	return out, nil
}

func (f *fleetFile) warehouse(w fileWarehouse, today time.Time) (*dispatchv1.Warehouse, error) {
	at, err := place(w.At)
	if err != nil {
		return nil, err
	}
	open, err := f.layOut(w.Open, today)
	if err != nil {
		return nil, fmt.Errorf("%w (open)", err)
	}
	return &dispatchv1.Warehouse{
		Location: at, Openings: open, Stock: stockLines(w.Stock),
		PickDuration: durationpb.New(time.Duration(w.Pick) * time.Minute),
	}, nil
}

// layOut repeats clock times on every day of the file, from today on.
func (f *fleetFile) layOut(clocks string, today time.Time) ([]*dispatchv1.TimeWindow, error) {
	if clocks == "" {
		return nil, nil
	}
	var out []*dispatchv1.TimeWindow
	for i := range f.Days {
		start, end, err := hours(clocks, today.AddDate(0, 0, i))
		if err != nil {
			return nil, err
		}
		if !end.After(start) { // over midnight
			end = end.AddDate(0, 0, 1)
		}
		out = append(out, &dispatchv1.TimeWindow{StartTime: timestamppb.New(start), EndTime: timestamppb.New(end)})
	}
	return out, nil
}

func stockLines(in []fileStock) []*dispatchv1.StockLine {
	out := make([]*dispatchv1.StockLine, 0, len(in))
	for _, l := range in {
		out = append(out, &dispatchv1.StockLine{PartKind: l.Part, Mark: l.Mark, Quantity: l.Count})
	}
	return out
}
