package companion

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/calls"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/sheet"
	"drylane/testdata/reftest"
)

// A heard is a phrase and when it is heard to begin.
type heard struct {
	at   time.Duration
	text string
}

var (
	onSheet = regexp.MustCompile(`(\d+:\d\d(?:\.\d+)?) "([^"]+)"`)
	counts  = []string{"three", "two", "one", "fire"}
)

// fromSheet reads the calls back from the text of crew sheets. A count stands
// there as one line: its words are a second apart.
func fromSheet(t *testing.T, sheets []*sheet.Sheet) []heard {
	t.Helper()
	var text strings.Builder
	if err := sheet.WriteText(&text, sheets); err != nil {
		t.Fatal(err)
	}
	var list []heard
	for _, m := range onSheet.FindAllStringSubmatch(text.String(), -1) {
		at, err := show.ParseTime(m[1])
		if err != nil {
			t.Fatal(err)
		}
		words := strings.Split(m[2], ", ")
		if !slices.Contains(counts, words[0]) {
			list = append(list, heard{at, m[2]})
			continue
		}
		for i, w := range words {
			list = append(list, heard{at + time.Duration(i)*time.Second, w})
		}
	}
	slices.SortFunc(list, func(a, b heard) int { return int(a.at - b.at) })
	return list
}

// fromTrack are the phrases of a channel as they are laid on its track.
func fromTrack(t *testing.T, s *show.Show, c show.Channel, rate int) ([]heard, []calls.Mark) {
	t.Helper()
	voice, err := calls.NewVoice(t.Context(), s.Calls.Words.VoiceName(), rate)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := calls.Render(phrases(callplan.Of(s, c.Position), s.Calls.Words), voice, rate)
	if err != nil {
		t.Fatal(err)
	}
	var list []heard
	for _, m := range marks {
		list = append(list, heard{m.At.At(rate).Round(time.Millisecond), m.Phrase.Text})
	}
	return list, marks
}

// TestSheetAndTrackSayTheSame: what is on the sheet of a hand-fired position is
// on its track, at the same times and in the same words, and the reverse, for
// lists with cues as near to each other as they may be.
func TestSheetAndTrackSayTheSame(t *testing.T) {
	reftest.Tool(t, "espeak-ng")
	r := rand.New(rand.NewPCG(7, 11))
	for trial := range 6 {
		s := &show.Show{Positions: []show.Position{{Name: "Beacon", HandFired: true}},
			Tracks: []show.Track{{File: "beacon.wav", Left: "music", Right: "calls Beacon"}}}
		at := time.Duration(r.IntN(9000)) * time.Millisecond
		for i := range 15 {
			s.Cues = append(s.Cues, show.Cue{ID: fmt.Sprint(trial*31 + i), Position: "Beacon", EffectAt: at + time.Second, Prefire: time.Second})
			at += []time.Duration{0, 100, 400, 700, 1500, 3000, 8000, 12000}[r.IntN(8)] * time.Millisecond
		}
		onTrack, _ := fromTrack(t, s, show.Channel{Source: show.ChannelCalls, Position: "Beacon"}, 8000)
		if onPaper := fromSheet(t, sheet.For(s)); !slices.Equal(onPaper, onTrack) {
			t.Errorf("trial %d: on paper\n%v\non the track\n%v", trial, onPaper, onTrack)
		}
	}
}

// TestSheetsOfASharedTrack: where one track calls two positions, what their two
// sheets tell is on it.
func TestSheetsOfASharedTrack(t *testing.T) {
	reftest.Tool(t, "espeak-ng")
	s := &show.Show{Positions: []show.Position{{Name: "Beacon", HandFired: true}, {Name: "Mole", HandFired: true}},
		Tracks: []show.Track{{File: "all.wav", Left: "calls"}}}
	for i, ms := range []int{20_000, 20_000, 23_000, 23_400, 40_000, 60_000} {
		s.Cues = append(s.Cues, show.Cue{ID: fmt.Sprint(i + 1), Position: s.Positions[i%2].Name, EffectAt: time.Duration(ms) * time.Millisecond})
	}
	onTrack, _ := fromTrack(t, s, show.Channel{Source: show.ChannelCalls}, 8000)
	onPaper := slices.CompactFunc(fromSheet(t, sheet.For(s)), func(a, b heard) bool { return a == b })
	if !slices.Equal(onPaper, onTrack) {
		t.Errorf("on paper\n%v\non the track\n%v", onPaper, onTrack)
	}
}

// TestTrackByEar listens to a track that was built: a sound sets in where the
// sheet has a phrase, and between them there is silence.
func TestTrackByEar(t *testing.T) {
	reftest.Tool(t, "espeak-ng")
	dir := trackShow(t, "silence", "calls Right")
	list := "cue,effect_at,prefire,position,effect\n1,9,0,Left,comet\n7,10,0,Right,comet\n8,10.4,0,Right,comet\n9,13,0,Right,comet\n10,30,1,Right,comet\n"
	if err := os.WriteFile(filepath.Join(dir, "cues.csv"), []byte(list), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := show.Load(os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	onPaper := fromSheet(t, sheet.For(s))
	to, _, _, err := runTracks(t.Context(), t, dir)
	if err != nil {
		t.Fatal(err)
	}
	mono, rate := samples(t, filepath.Join(to, "out.wav"), 1)
	_, marks := fromTrack(t, s, show.Channel{Source: show.ChannelCalls, Position: "Right"}, rate)
	if len(marks) != len(onPaper) || len(onPaper) != 12 {
		t.Fatalf("%d phrases, on paper %v", len(marks), onPaper)
	}
	for i, m := range marks {
		from := int(m.At) - m.Sound.Onset
		to := from + len(m.Sound.Samples)
		if begins := from + calls.Onset(mono[from:to]); math.Abs(float64(begins)/float64(rate)-onPaper[i].at.Seconds()) > 0.002 {
			t.Errorf("%q stands at %s and is heard at %.3f s", onPaper[i].text, onPaper[i].at, float64(begins)/float64(rate))
		}
		clear(mono[from:to])
	}
	for i, v := range mono {
		if v != 0 {
			t.Fatalf("a sound at %.3f s that no sheet has", float64(i)/float64(rate))
		}
	}
}
