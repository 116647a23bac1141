package redisstore

// keys returns the keys of a region, in the order the scripts expect:
//
//	1 seq             string: the region's last version
//	2 jobs            hash: job id → record
//	3 jobids          sorted set of job ids, all at score 0, for listing by id
//	4 technicians     hash: technician id → record
//	5 technicianids   sorted set like jobids
//	6 warehouses      hash: warehouse id → record
//	7 warehouseids    sorted set like jobids
//	8 requests        hash: request id → job id
//	9 urgent          set of ids of urgent jobs that are created or waiting
//
// The braces make the region the hash tag, so a cluster keeps all nine in one
// slot. Region names hold no braces (job.ValidName). No key expires.
func (s *Store) keys(region string) []string {
	base := s.prefix + ":{" + region + "}:"
	return []string{
		base + "seq", base + "jobs", base + "jobids", base + "technicians", base + "technicianids",
		base + "warehouses", base + "warehouseids", base + "requests", base + "urgent",
	}
}

// Indexes into keys.
const (
	keyJobs          = 1
	keyJobIDs        = 2
	keyTechnicians   = 3
	keyTechnicianIDs = 4
	keyWarehouses    = 5
	keyWarehouseIDs  = 6
	keyRequests      = 7
)
