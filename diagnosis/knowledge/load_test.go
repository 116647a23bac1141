package knowledge_test

import (
	"testing"

	"onevisit/diagnosis/knowledge"
)

func TestDefault_IsGood(t *testing.T) {
	for _, p := range knowledge.Verify(knowledge.Embedded(), nil) {
		t.Error(p)
	}
}
