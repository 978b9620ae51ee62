package main

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestCheckPrintsJSON: with nothing found the list is a list.
func TestCheckPrintsJSON(t *testing.T) {
	var b strings.Builder
	if err := printFindings(&b, "T", nil, true); err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal([]byte(b.String()), &got); err != nil {
		t.Fatal(err)
	}
	if list, ok := got["findings"].([]any); !ok || len(list) != 0 {
		t.Errorf("findings: %v", got["findings"])
	}
}
