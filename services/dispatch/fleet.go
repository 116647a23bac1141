package dispatch

import (
	"context"
	"errors"
	"fmt"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/emptypb"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	"onevisit/services/refuse"
)

// tries is how often a change is decided anew when another was faster. Each
// lost race means that somebody else's change was written, so the whole moves
// on; beyond this the caller is told to try again.
const tries = 64

// again runs once until it returns something else than a stale version.
func again(ctx context.Context, once func() error) error {
	var err error
	for range tries {
		if err = once(); !errors.Is(err, job.ErrStale) {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	return err
}

// CreateTechnician adds a technician.
func (s *Server) CreateTechnician(ctx context.Context, req *dispatchv1.CreateTechnicianRequest) (*dispatchv1.Technician, error) {
	region := regionOf(req.GetParent())
	t, err := toTechnician(region, req.GetTechnicianId(), req.GetTechnician(), s.Now())
	if err != nil {
		return nil, err
	}
	_, err = s.Store.Commit(ctx, region, job.Change{Technicians: []job.Write[fleet.Technician]{{Value: t}}})
	if err != nil {
		return nil, existing(err, technicianName(region, t.ID))
	}
	return s.technician(ctx, region, t.ID)
}

// existing turns "must not exist yet, but does" into ALREADY_EXISTS.
func existing(err error, name string) error {
	if errors.Is(err, job.ErrStale) {
		return refuse.With(codes.AlreadyExists, "ALREADY_EXISTS", name+" is there already")
	}
	return err
}

func (s *Server) technician(ctx context.Context, region, id string) (*dispatchv1.Technician, error) {
	t, err := s.Store.Technician(ctx, region, id)
	if err != nil {
		return nil, err
	}
	return fromTechnician(t), nil
}

// GetTechnician gets a technician.
func (s *Server) GetTechnician(ctx context.Context, req *dispatchv1.GetTechnicianRequest) (*dispatchv1.Technician, error) {
	region, _, id := split(req.GetName())
	return s.technician(ctx, region, id)
}

// ListTechnicians lists technicians in order of name.
func (s *Server) ListTechnicians(ctx context.Context, req *dispatchv1.ListTechniciansRequest) (*dispatchv1.ListTechniciansResponse, error) {
	page, err := pageOf(req.GetPageToken(), req.GetPageSize())
	if err != nil {
		return nil, err
	}
	list, next, err := s.Store.Technicians(ctx, regionOf(req.GetParent()), page)
	if err != nil {
		return nil, err
	}
	out := &dispatchv1.ListTechniciansResponse{NextPageToken: tokenOf(next)}
	for _, t := range list {
		out.Technicians = append(out.Technicians, fromTechnician(t))
	}
	return out, nil
}

// change reads a technician, lets edit change the copy, and writes it back if
// nobody else did meanwhile. An edit that returns false leaves it as it is.
func (s *Server) change(ctx context.Context, name string, edit func(*fleet.Technician) (bool, error)) (*dispatchv1.Technician, error) {
	region, _, id := split(name)
	err := again(ctx, func() error {
		t, err := s.Store.Technician(ctx, region, id)
		if err != nil {
			return err
		}
		wanted, err := edit(&t)
		if err != nil || !wanted {
			return err
		}
		t.UpdatedAt = s.Now()
		_, err = s.Store.Commit(ctx, region, job.Change{Technicians: []job.Write[fleet.Technician]{{Value: t, Expect: t.Version}}})
		return err
	})
	if err != nil {
		return nil, err
	}
	return s.technician(ctx, region, id)
}

// UpdateTechnicianPosition sets where a technician is.
func (s *Server) UpdateTechnicianPosition(ctx context.Context, req *dispatchv1.UpdateTechnicianPositionRequest) (*dispatchv1.Technician, error) {
	at, err := toPlace(req.GetPosition(), "position")
	if err != nil {
		return nil, err
	}
	when := s.Now()
	if req.GetPositionTime() != nil {
		when = toTime(req.GetPositionTime())
	}
	return s.change(ctx, req.GetName(), func(t *fleet.Technician) (bool, error) {
		if t.Position != nil && when.Before(t.Position.At) {
			return false, nil // an older report that came late
		}
		t.Position = &fleet.Position{Place: at, At: when}
		return true, nil
	})
}

// UpdateTechnicianShifts replaces the shifts of a technician.
func (s *Server) UpdateTechnicianShifts(ctx context.Context, req *dispatchv1.UpdateTechnicianShiftsRequest) (*dispatchv1.Technician, error) {
	shifts, err := toWindows(req.GetShifts(), "shifts")
	if err != nil {
		return nil, err
	}
	return s.change(ctx, req.GetName(), func(t *fleet.Technician) (bool, error) {
		for _, v := range t.Day {
			inside := false
			for _, w := range shifts {
				inside = inside || w.Contains(v.Start) && w.Contains(v.Finish)
			}
			if !inside {
				return false, refuse.With(codes.FailedPrecondition, "VISIT_OUTSIDE_SHIFTS",
					jobName(t.Region, v.JobID)+" would fall outside every shift; cancel or reassign it first")
			}
		}
		t.Shifts = shifts
		if req.GetFreeTime() != nil {
			t.FreeAt = toTime(req.GetFreeTime())
		}
		return true, nil
	})
}

// DeleteTechnician deletes a technician without open visits.
func (s *Server) DeleteTechnician(ctx context.Context, req *dispatchv1.DeleteTechnicianRequest) (*emptypb.Empty, error) {
	region, _, id := split(req.GetName())
	err := again(ctx, func() error {
		t, err := s.Store.Technician(ctx, region, id)
		if err != nil {
			return err
		}
		if len(t.Day) > 0 {
			return refuse.With(codes.FailedPrecondition, "VISITS_OPEN",
				fmt.Sprintf("%s has %d open visits; cancel or reassign them first", req.GetName(), len(t.Day)))
		}
		_, err = s.Store.Commit(ctx, region, job.Change{Technicians: []job.Write[fleet.Technician]{{Value: t, Expect: t.Version, Delete: true}}})
		return err
	})
	if err != nil {
		return nil, err
	}
	return &emptypb.Empty{}, nil
}

// AdjustStock adds to or takes from the stock of a van or a warehouse.
func (s *Server) AdjustStock(ctx context.Context, req *dispatchv1.AdjustStockRequest) (*dispatchv1.AdjustStockResponse, error) {
	region, kind, id := split(req.GetName())
	adjust := func(stock fleet.Stock, ids []string) (fleet.Stock, []string, bool, error) {
		ids, fresh := fleet.Remember(ids, req.GetRequestId())
		if !fresh {
			return stock, ids, false, nil
		}
		stock, err := stock.Adjust(req.GetPartKind(), req.GetMark(), int(req.GetQuantityChange()))
		return stock, ids, true, err
	}
	err := again(ctx, func() error {
		var c job.Change
		switch kind {
		case "technicians":
			t, err := s.Store.Technician(ctx, region, id)
			if err != nil {
				return err
			}
			var fresh bool
			if t.Stock, t.Adjusted, fresh, err = adjust(t.Stock, t.Adjusted); err != nil || !fresh {
				return err
			}
			t.UpdatedAt = s.Now()
			c.Technicians = []job.Write[fleet.Technician]{{Value: t, Expect: t.Version}}
		default:
			w, err := s.Store.Warehouse(ctx, region, id)
			if err != nil {
				return err
			}
			var fresh bool
			if w.Stock, w.Adjusted, fresh, err = adjust(w.Stock, w.Adjusted); err != nil || !fresh {
				return err
			}
			w.UpdatedAt = s.Now()
			c.Warehouses = []job.Write[fleet.Warehouse]{{Value: w, Expect: w.Version}}
		}
		_, err := s.Store.Commit(ctx, region, c)
		return err
	})
	if err != nil {
		return nil, err
	}
	return s.stockLine(ctx, req)
}

// stockLine reads the line of the request as it is now.
func (s *Server) stockLine(ctx context.Context, req *dispatchv1.AdjustStockRequest) (*dispatchv1.AdjustStockResponse, error) {
	region, kind, id := split(req.GetName())
	var stock fleet.Stock
	if kind == "technicians" {
		t, err := s.Store.Technician(ctx, region, id)
		if err != nil {
			return nil, err
		}
		stock = t.Stock
	} else {
		w, err := s.Store.Warehouse(ctx, region, id)
		if err != nil {
			return nil, err
		}
		stock = w.Stock
	}
	for _, l := range stock {
		if l.PartKind == req.GetPartKind() && l.Mark == req.GetMark() {
			return &dispatchv1.AdjustStockResponse{Line: fromLine(l)}, nil
		}
	}
	return nil, fmt.Errorf("%w: no such stock line", job.ErrNotFound)
}

// CreateWarehouse adds a warehouse.
func (s *Server) CreateWarehouse(ctx context.Context, req *dispatchv1.CreateWarehouseRequest) (*dispatchv1.Warehouse, error) {
	region := regionOf(req.GetParent())
	w, err := toWarehouse(region, req.GetWarehouseId(), req.GetWarehouse(), s.Now())
	if err != nil {
		return nil, err
	}
	if _, err = s.Store.Commit(ctx, region, job.Change{Warehouses: []job.Write[fleet.Warehouse]{{Value: w}}}); err != nil {
		return nil, existing(err, warehouseName(region, w.ID))
	}
	if w, err = s.Store.Warehouse(ctx, region, w.ID); err != nil {
		return nil, err
	}
	return fromWarehouse(w), nil
}

// ListWarehouses lists the warehouses of a region.
func (s *Server) ListWarehouses(ctx context.Context, req *dispatchv1.ListWarehousesRequest) (*dispatchv1.ListWarehousesResponse, error) {
	list, err := s.Store.Warehouses(ctx, regionOf(req.GetParent()))
	if err != nil {
		return nil, err
	}
	out := &dispatchv1.ListWarehousesResponse{}
	for _, w := range list {
		out.Warehouses = append(out.Warehouses, fromWarehouse(w))
	}
	return out, nil
}
