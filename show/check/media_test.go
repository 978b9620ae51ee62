package check

import (
	"strings"
	"testing"
	"time"
)

func TestMatch(t *testing.T) {
	for _, c := range []struct {
		want string
		list string // paths with commas between
		best string
		why  string
		also string // further files, with commas between
	}{
		{"track.mp3", "track.mp3", "track.mp3", "", ""},
		{"music/track.mp3", "music/track.mp3", "music/track.mp3", "", ""},
		{"music/track.mp3", "track.mp3", "track.mp3", "", ""},
		{"track.mp3", "old/track.mp3", "old/track.mp3", whyFolder, ""},
		{"track.mp3", "old/track.mp3,track.mp3", "track.mp3", "", "old/track.mp3"},
		{"track.mp3", "TRACK.MP3", "TRACK.MP3", whyCase, ""},
		{"track one.mp3", "track  one .mp3", "track  one .mp3", whySpace, ""},
		{"track one.mp3", "track_one.mp3", "track_one.mp3", whySpace, ""},
		{"track.mp3", "track.mp3 ", "track.mp3 ", whySpace, ""},
		{"track.wav", "track.mp3", "track.mp3", whyFormat, ""},
		{"track.wav", "track.txt,track.jpg", "", "", ""},
		{"track.mp3", "track (1).mp3", "track (1).mp3", whyCopy, ""},
		{"track.mp3", "track (1).mp3,track.mp3,Copy of track.mp3,track - Copy (2).mp3,track copy 3.mp3,track~1.mp3", "track.mp3", "",
			"Copy of track.mp3,track (1).mp3,track - Copy (2).mp3,track copy 3.mp3,track~1.mp3"},
		{"track.mp3", "._track.mp3,track.mp3", "track.mp3", "", "._track.mp3"},
		{"track.mp3", "._track.mp3", "", "", "._track.mp3"},
		{"track.mp3", ".trash/track.mp3,a/.b/track.mp3", "", "", ".trash/track.mp3,a/.b/track.mp3"},
		{"track.mp3", "old/track.mp3,TRACK.mp3", "TRACK.mp3", whyCase, "old/track.mp3"},
		{".a/track.mp3", ".a/track.mp3", ".a/track.mp3", "", ""},
		{"caf\u00e9.mp3", "cafe\u0301.mp3", "cafe\u0301.mp3", whyAccent, ""},
		{"track.mp3", "track 2.mp3,tracks.mp3,rack.mp3,other.mp3", "", "", ""},
		{"track 1.mp3", "track 2.mp3", "", "", ""},
		{"(1).mp3", "(2).mp3", "", "", ""},
	} {
		var list []Entry
		for _, p := range strings.Split(c.list, ",") {
			list = append(list, Entry{Path: p, Size: 1})
		}
		got := Match(c.want, list)
		best, reason := "", ""
		if got.Best != nil {
			best, reason = got.Best.Path, got.Best.Why
		}
		var also []string
		for _, o := range got.Others {
			also = append(also, o.Path)
		}
		if best != c.best || reason != c.why || strings.Join(also, ",") != c.also {
			t.Errorf("%q in %q: best %q (%s), also %q; want %q (%s), %q", c.want, c.list, best, reason, also, c.best, c.why, c.also)
		}
	}
}

// FuzzMatch: names on a stick are anything at all; the right name is always
// found among them.
func FuzzMatch(f *testing.F) {
	f.Add("track.mp3", "track (1).mp3")
	f.Add("a/copy of copy copy.wav", "~1")
	f.Add("((1)", ")")
	f.Fuzz(func(t *testing.T, want, other string) {
		got := Match(want, []Entry{{Path: other}, {Path: want}})
		if got.Best == nil || got.Best.Why != "" {
			t.Fatalf("%q beside %q: %+v", want, other, got)
		}
	})
}

