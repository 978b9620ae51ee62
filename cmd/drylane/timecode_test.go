package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestTimecodeBackwards: a file that plays its timecode backwards is not said to be
// in order.
func TestTimecodeBackwards(t *testing.T) {
	path := filepath.Join(t.TempDir(), "code.wav")
	e, out := testEnv(t)
	if err := (timecodeWriteCmd{Out: path, Rate: "25", Start: "01:00:00:00", Length: 2 * time.Second, Level: -12, SampleRate: 48000}).Run(e); err != nil {
		t.Fatal(err)
	}
	wav, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	samples := wav[len(wav)-2*2*48000:] // 16 bits, to the end of the file
	for i, j := 0, len(samples)-2; i < j; i, j = i+2, j-2 {
		samples[i], samples[i+1], samples[j], samples[j+1] = samples[j], samples[j+1], samples[i], samples[i+1]
	}
	if err := os.WriteFile(path, wav, 0o600); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	if err := (timecodeReadCmd{File: path, Channel: "either"}).Run(e); err != errSilent || !strings.Contains(out.String(), "runs backwards from 01:00:01:2") {
		t.Errorf("error %v, said %s", err, out)
	}
}
