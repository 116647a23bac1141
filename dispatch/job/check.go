package job

import "fmt"

// ValidName reports whether s may name a region, a record or a request: 1 to
// 128 of the characters A-Z a-z 0-9 - _ . : /
func ValidName(s string) bool {
	if s == "" || len(s) > 128 {
		return false
	}
	for i := range len(s) {
		c := s[i]
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9':
		case c == '-', c == '_', c == '.', c == ':', c == '/':
		default:
			return false
		}
	}
	return true
}

// CheckName returns an error wrapping ErrBadName when one of the names is not
// valid. The text does not repeat the name, which may be anything.
func CheckName(names ...string) error {
	for i, s := range names {
		if !ValidName(s) {
			return fmt.Errorf("%w: name %d of the call has %d bytes", ErrBadName, i+1, len(s))
		}
	}
	return nil
}

// Validate returns an error wrapping ErrBadName when the change cannot be
// committed to region whatever the store holds: bad names, a record of another
// region or given twice, a request id without a job of this change, a negative
// expectation, a deletion of what must not exist, or nothing to do.
func (c Change) Validate(region string) error {
	if err := CheckName(region); err != nil {
		return err
	}
	if len(c.Jobs)+len(c.Technicians)+len(c.Warehouses) == 0 {
		return fmt.Errorf("%w: the change is empty", ErrBadName)
	}
	seen := map[string]bool{}
	check := func(kind, id, of string, expect int64, remove bool) error {
		key := kind + " " + id
		switch {
		case !ValidName(id):
			return fmt.Errorf("%w: a %s id has %d bytes", ErrBadName, kind, len(id))
		case of != region && !remove:
			return fmt.Errorf("%w: %s is not of region %s", ErrBadName, key, region)
		case seen[key]:
			return fmt.Errorf("%w: %s is given twice", ErrBadName, key)
		case expect < 0 || remove && expect == 0:
			return fmt.Errorf("%w: %s expects version %d", ErrBadName, key, expect)
		}
		seen[key] = true
		return nil
	}
	for _, w := range c.Jobs {
		if err := check("job", w.Value.ID, w.Value.Region, w.Expect, w.Delete); err != nil {
			return err
		}
	}
	for _, w := range c.Technicians {
		if err := check("technician", w.Value.ID, w.Value.Region, w.Expect, w.Delete); err != nil {
			return err
		}
	}
	for _, w := range c.Warehouses {
		if err := check("warehouse", w.Value.ID, w.Value.Region, w.Expect, w.Delete); err != nil {
			return err
		}
	}
	if c.RequestID == "" && c.RequestJobID == "" {
		return nil
	}
	if err := CheckName(c.RequestID, c.RequestJobID); err != nil {
		return err
	}
	for _, w := range c.Jobs {
		if w.Value.ID == c.RequestJobID && !w.Delete {
			return nil
		}
	}
	return fmt.Errorf("%w: the request's job is not in the change", ErrBadName)
}
