package reentry

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/timebase"

	"pgregory.net/rapid"
)

const (
	rate = 48000
	s    = time.Second
)

// cue is one effect at a time in seconds.
func cue(id string, at float64, burn time.Duration) show.Cue {
	return show.Cue{ID: id, EffectAt: time.Duration(at * float64(s)), Burn: burn, Position: "A"}
}

// cutAt is a run of the cues that was cut.
func cutAt(t testing.TB, sh *show.Show, at time.Duration) *show.Transport {
	t.Helper()
	p := show.NewPlan(sh.Cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit}, rate, 60*rate)
	tr := show.NewTransport(p)
	for _, c := range []show.Action{show.Arm, show.Start, show.Cut} {
		if _, err := tr.Do(show.Command{Action: c}, timebase.FrameAt(at, rate), nil); err != nil {
			t.Fatal(err)
		}
	}
	return tr
}

func places(list []Proposal) (at []time.Duration) {
	for _, p := range list {
		at = append(at, p.At)
	}
	return at
}

// By hand. The music changes at 8, 13, 22, 30 and 50 s. At 13 s the fountain of 10 s burns
// for 8 s more; 22 s lies in a chase; nothing is left to fire at 50 s. 20 s begins the
// chase after a pause of 8 s, and 40 s comes after one of 10 s.
func TestPropose(t *testing.T) {
	sh := &show.Show{Cues: []show.Cue{
		cue("1", 5, s), cue("2", 8, s), cue("3", 12, 8*s), cue("4", 20, s),
		cue("5", 21.8, s), cue("6", 22, s), cue("7", 22.2, s), cue("8", 22.4, s),
		cue("9", 30, s), cue("10", 40, s),
	}, Tracks: []show.Track{{File: "code.wav", Left: "timecode 25 01:00:00:00", Right: "music"}}}
	tr := cutAt(t, sh, 21*s)
	got := Propose(sh, tr, []time.Duration{8 * s, 13 * s, 22 * s, 22100 * time.Millisecond, 30 * s, 50 * s}, 4*s)
	if want := []time.Duration{0, 8 * s, 12 * s, 20 * s, 30 * s, 40 * s}; !slices.Equal(places(got), want) {
		t.Fatalf("places %v, want %v", places(got), want)
	}
	var no []string
	for _, r := range Rejected(sh, tr, []time.Duration{8 * s, 13 * s, 22 * s, 22100 * time.Millisecond, 30 * s, 31 * s, 50 * s}) {
		no = append(no, r.String())
	}
	if want := []string{
		"0:13.000: the music changes, no place: it lies inside cue 3 burning",
		"0:22.000: the music changes, no place: it lies inside the chase of cues 5 to 8",
		"0:22.100: the music changes, no place: it lies inside the chase of cues 5 to 8",
		"0:31.000: the music changes, no place: it is nearly 0:30.000",
		"0:50.000: the music changes, no place: nothing is left to fire from there on",
	}; !slices.Equal(no, want) {
		t.Errorf("rejected %q", no)
	}
	at30 := got[4]
	if want := "0:30.000: the music changes; timecode 01:00:30:00 at 25"; at30.Head() != want {
		t.Errorf("got  %s\nwant %s", at30.Head(), want)
	}
	ids := func(i int) string { return sh.Cues[tr.Plan().Cues[i].List].ID }
	if want := "2 cues, first after 4.0 s; 4 stay loaded: treat as live: 5 to 8"; at30.Words(rate, ids) != want {
		t.Errorf("got  %s\nwant %s", at30.Words(rate, ids), want)
	}
	if want := "6 cues, first after 21.8 s"; got[0].Words(rate, ids) != want { // the first four have fired
		t.Errorf("from the top: %s, want %s", got[0].Words(rate, ids), want)
	}
}

func TestTorn(t *testing.T) {
	sh := &show.Show{Cues: []show.Cue{
		cue("1", 5, s), cue("2", 10, s), cue("3", 10.4, s), cue("4", 10.8, s), cue("5", 11.2, s), cue("6", 20, 6*s),
	}, Positions: []show.Position{{Name: "B", HandFired: true}}}
	sh.Cues = append(sh.Cues, show.Cue{ID: "7", EffectAt: 40 * s, Position: "B"})
	for _, c := range []struct {
		at   float64
		want string
	}{
		{4, ""}, {10, ""}, {10.2, "the chase of cues 2 to 5"}, {11.2, "the chase of cues 2 to 5"}, {11.3, ""},
		{20, ""}, {25.9, "cue 6 burning"}, {26, ""}, {39, "the count for cue 7"}, {41, ""}, {30, ""},
	} {
		if got := layOut(sh).torn(time.Duration(c.at * float64(s))); got != c.want {
			t.Errorf("at %v s: %q, want %q", c.at, got, c.want)
		}
	}
}

// Wherever the show was cut, each cue that has not fired fires from a proposed place or is
// named as loaded, and no proposal tears anything.
func TestNothingIsForgotten(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		sh := &show.Show{}
		for i := range rapid.IntRange(1, 40).Draw(rt, "cues") {
			sh.Cues = append(sh.Cues, cue(fmt.Sprint(i+1), rapid.Float64Range(0, 55).Draw(rt, "at"), time.Duration(rapid.IntRange(0, 8).Draw(rt, "burn"))*s))
		}
		tr := cutAt(t, sh, time.Duration(rapid.Float64Range(0, 59).Draw(rt, "cut")*float64(s)))
		if tr.State() != show.Safe {
			return
		}
		unfired := len(tr.Loaded(nil))
		var changes []time.Duration
		for at := 3 * s; at < 60*s; at += 7 * s {
			changes = append(changes, at)
		}
		list := Propose(sh, tr, changes, 4*s)
		for i, p := range list {
			if p.Fires == 0 || p.Fires+len(p.Skipped) != unfired || layOut(sh).torn(p.At) != "" {
				rt.Errorf("%+v: of %d not fired", p, unfired)
			}
			if i > 0 && p.At <= list[i-1].At {
				rt.Errorf("out of order: %v", places(list))
			}
		}
	})
}

// TestNamedWithin: as many cues are named as there is room for, runs whole, and the rest
// is counted.
func TestNamedWithin(t *testing.T) {
	id := func(i int) string { return fmt.Sprint(i) }
	list := []int{1, 4, 5, 6, 7, 9, 10, 20}
	for _, tt := range []struct {
		room int
		want string
	}{
		{100, "1, 4 to 7, 9, 10, 20"},
		{20, "1, 4 to 7, 9, 10, 20"},
		{19, "1 and 7 more"},
		{12, "1 and 7 more"},
		{11, ""},
	} {
		if got := NamedWithin(list, id, func(s string) bool { return len(s) <= tt.room }); got != tt.want {
			t.Errorf("in %d columns %q, want %q", tt.room, got, tt.want)
		}
	}
	if got, want := Named(list, id), "1, 4 to 7, 9, 10, 20"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
