package riff

import (
	"io"
	"slices"
	"strings"
	"testing"
)

// TestWalk: chunks of an odd size, one whose size was never written, a size
// beyond the end of the file, and sizes that stand in ds64.
func TestWalk(t *testing.T) {
	long := append(make([]byte, 8), 2, 0, 0, 0, 0, 0, 0, 0) // data
	long = append(append(long, make([]byte, 8)...), 1, 0, 0, 0)
	long = append(long, "more\x03\x00\x00\x00\x00\x00\x00\x00"...)
	for _, c := range []struct {
		name, file string
		want       []Chunk
	}{
		{"odd", "RIFF\x00\x00\x00\x00WAVEodd \x01\x00\x00\x00a\x00next\x00\x00\x00\x00", []Chunk{{"odd ", 20, 1, 1}, {"next", 30, 0, 0}}},
		{"unknown", "RIFF\x00\x00\x00\x00WAVEdata\xff\xff\xff\xffabc", []Chunk{{"data", 20, 3, UnknownSize}}},
		{"beyond", "RIFF\x00\x00\x00\x00WAVEdata\x09\x00\x00\x00abc", []Chunk{{"data", 20, 3, 9}}},
		{
			"long", "RF64\xff\xff\xff\xffWAVEds64\x28\x00\x00\x00" + string(long) + "data\xff\xff\xff\xffabmore\xff\xff\xff\xffabc",
			[]Chunk{{"ds64", 20, 40, 40}, {"data", 68, 2, 2}, {"more", 78, 3, 3}},
		},
		{"no ds64 in RIFF", "RIFF\xff\xff\xff\xffWAVEds64\x28\x00\x00\x00" + string(long) + "data\xff\xff\xff\xffab", []Chunk{{"ds64", 20, 40, 40}, {"data", 68, 2, UnknownSize}}},
	} {
		for _, before := range []string{"", "tag"} {
			w, err := Walk(strings.NewReader(before+c.file), int64(len(before)))
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			var got []Chunk
			for {
				chunk, err := w.Next()
				if err == io.EOF {
					break
				}
				if err != nil {
					t.Fatal(err)
				}
				chunk.At -= int64(len(before))
				got = append(got, chunk)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("%s: %+v; want %+v", c.name, got, c.want)
			}
		}
	}
	for file, want := range map[string]error{"RIFF": ErrCut, "RIFX\x00\x00\x00\x00WAVE": ErrNotWAVE, "RIFF\x00\x00\x00\x00AVI ": ErrNotWAVE} {
		if _, err := Walk(strings.NewReader(file), 0); err != want {
			t.Errorf("%q: %v; want %v", file, err, want)
		}
	}
}
