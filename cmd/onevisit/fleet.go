package main

import (
	"context"
	"fmt"

	"onevisit/cmd/internal/page"
	"onevisit/cmd/onevisit/internal/screen"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	"onevisit/services/host"
)

// fleetCmd reads and sets up technicians, vans and warehouses.
type fleetCmd struct {
	List   fleetListCmd   `cmd:"" help:"List technicians and warehouses."`
	Load   fleetLoadCmd   `cmd:"" help:"Add the technicians and warehouses of a file that are not there yet."`
	Stock  fleetStockCmd  `cmd:"" help:"Show what is on a van or in a warehouse."`
	Adjust fleetAdjustCmd `cmd:"" help:"Add to or take from the stock of a van or a warehouse."`
}

type fleetListCmd struct {
	client
	region
}

// Help is shown below the flags.
func (fleetListCmd) Help() string {
	return "Example:\n  onevisit fleet list --region home --server 127.0.0.1:7480"
}

// fleetAnswer is what list prints as JSON: the two answers of the service.
type fleetAnswer struct {
	technicians *dispatchv1.ListTechniciansResponse
	warehouses  *dispatchv1.ListWarehousesResponse
}

// Run lists the fleet.
func (c *fleetListCmd) Run(a *app) error {
	if err := c.standing(a); err != nil {
		return err
	}
	return c.ask(a, func(ctx context.Context, d *desk) error {
		got, err := wholeFleet(ctx, d, c.parent())
		if err != nil {
			return err
		}
		if c.JSON {
			return a.messages(map[string]protoMessage{"technicians": got.technicians, "warehouses": got.warehouses})
		}
		p := a.page()
		screen.Fleet(p, got.technicians.GetTechnicians(), got.warehouses.GetWarehouses(), d.now())
		return p.Err()
	})
}

// wholeFleet turns the pages.
func wholeFleet(ctx context.Context, d *desk, parent string) (fleetAnswer, error) {
	out := fleetAnswer{technicians: &dispatchv1.ListTechniciansResponse{}}
	req := &dispatchv1.ListTechniciansRequest{Parent: parent, PageSize: 1000}
	for {
		got, err := d.dispatch.ListTechnicians(ctx, req)
		if err != nil {
			return out, err
		}
		out.technicians.Technicians = append(out.technicians.Technicians, got.GetTechnicians()...)
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			break
		}
	}
	var err error
	out.warehouses, err = d.dispatch.ListWarehouses(ctx, &dispatchv1.ListWarehousesRequest{Parent: parent})
	return out, err
}

type fleetLoadCmd struct {
	client
	region
	File string `arg:"" help:"The file, or demo for the invented town."`
}

// Help is shown below the flags.
func (fleetLoadCmd) Help() string {
	return `A fleet file is YAML; times are clock times, repeated on each of so many days from today on:

  days: 14
  technicians:
    - id: T1
      label: van 1
      skills: [electrical]
      tools: [multimeter, capacitance_meter]
      shift: 08:00-16:30
      break: 12:00-12:30
      at: 0.021,0.014
      stock:
        - {part: run_capacitor, mark: "8 µF 450 V", count: 2}
  warehouses:
    - id: W1
      at: 0.018,0.020
      open: 07:00-17:00
      pick_minutes: 10
      stock:
        - {part: drain_pump, mark: "230 V 50 Hz 30 W", count: 4}

Example:
  onevisit fleet load fleet.yaml --server 127.0.0.1:7480`
}

// Run adds a fleet.
func (c *fleetLoadCmd) Run(a *app) error {
	if err := c.standing(a); err != nil {
		return err
	}
	return c.ask(a, func(ctx context.Context, d *desk) error {
		f, err := readFleet(c.File)
		if err != nil {
			return err
		}
		n, err := f.load(ctx, d, c.parent())
		if err != nil {
			return err
		}
		if c.JSON {
			return a.object(map[string]int{"technicians": n.Technicians, "warehouses": n.Warehouses, "there_already": n.There})
		}
		_, err = fmt.Fprintf(a.stdout, "Added %d technicians and %d warehouses; %d were there already and stay as they are.\n", n.Technicians, n.Warehouses, n.There)
		return err
	})
}

// holder names whose stock is meant.
type holder struct {
	client
	region
	Holder string `arg:"" help:"Id of the technician, or of the warehouse with --warehouse."`
	Shelf  bool   `name:"warehouse" help:"A warehouse is meant, not a van."`
}

func (c *holder) full() string {
	if c.Shelf {
		return c.name("warehouses", c.Holder)
	}
	return c.name("technicians", c.Holder)
}

type fleetStockCmd struct{ holder }

// Help is shown below the flags.
func (fleetStockCmd) Help() string {
	return "Example:\n  onevisit fleet stock T1 --server 127.0.0.1:7480"
}

// Run shows stock.
func (c *fleetStockCmd) Run(a *app) error {
	if err := c.standing(a); err != nil {
		return err
	}
	return c.ask(a, func(ctx context.Context, d *desk) error {
		if !c.Shelf {
			t, err := d.dispatch.GetTechnician(ctx, &dispatchv1.GetTechnicianRequest{Name: c.full()})
			if err != nil {
				return err
			}
			return a.message(c.JSON, t, func(p *page.Page) { screen.Stock(p, t.GetStock()) })
		}
		list, err := d.dispatch.ListWarehouses(ctx, &dispatchv1.ListWarehousesRequest{Parent: c.parent()})
		if err != nil {
			return err
		}
		for _, w := range list.GetWarehouses() {
			if w.GetName() == c.full() {
				return a.message(c.JSON, w, func(p *page.Page) { screen.Stock(p, w.GetStock()) })
			}
		}
		return fmt.Errorf("region %s has no warehouse %s", c.Region, c.Holder)
	})
}

type fleetAdjustCmd struct {
	holder
	Part      string `arg:"" help:"Kind of part, such as run_capacitor."`
	Change    int32  `arg:"" help:"How many to add; to take away, put -- before a negative number."`
	Mark      string `help:"Mark as on the stock line."`
	RequestID string `name:"request-id" placeholder:"ID" help:"The same id is carried out once; made up when left out."`
}

// Help is shown below the flags.
func (fleetAdjustCmd) Help() string {
	return "Examples:\n  onevisit fleet adjust T1 run_capacitor 2 --mark '8 µF 450 V' --server 127.0.0.1:7480\n  onevisit fleet adjust --warehouse --server 127.0.0.1:7480 -- W1 drain_pump -1"
}

// Run changes stock.
func (c *fleetAdjustCmd) Run(a *app) error {
	if err := c.standing(a); err != nil {
		return err
	}
	return c.ask(a, func(ctx context.Context, d *desk) error {
		if c.RequestID == "" {
			c.RequestID = host.NewRequestID()
		}
		got, err := d.dispatch.AdjustStock(ctx, &dispatchv1.AdjustStockRequest{
			Name: c.full(), PartKind: c.Part, Mark: c.Mark, QuantityChange: c.Change, RequestId: c.RequestID,
		})
		if err != nil {
			return err
		}
		return a.message(c.JSON, got, func(p *page.Page) { screen.Stock(p, []*dispatchv1.StockLine{got.GetLine()}) })
	})
}
