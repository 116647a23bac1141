package arrows

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	link = regexp.MustCompile(`\]\(([^)#]+)\)`)
	code = regexp.MustCompile("`([^`\n]+)`")
)

// What the two guides point to must be there, and every room must be on the map.
func TestGuidesPointToWhatExists(t *testing.T) {
	all := ""
	for _, guide := range []string{"README.md", "DEVELOPERS.md"} {
		raw, err := os.ReadFile(filepath.Join(root, guide))
		if err != nil {
			t.Fatal(err)
		}
		text := string(raw)
		all += text
		links := link.FindAllStringSubmatch(text, -1)
		if len(links) < 5 {
			t.Errorf("%s has only %d links: the test does not see them", guide, len(links))
		}
		for _, l := range links {
			if strings.Contains(l[1], "://") {
				continue
			}
			if _, err := os.Stat(filepath.Join(root, l[1])); err != nil {
				t.Errorf("%s links to %s, which is not there", guide, l[1])
			}
		}
		for _, c := range code.FindAllStringSubmatch(text, -1) {
			path, _, _ := strings.Cut(c[1], " ")
			if !strings.HasPrefix(path, ".ci/") && !strings.HasPrefix(path, ".tools/") {
				continue
			}
			if _, err := os.Stat(filepath.Join(root, path)); err != nil {
				t.Errorf("%s names %s, which is not there", guide, path)
			}
		}
	}
	for _, r := range rooms {
		if strings.HasPrefix(r, "proto/") || strings.HasPrefix(r, "services/store/") || r == "services/refuse/refusetest" {
			continue // on the map under their folder
		}
		if !strings.Contains(all, r) {
			t.Errorf("%s is not on the map in DEVELOPERS.md", r)
		}
	}
}
