package crew

import (
	"strings"
	"testing"
	"time"

	"drylane/show/crew"
	"drylane/show/session"
)

// TestSeat: a listener's place is one of the show's, and the log has it and the habit
// with the join, again after a lost link.
func TestSeat(t *testing.T) {
	r := newRig(t, func(c *Config) {
		c.Places = []session.Place{{Name: "main audience", MusicNS: 1}, {Name: "bridge", MusicNS: 2}}
	})
	habit := session.Habit{BiasNS: int64(-40 * time.Millisecond), ScatterNS: int64(20 * time.Millisecond), Taps: 24}
	for _, c := range []struct {
		role, place string
		habit       session.Habit
		wrong       string
	}{
		{"listener", "hill", habit, `found the place "hill"; wanted one of the show: music, main audience or bridge`},
		{"spotter", "bridge", habit, `found the place "bridge" for spotter; wanted none`},
		{"listener", "bridge", session.Habit{BiasNS: int64(2 * time.Second), Taps: 24}, "found a calibration that cannot be"},
		{"listener", "bridge", session.Habit{ScatterNS: -1, Taps: 24}, "found a calibration that cannot be"},
		{"listener", "bridge", session.Habit{}, "found a calibration that cannot be"},
		{"listener", "BRIDGE", habit, ""},
	} {
		j := r.invite("Cyd", c.role)
		j.Place, j.Habit = c.place, &c.habit
		m, err := Dial(t.Context(), j)
		if c.wrong != "" {
			if err == nil || !strings.Contains(err.Error(), c.wrong) {
				t.Errorf("%s at %s: %v, want %q", c.role, c.place, err, c.wrong)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(m.Close)
		if at := m.View().Welcome.Place; at != "bridge" {
			t.Errorf("stands at %q", at)
		}
	}
	got := r.run.logged(crew.HasJoined)
	if len(got) != 1 || got[0].Place != "bridge" || got[0].Habit == nil || *got[0].Habit != habit {
		t.Errorf("logged: %+v", got)
	}
}

// TestNoSpeaker: without a speaker nobody knows when the music comes anywhere but where it
// is made.
func TestNoSpeaker(t *testing.T) {
	r := newRig(t, nil)
	j := r.invite("Cyd", "listener")
	j.Place = "bridge"
	if _, err := Dial(t.Context(), j); err == nil || !strings.Contains(err.Error(), "wanted music: show.toml has no [[speaker]]") {
		t.Error(err)
	}
	j.Place = "Music"
	m, err := Dial(t.Context(), j)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	if at := m.View().Welcome.Place; at != crew.AtMusic {
		t.Errorf("stands at %q", at)
	}
}
