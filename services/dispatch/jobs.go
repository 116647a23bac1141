package dispatch

import (
	"context"
	"fmt"
	"strings"

	"google.golang.org/grpc/codes"

	"onevisit/dispatch/job"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/refuse"
)

// GetJob gets a job.
func (s *Server) GetJob(ctx context.Context, req *dispatchv1.GetJobRequest) (*dispatchv1.Job, error) {
	region, _, id := split(req.GetName())
	j, err := s.Store.Job(ctx, region, id)
	if err != nil {
		return nil, err
	}
	return fromJob(j)
}

// ListJobs lists jobs in order of name.
func (s *Server) ListJobs(ctx context.Context, req *dispatchv1.ListJobsRequest) (*dispatchv1.ListJobsResponse, error) {
	page, err := pageOf(req.GetPageToken(), req.GetPageSize())
	if err != nil {
		return nil, err
	}
	region := regionOf(req.GetParent())
	filter := job.Filter{}
	if name := req.GetTechnician(); name != "" {
		in, _, id := split(name)
		if in != region {
			return nil, refuse.Field("technician", "OTHER_REGION", "the technician is of another region than parent")
		}
		filter.TechnicianID = id
	}
	for _, want := range req.GetStates() {
		for from, to := range states {
			if to == want {
				filter.States = append(filter.States, from)
			}
		}
	}
	list, next, err := s.Store.Jobs(ctx, region, filter, page)
	if err != nil {
		return nil, err
	}
	out := &dispatchv1.ListJobsResponse{NextPageToken: tokenOf(next)}
	for _, j := range list {
		one, err := fromJob(j)
		if err != nil {
			return nil, err
		}
		out.Jobs = append(out.Jobs, one)
	}
	return out, nil
}

// step reads a job and those who hold promises for it, lets move say what
// changes, and commits it if nobody else changed any of them meanwhile. A move
// that returns an empty change leaves all as it is.
func (s *Server) step(ctx context.Context, name, etag string, move func(job.Job, job.Holders) (job.Change, error)) (*dispatchv1.Job, error) {
	region, _, id := split(name)
	err := again(ctx, func() error {
		j, err := s.Store.Job(ctx, region, id)
		if err != nil {
			return err
		}
		if etag != "" && etag != etagOf(j.Version) {
			return refuse.With(codes.Aborted, "STALE", name+" has changed since it was read")
		}
		h, err := s.holders(ctx, j)
		if err != nil {
			return err
		}
		c, err := move(j, h)
		if err != nil || len(c.Jobs) == 0 {
			return err
		}
		_, err = s.Store.Commit(ctx, region, c)
		return err
	})
	if err != nil {
		return nil, err
	}
	return s.GetJob(ctx, &dispatchv1.GetJobRequest{Name: name})
}

func (s *Server) holders(ctx context.Context, j job.Job) (job.Holders, error) {
	var h job.Holders
	technician, warehouse := j.HolderIDs()
	if technician != "" {
		t, err := s.Store.Technician(ctx, j.Region, technician)
		if err != nil {
			return h, err
		}
		h.Technician = &t
	}
	if warehouse != "" {
		w, err := s.Store.Warehouse(ctx, j.Region, warehouse)
		if err != nil {
			return h, err
		}
		h.Warehouse = &w
	}
	return h, nil
}

// CancelJob cancels a job and releases what was reserved.
func (s *Server) CancelJob(ctx context.Context, req *dispatchv1.CancelJobRequest) (*dispatchv1.Job, error) {
	return s.step(ctx, req.GetName(), req.GetEtag(), func(j job.Job, h job.Holders) (job.Change, error) {
		if j.State == job.Cancelled {
			return job.Change{}, nil
		}
		return job.Cancel(j, h, s.Now())
	})
}

// StartJob tells that the technician has begun.
func (s *Server) StartJob(ctx context.Context, req *dispatchv1.StartJobRequest) (*dispatchv1.Job, error) {
	return s.step(ctx, req.GetName(), "", func(j job.Job, h job.Holders) (job.Change, error) {
		if j.State == job.UnderWay {
			return job.Change{}, nil
		}
		return job.Begin(j, h, s.Now())
	})
}

