package calibration

import (
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"
)

func TestParseTaps(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text string
		want []time.Duration
		err  string
	}{
		{"\ufeff# taps\n2.013\n\n 0:02.584 \r\n", []time.Duration{2013e6, 2584e6}, ""},
		{"2.0\n1.9", nil, "2: found 0:01.900 after 0:02.000; wanted the taps in the order in which they came"},
		{"2.0\n2.0", nil, "2: found 0:02.000 after"},
		{"2,0", nil, "1: found \"2,0\"; wanted seconds"},
		{"-1", nil, "1: found \"-1\""},
		{"", nil, " found no taps"},
		{"# none\n", nil, " found no taps"},
		{strings.Repeat("9", 70_000), nil, "1: found a line that does not read"},
	}
	for _, tt := range tests {
		got, err := parseTaps(strings.NewReader(tt.text))
		if !slices.Equal(got, tt.want) || (err == nil) != (tt.err == "") || err != nil && !strings.HasPrefix(err.Error(), tt.err) {
			t.Errorf("%.30q: %v, %v; want %v, %s", tt.text, got, err, tt.want, tt.err)
		}
	}
}

// FuzzParseTaps: what is read ascends and can be written and read again.
func FuzzParseTaps(f *testing.F) {
	f.Add("2.013\n2.584\n")
	f.Add("# x\n\ufeff1:02.5\n")
	f.Fuzz(func(t *testing.T, text string) {
		taps, err := parseTaps(strings.NewReader(text))
		if err != nil {
			if taps != nil || err.Error() == "" {
				t.Fatalf("%v with %v", taps, err)
			}
			return
		}
		var again strings.Builder
		for i, d := range taps {
			if d < 0 || i > 0 && d <= taps[i-1] {
				t.Fatalf("taps at %v", taps)
			}
			again.WriteString(timebase.ClockMillis(d) + "\n")
		}
		if back, err := parseTaps(strings.NewReader(again.String())); err != nil || !slices.Equal(back, taps) {
			t.Fatalf("%v read back as %v, %v", taps, back, err)
		}
	})
}
