package console

import (
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/playback/follow"
	"drylane/show"
	"drylane/tui/internal/screentest"
)

// TestAlarmGivesWay: in a hold the message line says how the music stands now, not how it
// stood when the hold began.
func TestAlarmGivesWay(t *testing.T) {
	t.Parallel()
	stopped := "HELD: " + show.CauseMusicStopped.Sentence(0, 0)
	const hint = "held here; the music is not ours, and not heard"
	for _, test := range []struct {
		name      string
		said      string
		state     follow.State
		own, late bool
		want      string
	}{
		{"stopped", stopped, follow.Lost, false, false, stopped},
		{"back where it was", stopped, follow.Locked, false, false, stopped},
		{"elsewhere", stopped, follow.Locked, false, true, "HELD: the music is at 1:18.1 now: enter asks to go on there"},
		{"elsewhere, and something else was said", "HELD: wind", follow.Locked, false, true, "HELD: wind"},
		{"held here, plays on", deck.NotOurs, follow.Locked, true, true, deck.NotOurs},
		{"held here, paused", deck.NotOurs, follow.Lost, true, false, hint},
	} {
		for _, size := range screentest.Sizes {
			s := newScene(t, size[0], size[1])
			scenes["follows-music-elsewhere"](s)
			f := s.run.Snap.Follow
			f.Now.State, f.Own, f.Late = test.state, test.own, test.late
			s.run.Snap.Message.Text = test.said
			s.look(s.run.Snap.Since.Add(time.Second))
			if v := strings.Split(s.View(), "\n")[s.lay.message.Y]; !strings.Contains(v, test.want) {
				t.Errorf("%s, %s: %q, want %q", test.name, s.size(), v, test.want)
			}
		}
	}
}

// TestFollowsHears: the line of the output says that the console hears, or reads, what
// somebody else plays.
func TestFollowsHears(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"follows-music": "HEARS  music on PulseAudio, Line In",
		"follows":       "READS  timecode on PulseAudio, Line In",
	} {
		s := newScene(t, 200, 60)
		scenes[name](s)
		if v := s.View(); !strings.Contains(v, want) || strings.Contains(v, " OUT ") {
			t.Errorf("%s:\n%s", name, v)
		}
	}
}
