package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"strings"
	"testing"

	"drylane/testdata/reftest"
)

// TestRealTimeSelftest tries a private sound server, whose clicks are all found again,
// and gives figures that name nobody.
func TestRealTimeSelftest(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	pulse := reftest.StartPulse(t, 48000)
	home := t.TempDir()
	cmd := exec.Command(buildBinary(t), "selftest", "--for", "3s", "--json")
	cmd.Env = append(os.Environ(), "PULSE_SERVER="+pulse.Server, "HOME="+home, "XDG_DATA_HOME="+home)
	cmd.Stderr = os.Stderr
	text, err := cmd.Output()
	if len(text) == 0 {
		t.Fatal(err)
	}
	var got struct {
		Verdict string
		Figures struct {
			Sound struct{ Server string }
			Loop  struct {
				By    string
				Sent  int `json:"clicks_sent"`
				Found int `json:"clicks_found"`
			}
			Disk struct{ Syncs int }
		}
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	f := got.Figures
	if got.Verdict == "" || f.Sound.Server != "PulseAudio" || f.Loop.By != "monitor" || f.Loop.Sent < 4 || f.Loop.Found != f.Loop.Sent || f.Disk.Syncs == 0 {
		t.Errorf("got %s", text)
	}
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{host, home, "Rehearsal"} {
		if strings.Contains(string(text), name) {
			t.Errorf("%q is in %s", name, text)
		}
	}
}

// TestRealTimeSelftestInATerminal: the terminal is asked, a key is held down, and the
// page stands on the screen as it was.
func TestRealTimeSelftestInATerminal(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	x := openTerminal(t, 100, 40, "selftest", "--for", "3s")
	x.sees("Hold the key j down")
	for range 4 {
		x.press("j")
	}
	x.sees("100x40, ", "characters of the screens are one column wide", "a whole screen is drawn in", "comes again after", "FIT")
}
