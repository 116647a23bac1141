package knowledge

// KeysOfFiles returns the keys that may stand anywhere in each file.
func KeysOfFiles() map[string][]string {
	out := map[string][]string{}
	for _, f := range append(append([]fileShape(nil), topFiles...), familyFiles...) {
		var keys []string
		var walk func(s *shape)
		walk = func(s *shape) {
			for i := range s.keys {
				keys = append(keys, s.keys[i].name)
				walk(&s.keys[i].shape)
			}
			if s.item != nil {
				walk(s.item)
			}
		}
		walk(&f.shape)
		out[f.name] = keys
	}
	return out
}
