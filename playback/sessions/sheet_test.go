package sessions

import (
	"strings"
	"testing"
	"time"

	"drylane/playback/people"
	"drylane/show/session"

	"github.com/adrg/xdg"
)

// atHome gives a test a data folder of its own.
func atHome(t *testing.T) {
	data, state := xdg.DataHome, xdg.StateHome
	xdg.DataHome, xdg.StateHome = t.TempDir(), t.TempDir()
	t.Cleanup(func() { xdg.DataHome, xdg.StateHome = data, state })
}

var robin = people.Person{Name: "Robin", BiasMS: -42.5, ScatterMS: 18, Taps: 24, Output: "silence", Measured: time.Date(2026, 7, 4, 21, 0, 0, 0, time.UTC)}

// TestWhoTapped: who is asked for must be known; who a session names need not.
func TestWhoTapped(t *testing.T) {
	atHome(t)
	if _, err := robin.Save(); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		asked, named string
		name         string
		bias         time.Duration
		calibrated   bool
		err          string
	}{
		{"", "", "", 0, false, ""},
		{"Robin", "", "Robin", -42500 * time.Microsecond, true, ""},
		{"", "Robin", "Robin", -42500 * time.Microsecond, true, ""},
		{"Robin", "Alex", "Robin", -42500 * time.Microsecond, true, ""},
		{"", "Alex", "Alex", 0, false, ""},
		{"Alex", "Robin", "", 0, false, "no calibration"},
		{"../../etc", "", "", 0, false, "no calibration"},
	}
	for _, tt := range tests {
		who, err := whoTapped(tt.asked, session.Header{Person: tt.named})
		if who.Name != tt.name || who.Bias != tt.bias || who.Calibrated != tt.calibrated || (err == nil) != (tt.err == "") ||
			err != nil && !strings.Contains(err.Error(), tt.err) {
			t.Errorf("%q asked, %q named: %+v, %v", tt.asked, tt.named, who, err)
		}
	}
}
