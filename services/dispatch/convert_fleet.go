package dispatch

import (
	"fmt"
	"strconv"
	"time"

	"google.golang.org/genproto/googleapis/type/latlng"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/travel"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	"onevisit/services/refuse"
)

// etagOf is the version as text: it changes with every write.
func etagOf(version int64) string { return strconv.FormatInt(version, 36) }

func toTime(t *timestamppb.Timestamp) time.Time {
	if t == nil {
		return time.Time{}
	}
	return t.AsTime()
}

func fromTime(t time.Time) *timestamppb.Timestamp {
	if t.IsZero() {
		return nil
	}
	return timestamppb.New(t)
}

func toPlace(l *latlng.LatLng, field string) (travel.Place, error) {
	p := travel.Place{Lat: l.GetLatitude(), Lng: l.GetLongitude()}
	if err := p.Validate(); err != nil {
		return p, refuse.Field(field, "BAD_PLACE", err.Error())
	}
	return p, nil
}

func fromPlace(p travel.Place) *latlng.LatLng {
	return &latlng.LatLng{Latitude: p.Lat, Longitude: p.Lng}
}

func toWindow(w *dispatchv1.TimeWindow) fleet.Window {
	return fleet.Window{Start: toTime(w.GetStartTime()), End: toTime(w.GetEndTime())}
}

func fromWindow(w fleet.Window) *dispatchv1.TimeWindow {
	if w.IsZero() {
		return nil
	}
	return &dispatchv1.TimeWindow{StartTime: fromTime(w.Start), EndTime: fromTime(w.End)}
}

// toWindows converts windows that must be in order and must not overlap.
func toWindows(in []*dispatchv1.TimeWindow, field string) ([]fleet.Window, error) {
	out := make([]fleet.Window, 0, len(in))
	for i, w := range in {
		one := toWindow(w)
		if i > 0 && one.Start.Before(out[i-1].End) {
			return nil, refuse.Field(fmt.Sprintf("%s[%d]", field, i), "OVERLAP", "begins before the one before it ends")
		}
		out = append(out, one)
	}
	return out, nil
}

func fromWindows(in []fleet.Window) []*dispatchv1.TimeWindow {
	out := make([]*dispatchv1.TimeWindow, 0, len(in))
	for _, w := range in {
		out = append(out, fromWindow(w))
	}
	return out
}

func toStock(in []*dispatchv1.StockLine, field string) (fleet.Stock, error) {
	seen := make(map[[2]string]bool, len(in))
	out := make(fleet.Stock, 0, len(in))
	for i, l := range in {
		key := [2]string{l.GetPartKind(), l.GetMark()}
		if seen[key] {
			return nil, refuse.Field(fmt.Sprintf("%s[%d]", field, i), "REPEATED", "the same part kind and mark stand above already")
		}
		seen[key] = true
		out = append(out, fleet.Line{PartKind: l.GetPartKind(), Mark: l.GetMark(), Quantity: int(l.GetQuantity())})
	}
	return out, nil
}

func fromLine(l fleet.Line) *dispatchv1.StockLine {
	return &dispatchv1.StockLine{
		PartKind:         l.PartKind,
		Mark:             l.Mark,
		Quantity:         int32(l.Quantity),
		ReservedQuantity: int32(l.Quantity - l.Free()),
	}
}

func fromStock(in fleet.Stock) []*dispatchv1.StockLine {
	out := make([]*dispatchv1.StockLine, 0, len(in))
	for _, l := range in {
		out = append(out, fromLine(l))
	}
	return out
}

func toTechnician(region, id string, in *dispatchv1.Technician, now time.Time) (fleet.Technician, error) {
	t := fleet.Technician{
		ID: id, Region: region, Label: in.GetLabel(), Tools: in.GetTools(),
		FreeAt: toTime(in.GetFreeTime()), UpdatedAt: now,
	}
	for _, s := range in.GetSkills() {
		t.Skills = append(t.Skills, fleet.Skill{Code: s.GetCode(), Until: toTime(s.GetExpireTime())})
	}
	var err error
	if t.Shifts, err = toWindows(in.GetShifts(), "technician.shifts"); err != nil {
		return t, err
	}
	if t.Breaks, err = toWindows(in.GetBreaks(), "technician.breaks"); err != nil {
		return t, err
	}
	at, err := toPlace(in.GetPosition(), "technician.position")
	if err != nil {
		return t, err
	}
	t.Position = &fleet.Position{Place: at, At: now}
	if in.GetPositionTime() != nil {
		t.Position.At = toTime(in.GetPositionTime())
	}
	if in.GetBase() != nil {
		base, err := toPlace(in.GetBase(), "technician.base")
		if err != nil {
			return t, err
		}
		t.Base = &base
	}
	t.Stock, err = toStock(in.GetStock(), "technician.stock")
	return t, err
}

func fromTechnician(t fleet.Technician) *dispatchv1.Technician {
	out := &dispatchv1.Technician{
		Name: technicianName(t.Region, t.ID), Label: t.Label, Tools: t.Tools,
		Shifts: fromWindows(t.Shifts), Breaks: fromWindows(t.Breaks),
		FreeTime: fromTime(t.FreeAt), Stock: fromStock(t.Stock), Etag: etagOf(t.Version),
	}
	for _, s := range t.Skills {
		out.Skills = append(out.Skills, &dispatchv1.Skill{Code: s.Code, ExpireTime: fromTime(s.Until)})
	}
	if t.Position != nil {
		out.Position, out.PositionTime = fromPlace(t.Position.Place), fromTime(t.Position.At)
	}
	if t.Base != nil {
		out.Base = fromPlace(*t.Base)
	}
	for _, v := range t.Day {
		visit := &dispatchv1.Visit{
			Job: jobName(t.Region, v.JobID), ArriveTime: fromTime(v.Arrive),
			StartTime: fromTime(v.Start), FinishTime: fromTime(v.Finish),
		}
		if v.Via != nil {
			visit.Warehouse = warehouseName(t.Region, v.Via.WarehouseID)
		}
		out.Visits = append(out.Visits, visit)
	}
	return out
}

func toWarehouse(region, id string, in *dispatchv1.Warehouse, now time.Time) (fleet.Warehouse, error) {
	w := fleet.Warehouse{ID: id, Region: region, Pick: in.GetPickDuration().AsDuration(), UpdatedAt: now}
	var err error
	if w.Place, err = toPlace(in.GetLocation(), "warehouse.location"); err != nil {
		return w, err
	}
	if w.Open, err = toWindows(in.GetOpenings(), "warehouse.openings"); err != nil {
		return w, err
	}
	w.Stock, err = toStock(in.GetStock(), "warehouse.stock")
	return w, err
}

func fromWarehouse(w fleet.Warehouse) *dispatchv1.Warehouse {
	return &dispatchv1.Warehouse{
		Name: warehouseName(w.Region, w.ID), Location: fromPlace(w.Place), Openings: fromWindows(w.Open),
		PickDuration: durationpb.New(w.Pick), Stock: fromStock(w.Stock), Etag: etagOf(w.Version),
	}
}