func TestMedia(t *testing.T) {
	need := Need{
		File: "music/track.mp3", Users: []string{"the soundtrack", "player desk"},
		Size: 4_000_000, SHA256: "aa", Length: 300 * time.Second, Rate: 44100,
	}
	sight := func(change func(s *Sight)) *Sight {
		s := &Sight{Candidate: Candidate{Entry{"track.mp3", 3_100_000}, ""}, Length: need.Length, Rate: need.Rate}
		change(s)
		return s
	}
	coded := func(c Compared) *Sight {
		return sight(func(s *Sight) { c.Same, s.Compared = true, &c })
	}
	ms := time.Millisecond
	for _, c := range []struct {
		name   string
		best   *Sight
		others []Sight
		want   []string
	}{
		{"missing", nil, nil, []string{"stop media-missing stick/music/track.mp3: it is not there (the soundtrack, player desk)"}},
		{"same", sight(func(s *Sight) { s.Same = true }), nil, []string{"note media-same stick/track.mp3: it is the show's file, byte for byte"}},
		{"tags", sight(func(s *Sight) { s.SameSound = true }), nil, []string{"note media-same frame for frame"}},
		{"empty", sight(func(s *Sight) { s.Size = 0 }), nil, []string{"stop media-empty nothing in it"}},
		{"half", sight(func(s *Sight) { s.Begins = true }), nil, []string{"stop media-cut only 3.1 MB of 4.0 MB were copied"}},
		{"cut", sight(func(s *Sight) { s.Cut = "cut off after 2:00" }), nil, []string{"stop media-cut cut off after 2:00"}},
		{"unplayable", sight(func(s *Sight) { s.Open = "is a text file" }), nil, []string{"stop media-open is a text file"}},
		{"nothing to compare", sight(func(s *Sight) {}), nil, []string{"stop media-open nothing to compare it with"}},
		{"case", sight(func(s *Sight) { s.Same, s.Path, s.Why = true, "TRACK.MP3", whyCase }), nil,
			[]string{`warn media-name stick/TRACK.MP3: it stands there for "track.mp3": its name differs in capitals`, "note media-same stick/TRACK.MP3"}},
		{"other music", sight(func(s *Sight) { s.Compared = &Compared{Words: "not the same music"} }), nil, []string{"stop media-other not the same music"}},
		{"other music, and its timecode is gone", sight(func(s *Sight) {
			s.Compared, s.Sides = &Compared{Words: "not the same music"}, []string{"on its left side no timecode"}
		}), nil, []string{"stop media-other not the same music", "stop media-side on its left side no timecode"}},
		// The sentence that a crew needs: a positive offset is music that comes
		// late, so that cues by the file's clock come early.
		{"late", coded(Compared{Offset: 26 * ms, Steady: true}), nil, []string{"warn media-coded same music, re-encoded, 26 ms late: expect cues 26 ms early;"}},
		{"early", coded(Compared{Offset: -26 * ms, Steady: true}), nil, []string{"warn media-coded same music, re-encoded, 26 ms early: expect cues 26 ms late;"}},
		{"together", coded(Compared{Offset: ms / 2, Steady: true}), nil, []string{"warn media-coded it starts together"}},
		{"far", coded(Compared{Offset: 101 * ms, Steady: true}), nil, []string{"stop media-coded 101 ms late"}},
		// 200 ppm over 300 s are 60 ms (12 ms a minute).
		{"slow", coded(Compared{Offset: 20 * ms, PPM: 200}), nil, []string{"warn media-coded it runs slow by 200 ppm, so at its end cues are 80 ms early"}},
		{"fast", coded(Compared{Offset: 20 * ms, PPM: -500}), nil, []string{"stop media-coded it runs fast by 500 ppm, so at its end cues are 130 ms late"}},
		{"a side", coded(Compared{Steady: true, Sides: []string{"its right side is silent"}}), nil, []string{"stop media-coded its right side is silent"}},
		{"without its start", coded(Compared{Steady: true, LacksStart: 3 * time.Second}), nil, []string{"stop media-cut its first 3.0 s are missing", "warn media-coded"}},
		{"silent at its end", coded(Compared{Steady: true, LacksEnd: 4 * time.Second}), nil, []string{"stop media-cut its last 4.0 s are missing", "warn media-coded"}},
		{"upside", coded(Compared{Steady: true, Upside: true, Swapped: true}), nil, []string{"warn media-coded its polarity is reversed; left and right are exchanged"}},
		{"spoiled side", sight(func(s *Sight) {
			s.Compared, s.Sides = &Compared{Same: true, Steady: true}, []string{"on its right side the timecode is gone"}
		}), nil, []string{"stop media-side on its right side the timecode is gone", "warn media-coded copy the show's own file"}},
		{"no record of the delay", sight(func(s *Sight) {
			s.Compared, s.StartUncertain = &Compared{Same: true, Steady: true, Offset: 24 * ms}, 26*ms
		}), nil, []string{"warn media-coded 24 ms late: expect cues 24 ms early; its encoder left no record of its delay"}},
		{"no end", sight(func(s *Sight) { s.Compared, s.Length = &Compared{Same: true, Steady: true}, 290*time.Second }), nil,
			[]string{"stop media-cut its last 10.0 s are missing", "warn media-coded"}},
		{"rate", sight(func(s *Sight) { s.Compared, s.Rate = &Compared{Same: true, Steady: true}, 48000 }), nil, []string{"warn media-coded", "warn rate it runs at 48000 Hz"}},
		{"copies", sight(func(s *Sight) { s.Same = true }), []Sight{
			{Candidate: Candidate{Entry{"track (1).mp3", 9}, whyCopy}}, {Candidate: Candidate{Entry{"._track.mp3", 0}, whyHidden}}, {Candidate: Candidate{Entry{"b/track.mp3", 9}, whyFolder}, Same: true},
		}, []string{
			`warn media-copy stick/track (1).mp3: it may be played for "track.mp3": it is named like a copy, and it is another file`,
			"warn media-copy it is hidden, and it is an empty file", "warn media-copy it lies in another folder, and it is the same file once more", "note media-same"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Media(&Medium{Name: "stick", Needs: []Need{need}, Best: []*Sight{c.best}, Others: [][]Sight{c.others}})
			ok := len(got) == len(c.want)
			for i := 0; ok && i < len(got); i++ {
				parts := strings.SplitN(c.want[i], " ", 3)
				ok = got[i].Severity.String() == parts[0] && got[i].Code == parts[1] && (len(parts) < 3 || strings.Contains(got[i].String(), parts[2]))
			}
			if !ok {
				t.Errorf("findings:\n%swant: %q", lines(got), c.want)
			}
		})
	}
}
