package exchange

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"reflect"
	"testing"

	"drylane/testdata/reftest"
)

// TestAgainstPython writes and reads tables with python3's csv module.
func TestAgainstPython(t *testing.T) {
	python := reftest.Tool(t, "python3")
	rows := [][]string{
		{"cue", "effect_at", "note"},
		{"1", "5.250", `a "quoted" word`},
		{"2", "6,5", "two\nlines"},
		{"3", "", "semi;colon, comma\tand tab"},
		{"4", "7", "“Kühl”; ende"},
	}
	in, err := json.Marshal(rows)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ delimiter, quoting, encoding string }{
		{",", "csv.QUOTE_MINIMAL", "utf-8"},
		{";", "csv.QUOTE_ALL", "utf-16"},
		{"\t", "csv.QUOTE_NONNUMERIC", "utf-8-sig"},
		{";", "csv.QUOTE_MINIMAL", "cp1252"},
	} {
		script := `import csv, io, json, sys
s = io.StringIO(newline="")
csv.writer(s, delimiter=sys.argv[1], quoting=` + c.quoting + `).writerows(json.load(sys.stdin))
sys.stdout.buffer.write(s.getvalue().encode(sys.argv[2]))`
		cmd := exec.Command(python, "-c", script, c.delimiter, c.encoding)
		cmd.Stdin = bytes.NewReader(in)
		text, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		table, err := ReadTable("x", bytes.NewReader(text), Profile{})
		if err != nil {
			t.Errorf("%+v: %v", c, err)
			continue
		}
		got := append([][]string{table.Header}, fieldsOf(table)...)
		if !reflect.DeepEqual(got, rows) {
			t.Errorf("%+v: %q; want %q", c, got, rows)
		}
	}
}

// TestReadsLikePython: python3's csv.reader splits the same texts alike, inches
// in a field without quotes among them.
func TestReadsLikePython(t *testing.T) {
	python := reftest.Tool(t, "python3")
	texts := []string{
		"a,b\n1,3\" shell\n",
		"a,b\n\"1\",\"x, \"\"y\"\"\"\n2,\n",
		"a,b\n\"two\nlines\",2\n3,4\" and 5\"\n",
		"\"\",b\n,\"\"\n",
	}
	in, err := json.Marshal(texts)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", `import csv, io, json, sys
json.dump([list(csv.reader(io.StringIO(s, newline=""))) for s in json.load(sys.stdin)], sys.stdout)`)
	cmd.Stdin = bytes.NewReader(in)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][][]string
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	for i, text := range texts {
		rows, skips, err := splitQuoted("x", text, ',')
		var got [][]string
		for _, r := range rows {
			got = append(got, r.Fields)
		}
		if err != nil || len(skips) > 0 || !reflect.DeepEqual(got, want[i]) {
			t.Errorf("%q: %q, %v, %v; python reads %q", text, got, skips, err, want[i])
		}
	}
}
