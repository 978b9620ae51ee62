package main

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/onset"
	"drylane/playback/onset/truth"
	"drylane/playback/reftest"
	"drylane/show"
	"drylane/show/review"
	"drylane/testdata"

	"github.com/adrg/xdg"
)

// TestReviewDemo: the demo's list is on its music, but for the position that
// was made 0.3 s late.
func TestReviewDemo(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	xdg.Reload()
	dir, page := t.TempDir(), filepath.Join(t.TempDir(), "review.html")
	if err := os.CopyFS(dir, testdata.Demo()); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	e := &env{ctx: t.Context(), out: &out, errOut: io.Discard}
	if err := (reviewCmd{Dir: dir, Cues: true, HTML: page}).Run(e); err != nil {
		t.Fatal(err)
	}
	html, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	others := regexp.MustCompile(`position (Mole|Quay|Jetty|Barge|Beacon) (is|does)|drifts|the list is 0`)
	for _, text := range []string{out.String(), string(html)} {
		if !strings.Contains(text, "the list is on the music") || !strings.Contains(text, "position Slip is 0.30 s late") || others.MatchString(text) {
			t.Errorf("got %.1500s", text)
		}
	}
}

// TestReviewRendered plants shifts in cues on music rendered from MIDI files:
// the cues stand on the loudest third of the onsets, a fifth of them anywhere.
func TestReviewRendered(t *testing.T) {
	reftest.Tool(t, "fluidsynth")
	list, err := truth.Pieces()
	if err != nil {
		reftest.Missing(t, err.Error())
	}
	r := rand.New(rand.NewPCG(21, 22))
	runs, right, alarms := 0, 0, 0
	for _, path := range list {
		switch filepath.Base(path) {
		case "train_filled_with_cash.mid", "city_blues_redfarn.mid", "coconut_run2.mid":
		default:
			continue
		}
		p, err := truth.Render(t.Context(), path, t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		m, err := onset.Analyse(t.Context(), p.WAV, func() (io.ReadSeekCloser, error) { return os.Open(p.WAV) }, nil)
		if err != nil {
			t.Fatal(err)
		}
		music := reviewMusic(m)
		for k := range 5 {
			shift := time.Duration(10*k-20+r.IntN(5)) * 100 * time.Millisecond
			rep := review.Check(cuesOn(r, p, music.Length, shift), music)
			runs++
			if (rep.Show.Shift - shift).Abs() <= 20*time.Millisecond {
				right++
			} else {
				t.Logf("%s: planted %v, found %+v", p.Name, shift, rep.Show)
			}
			for _, v := range rep.Verdicts[1:] {
				if v.Code == review.PositionApart || v.Code == review.SectionApart || v.Code == review.Drifts {
					t.Logf("%s: %s", p.Name, v.Text)
					alarms++
				}
			}
		}
	}
	if right < runs-1 || alarms > 1 {
		t.Errorf("%d of %d planted shifts found, %d false alarms", right, runs, alarms)
	}
}

// cuesOn puts cues of six positions on a piece.
func cuesOn(r *rand.Rand, p *truth.Piece, length, shift time.Duration) []show.Cue {
	loud := map[time.Duration]int{}
	for _, n := range p.Notes {
		i, found := slices.BinarySearch(p.Onsets, n.At)
		if !found {
			i--
		}
		loud[p.Onsets[i]] += n.Velocity * n.Velocity
	}
	strong := slices.Clone(p.Onsets)
	slices.SortStableFunc(strong, func(a, b time.Duration) int { return loud[b] - loud[a] })
	strong = strong[:len(strong)/3]
	var out []show.Cue
	for i := range 240 {
		at := strong[r.IntN(len(strong))]
		if r.IntN(5) == 0 {
			at = time.Duration(r.Int64N(int64(length)))
		}
		out = append(out, show.Cue{ID: fmt.Sprint(i), Position: string(rune('A' + r.IntN(6))), EffectAt: (at + shift).Round(time.Millisecond)})
	}
	return out
}
