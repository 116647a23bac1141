package redisstore

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/redis/go-redis/v9"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/services/store/record"
)

// list reads records in order of id after after, up to limit that pass keep,
// and tells whether there are more. It reads ids in steps and then their
// records; one deleted in between is simply not listed.
func list[T record.Value](ctx context.Context, s *Store, region string, key, ids int, after string, limit int, keep func(T) bool) (out []T, more bool, err error) {
	if err := s.ready(ctx); err != nil {
		return nil, false, err
	}
	if err := job.CheckName(region); err != nil {
		return nil, false, err
	}
	keys := s.keys(region)
	from := "-"
	if after != "" {
		from = "(" + after
	}
	step := int64(limit + 1) // one over, to know whether there are more
	for {
		names, err := s.client.ZRangeArgs(ctx, redis.ZRangeArgs{Key: keys[ids], Start: from, Stop: "+", ByLex: true, Count: step}).Result()
		if err != nil {
			return nil, false, s.translate(ctx, err)
		}
		if len(names) == 0 {
			return out, false, nil
		}
		found, err := s.client.HMGet(ctx, keys[key], names...).Result()
		if err != nil {
			return nil, false, s.translate(ctx, err)
		}
		for _, f := range found {
			text, ok := f.(string)
			if !ok {
				continue
			}
			v, err := record.Decode[T]([]byte(text))
			if err != nil {
				return nil, false, err
			}
			if !keep(v) {
				continue
			}
			if len(out) == limit {
				return out, true, nil
			}
			out = append(out, v)
		}
		if int64(len(names)) < step {
			return out, false, nil
		}
		from = "(" + names[len(names)-1]
	}
}

func all[T any](T) bool { return true }

// Jobs implements job.Store.
func (s *Store) Jobs(ctx context.Context, region string, filter job.Filter, page job.Page) ([]job.Job, string, error) {
	out, more, err := list(ctx, s, region, keyJobs, keyJobIDs, page.After, page.Limit(), filter.Matches)
	if err != nil || !more {
		return out, "", err
	}
	return out, out[len(out)-1].ID, nil
}

// Technicians implements job.Store.
func (s *Store) Technicians(ctx context.Context, region string, page job.Page) ([]fleet.Technician, string, error) {
	out, more, err := list(ctx, s, region, keyTechnicians, keyTechnicianIDs, page.After, page.Limit(), all[fleet.Technician])
	if err != nil || !more {
		return out, "", err
	}
	return out, out[len(out)-1].ID, nil
}

// Warehouses implements job.Store.
func (s *Store) Warehouses(ctx context.Context, region string) (out []fleet.Warehouse, err error) {
	after := ""
	for {
		got, more, err := list(ctx, s, region, keyWarehouses, keyWarehouseIDs, after, job.MaxPage, all[fleet.Warehouse])
		if err != nil {
			return nil, err
		}
		out = append(out, got...)
		if !more {
			return out, nil
		}
		after = got[len(got)-1].ID
	}
}

// Snapshot implements job.Store.
func (s *Store) Snapshot(ctx context.Context, region string) (job.Snapshot, error) {
	if err := s.ready(ctx); err != nil {
		return job.Snapshot{}, err
	}
	if err := job.CheckName(region); err != nil {
		return job.Snapshot{}, err
	}
	lists, err := snapshotScript.RunRO(ctx, s.client, s.keys(region)).Slice()
	if err != nil {
		return job.Snapshot{}, s.translate(ctx, err)
	}
	if len(lists) != 3 {
		return job.Snapshot{}, fmt.Errorf("%w: snapshot script answers %d lists", job.ErrFormat, len(lists))
	}
	var out job.Snapshot
	if out.Technicians, err = decodeAll(lists[0], func(t fleet.Technician) string { return t.ID }); err != nil {
		return job.Snapshot{}, err
	}
	if out.Warehouses, err = decodeAll(lists[1], func(w fleet.Warehouse) string { return w.ID }); err != nil {
		return job.Snapshot{}, err
	}
	if out.Urgent, err = decodeAll(lists[2], func(j job.Job) string { return j.ID }); err != nil {
		return job.Snapshot{}, err
	}
	return out, nil
}

// decodeAll reads a list of records and orders it by id.
func decodeAll[T record.Value](from any, id func(T) string) ([]T, error) {
	list, ok := from.([]any)
	if !ok {
		return nil, fmt.Errorf("%w: snapshot script answers no list", job.ErrFormat)
	}
	var out []T
	for _, f := range list {
		text, ok := f.(string)
		if !ok {
			return nil, fmt.Errorf("%w: snapshot script answers no record", job.ErrFormat)
		}
		v, err := record.Decode[T]([]byte(text))
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	slices.SortFunc(out, func(a, b T) int { return strings.Compare(id(a), id(b)) })
	return out, nil
}
