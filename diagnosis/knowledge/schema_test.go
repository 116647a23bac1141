package knowledge_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"onevisit/diagnosis/knowledge"
)

var update = flag.Bool("update", false, "write the schema files")

// TestSchemas_FilesAreCurrent: the committed schemas are those that the
// loader's own description gives. To renew them: go test -run Schemas -update.
func TestSchemas_FilesAreCurrent(t *testing.T) {
	want := knowledge.Schemas()
	if len(want) != 4 {
		t.Errorf("%d schemas, want 4", len(want))
	}
	for name, content := range want {
		path := filepath.Join("schema", name)
		if *update {
			if err := os.WriteFile(path, content, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Error(err)
			continue
		}
		if !bytes.Equal(got, content) {
			t.Errorf("%s is stale: go test -run Schemas -update", path)
		}
	}
	entries, err := os.ReadDir("schema")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if want[e.Name()] == nil {
			t.Errorf("schema/%s is written by nothing", e.Name())
		}
	}
}
