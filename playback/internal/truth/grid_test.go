package truth

import (
	"bytes"
	"slices"
	"testing"
)

// A bar of 3/4 at 120 quarters a minute, then 6/8 at half that tempo: its beats
// are three eighths, 1.5 s each. The last note lies in the second bar of it.
func TestReadGrid(t *testing.T) {
	meters := "\x00\xff\x58\x04\x03\x02\x18\x08" +
		"\x82\x20\xff\x58\x04\x06\x03\x18\x08\x00\xff\x51\x03\x0f\x42\x40" + end
	notes := "\x00\x90\x3c\x40\x85\x20\x3c\x40" + end // at ticks 0 and 672
	got, err := ReadGrid(bytes.NewReader(file(meters, notes)))
	if err != nil {
		t.Fatal(err)
	}
	if want := times(0, 0.5, 1, 1.5, 3, 4.5); !slices.Equal(got.Beats, want) {
		t.Errorf("beats at %v, want %v", got.Beats, want)
	}
	if want := times(0, 1.5, 4.5); !slices.Equal(got.Bars, want) {
		t.Errorf("bars at %v, want %v", got.Bars, want)
	}
}
