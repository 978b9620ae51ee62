package planted

import (
	"runtime"
	"slices"
	"strings"
	"testing"

	"drylane/playback/internal/truth"
	"drylane/show/review"
	"drylane/testdata/reftest"

	"golang.org/x/sync/errgroup"
)

// packs are the packages that the test takes its music from, and perPack how many
// pieces of each: command trial takes all that there are.
var packs = []string{"openmsx-", "simutrans-"}

const perPack = 4

// TestReview plants faults in lists for a few pieces of rendered music. The full
// figures are those of command trial; here the bars leave room for the small sample.
// Run it with -v for the table.
func TestReview(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes the better part of a minute on one processor")
	}
	reftest.Tool(t, "fluidsynth")
	// Of what the bars are about: shifts by beats are not told, nor is much of 40 cues.
	plants := []Plant{None, Whole, Small, One, Slow, Fast, Foreign}
	trials := Try(pieces(t), plants, Sizes[1:], 3)
	if err := Print(t.Output(), trials); err != nil {
		t.Fatal(err)
	}
	of := func(p Plant) Counts {
		return Count(trials, func(t *Trial) bool { return t.Plant == p && t.Cues >= 120 })
	}
	named := func(c Counts) int { return c.Named }
	told := func(c Counts) int { return c.Told }
	sound := func(c Counts) int { return c.Trials - c.Wrong }
	for _, c := range []struct {
		what  string
		of    Counts
		count func(Counts) int
		want  int // of 100
	}{
		{"nothing false of lists in their place", of(None), sound, 100},
		{"nothing told of lists for other music", of(Foreign), sound, 100},
		{"+180 ms named, at least", of(Whole), named, 98},
		{"+180 ms told", of(Whole), told, 35},
		{"+180 ms: nothing false", of(Whole), sound, 98},
		{"one position told", of(One), told, 50},
		{"one position: nothing false", of(One), sound, 96},
		{"growth of 0.1 % told", of(Fast), told, 85},
		{"growth of 0.02 % told", of(Slow), told, 55},
		{"+180 ms of cues on loud notes told", Count(trials, func(t *Trial) bool { return t.Plant == Whole && t.Kind == LoudNotes && t.Cues >= 120 }), told, 55},
	} {
		if got := c.count(c.of); 100*got < c.want*c.of.Trials {
			t.Errorf("%s: %d of %d; wanted %d %%", c.what, got, c.of.Trials, c.want)
		}
	}
	out := Count(trials, func(t *Trial) bool {
		return t.Plant == Whole && t.tells(review.Out, review.Shifted)
	})
	if of := of(Whole).Trials; 100*out.Trials < 85*of {
		t.Errorf("+180 ms: told to be out of place %d of %d; wanted 85 %%", out.Trials, of)
	}
	near := slices.DeleteFunc(trials, func(t Trial) bool { return t.Plant == Far })
	if told, right := Facts(near); 100*right < 97*told {
		t.Errorf("of %d facts %d are right; wanted 97 %%", told, right)
	}
}

// pieces listens to the music of the test.
func pieces(t *testing.T) []*Piece {
	t.Helper()
	all, err := truth.Corpus("/")
	if err != nil {
		reftest.Missing(t, err.Error())
	}
	var chosen []truth.Source
	for _, pack := range packs {
		n := 0
		for _, s := range all {
			if strings.HasPrefix(s.Name, pack) && n < perPack {
				chosen = append(chosen, s)
				n++
			}
		}
		if n == 0 {
			reftest.Missing(t, "the music of "+pack)
		}
	}
	out := make([]*Piece, len(chosen))
	folder := t.TempDir()
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, s := range chosen {
		g.Go(func() (err error) { out[i], err = Prepare(t.Context(), s, folder); return err })
	}
	if err := g.Wait(); err != nil {
		t.Fatal(err)
	}
	return out
}
