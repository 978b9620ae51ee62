package show_test

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"slices"
	"testing"
	"time"

	"drylane/show"
	"drylane/testdata/reftest"
)

// Reference: the csv module of Python's standard library.
func TestWriteCuesReadsElsewhere(t *testing.T) {
	python := reftest.Tool(t, "python3")
	s := &show.Show{Cues: []show.Cue{
		{ID: "1", EffectAt: 5 * time.Second, Position: "A", Effect: `12" shell, "red"`, Note: "comma, and 花火"},
		{ID: "2", EffectAt: 6 * time.Second, Position: "A", Effect: "=HYPERLINK(1)", Note: "+x"},
	}}
	var out bytes.Buffer
	if err := s.WriteCues(&out); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", "import csv,io,json,sys\n"+
		"text=sys.stdin.buffer.read().decode('utf-8')\n"+
		"print(json.dumps([[r['cue'],r['effect_at'],r['effect'],r['note']] for r in csv.DictReader(io.StringIO(text,newline=''),strict=True)]))")
	cmd.Stdin = &out
	got, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	if err := json.Unmarshal(got, &rows); err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"1", "5.000", `12" shell, "red"`, "comma, and 花火"},
		{"2", "6.000", "'=HYPERLINK(1)", "'+x"},
	}
	if !slices.EqualFunc(rows, want, slices.Equal[[]string]) {
		t.Errorf("got %q, want %q", rows, want)
	}
}