// CompleteJob closes a job.
func (s *Server) CompleteJob(ctx context.Context, req *dispatchv1.CompleteJobRequest) (*dispatchv1.Job, error) {
	result := job.Result{Fixed: req.GetOutcome().GetFixed(), Fault: req.GetOutcome().GetFault()}
	for _, p := range req.GetOutcome().GetPartsUsed() {
		result.Used = append(result.Used, job.Used{PartKind: p.GetPartKind(), Mark: p.GetMark(), Quantity: quantity(p)})
	}
	return s.step(ctx, req.GetName(), "", func(j job.Job, h job.Holders) (job.Change, error) {
		return job.Complete(j, result, h, s.Now())
	})
}

// ReassignJob tries again to find somebody for a waiting job.
func (s *Server) ReassignJob(ctx context.Context, req *dispatchv1.ReassignJobRequest) (*dispatchv1.Job, error) {
	return s.step(ctx, req.GetName(), req.GetEtag(), func(j job.Job, _ job.Holders) (job.Change, error) {
		if !j.Open() {
			return job.Change{}, fmt.Errorf("%w: job %s is %s, only a waiting job can be reassigned", job.ErrWrongState, j.ID, j.State)
		}
		c, err := unpackCase(j.Case)
		if err != nil {
			return job.Change{}, err
		}
		change, _, err := s.decide(ctx, j, c)
		return change, err
	})
}

// GetPartsList gets what the technician's client shows for a job.
func (s *Server) GetPartsList(ctx context.Context, req *dispatchv1.GetPartsListRequest) (*dispatchv1.PartsList, error) {
	region, _, id := split(req.GetName())
	j, err := s.Store.Job(ctx, region, id)
	if err != nil {
		return nil, err
	}
	c, err := unpackCase(j.Case)
	if err != nil {
		return nil, err
	}
	out := &dispatchv1.PartsList{Name: req.GetName(), Tools: j.Requirement.Tools}
	var skills []string
	if a := j.Assignment; a != nil {
		out.Parts = fromReserved(region, *a)
		t, err := s.Store.Technician(ctx, region, a.TechnicianID)
		if err != nil {
			return nil, err
		}
		for _, one := range t.Skills {
			if t.HasSkill(one.Code, s.Now()) {
				skills = append(skills, one.Code)
			}
		}
	}
	out.NotOnVan = missing(j)
	c.CustomerWords = string(j.Words)
	plan, err := s.Triage.PlanChecks(ctx, &triagev1.PlanChecksRequest{Case: assessRequest(c), Skills: skills})
	if err := outside("TRIAGE", err); err != nil {
		if j.Requirement.Certain { // a person decided; checks are a help, not a must
			return out, nil
		}
		return nil, err
	}
	out.Checks = plan
	out.Cautions = cautions(c)
	return out, nil
}

// missing lists the needs of a job that nothing is reserved for.
func missing(j job.Job) []*commonv1.PartNeed {
	reserved := make(map[[2]string]int)
	if j.Assignment != nil {
		for _, r := range j.Assignment.Reserved {
			reserved[[2]string{r.PartKind, r.For}] += r.Quantity
		}
	}
	var out []*commonv1.PartNeed
	for _, n := range j.Requirement.Parts {
		if left := n.Quantity - reserved[[2]string{n.PartKind, n.Mark}]; left > 0 {
			q := int32(left)
			out = append(out, &commonv1.PartNeed{PartKind: n.PartKind, Mark: n.Mark, Quantity: &q})
		}
	}
	return out
}

// cautions gathers what was reported on the phone: whoever goes must know it
// before touching anything.
func cautions(c *dispatchv1.Job) []string {
	var out []string
	for _, h := range c.GetHazards() {
		out = append(out, "Reported on the phone: "+strings.ToLower(h.GetLabel()))
	}
	for _, code := range c.GetNotedHazards() {
		out = append(out, "Noted by the office: "+strings.ReplaceAll(code, "_", " "))
	}
	return out
}
