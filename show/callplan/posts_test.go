package callplan

import (
	"testing"
	"time"

	"drylane/show"
)

// Who is called, by what, and for which cues.
func TestPosts(t *testing.T) {
	positions := []show.Position{{Name: "Quay"}, {Name: "Beacon", HandFired: true}, {Name: "Mole", HandFired: true}}
	cues := []show.Cue{
		{ID: "1", Position: "Quay", EffectAt: 20 * time.Second}, {ID: "2", Position: "Beacon", EffectAt: 40 * time.Second, Prefire: time.Second},
		{ID: "3", Position: "Mole", EffectAt: 60 * time.Second},
	}
	for _, c := range []struct {
		name   string
		tracks []show.Track
		want   []Post
		cues   []string // of each plan
	}{
		{"a person calls", nil, []Post{{Position: "Beacon"}, {Position: "Mole"}}, []string{"2", "3"}},
		{"a track of its own", []show.Track{{File: "b.wav", Left: "music", Right: "calls Beacon, gain -3 dB"}},
			[]Post{{Position: "Beacon", Track: "b.wav"}, {Position: "Mole"}}, []string{"2", "3"}},
		{"a track of its own before one for all", []show.Track{{File: "all.wav", Left: "calls"}, {File: "b.wav", Left: "pips Beacon"}},
			[]Post{{Position: "Beacon", Track: "b.wav", Pips: true}, {Position: "Mole", Track: "all.wav", Shared: true}}, []string{"2", "23"}},
		{"a wired position is called too", []show.Track{{File: "q.wav", Left: "calls Quay"}},
			[]Post{{Position: "Quay", Track: "q.wav"}, {Position: "Beacon"}, {Position: "Mole"}}, []string{"1", "2", "3"}},
	} {
		posts := Posts(&show.Show{Positions: positions, Cues: cues, Tracks: c.tracks})
		if len(posts) != len(c.want) {
			t.Errorf("%s: %+v", c.name, posts)
			continue
		}
		for i, p := range posts {
			got := ""
			for _, s := range p.Plan {
				for _, cue := range s.Cues() {
					got += cue.ID
				}
			}
			p.Plan = nil
			if p.Position != c.want[i].Position || p.Track != c.want[i].Track || p.Pips != c.want[i].Pips || p.Shared != c.want[i].Shared || got != c.cues[i] {
				t.Errorf("%s: %+v with cues %s, want %+v with %s", c.name, p, got, c.want[i], c.cues[i])
			}
		}
	}
	if at := Posts(&show.Show{Positions: positions, Cues: cues})[0].Plan[0].Shots[0].At; at != 39*time.Second {
		t.Errorf("the word for cue 2 is at %s, want its ignition", at)
	}
}

func TestNotes(t *testing.T) {
	want := []string{
		"cue 1 at 0:02.500: too early for a warning; 2 of 3 counts fit before it",
		"cues 2 to 4 follow one another within 8 s: 2 words under one warning",
		"2 cues from cue 3 on have one word: they are less than 0.7 s apart, which a word of their own needs",
		"cue 4 ignites 0.400 s after the word for cue 3: it is fired on sight",
	}
	got := lay(at(2.5, 20, 22, 22.4)).Notes()
	if len(got) != len(want) {
		t.Fatalf("%q", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%q, want %q", got[i], want[i])
		}
	}
}
