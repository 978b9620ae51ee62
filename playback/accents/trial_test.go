package accents

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"testing"
	"text/tabwriter"
	"time"

	"drylane/playback/internal/truth"
	"drylane/playback/onset"
	"drylane/show"
	"drylane/show/review"
	"drylane/testdata/reftest"

	"golang.org/x/sync/errgroup"
)

// trialEnv names the environment variable that makes TestReviewTrials take
// every piece, and print the table alone: some pieces repeat every bar, and no
// shift by a bar can be told in them.
const trialEnv = "DRYLANE_REVIEW_TRIALS"

// TestReviewTrials plants shifts in cue lists on music rendered from MIDI files:
// every fourth packaged piece in order of name. Run it with -v for the table.
//
// Each list has 480 cues of six positions, but no more than four a second (with
// 300, and each cue at one position, 43 of 48 single positions are told). The
// true onsets are those of the score, and the cues stand on the third of them
// that is played loudest; one cue in five stands anywhere. In one set of lists
// each onset is fired by one to six positions at once, as shows do (common
// practice, no source), in the other by one, chosen anew for each cue.
func TestReviewTrials(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes half a minute on two processors")
	}
	reftest.Tool(t, "fluidsynth")
	list, err := truth.Pieces()
	if err != nil {
		reftest.Missing(t, err.Error())
	}
	every, lists := 4, 6
	if os.Getenv(trialEnv) != "" {
		every, lists = 1, 12
	}
	pieces := make([]trialPiece, 0, len(list))
	for i := 0; i < len(list); i += every {
		pieces = append(pieces, trialPiece{path: list[i]})
	}
	each := func(do func(i int) error) {
		t.Helper()
		var g errgroup.Group
		g.SetLimit(runtime.GOMAXPROCS(0))
		for i := range pieces {
			g.Go(func() error { return do(i) })
		}
		if err := g.Wait(); err != nil {
			t.Fatal(err)
		}
	}
	folder := t.TempDir()
	each(func(i int) error { return pieces[i].prepare(t, folder) })
	for _, c := range []struct {
		name     string
		together bool
	}{
		{"positions together", true},
		{"positions alone", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			scores := make([]trialScore, len(pieces))
			each(func(i int) error {
				trial := trial{r: rand.New(rand.NewPCG(31, uint64(i))), piece: &pieces[i], foreign: &pieces[(i+1)%len(pieces)], together: c.together}
				scores[i] = trial.run(lists)
				return nil
			})
			var all trialScore
			w := tabwriter.NewWriter(t.Output(), 0, 0, 2, ' ', tabwriter.AlignRight)
			fmt.Fprint(w, "piece\tlists\twhole found\tand told\tposition told\talarms\tforeign told\t\n")
			for i, s := range scores {
				s.row(w, pieces[i].Name)
				all = all.plus(s)
			}
			all.row(w, "all")
			w.Flush()
			if every > 1 {
				all.hold(t)
			}
		})
	}
}

// hold asks for the rates that a review is good for.
func (s trialScore) hold(t *testing.T) {
	t.Helper()
	for _, c := range []struct {
		what      string
		got, want int // of 100 lists, at least
	}{
		{"shifts of the whole list found within 20 ms", s.found, 95},
		{"shifts of the whole list told as a fact", s.told, 95},
		{"single positions told right", s.position, 95},
		{"lists in place without a false alarm", s.lists - s.alarms, 96},
		{"lists for other music not taken for this", s.lists - s.foreign, 96},
	} {
		if 100*c.got < c.want*s.lists {
			t.Errorf("%s: %d of %d; wanted %d %%", c.what, c.got, s.lists, c.want)
		}
	}
}

// A trialScore counts lists.
type trialScore struct{ lists, found, told, position, alarms, foreign int }

func (s trialScore) plus(o trialScore) trialScore {
	return trialScore{s.lists + o.lists, s.found + o.found, s.told + o.told, s.position + o.position, s.alarms + o.alarms, s.foreign + o.foreign}
}

func (s trialScore) row(w io.Writer, name string) {
	fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\t%d\t\n", name, s.lists, s.found, s.told, s.position, s.alarms, s.foreign)
}

// A trialPiece is rendered music as a review has it, and the onsets of its
// score that cues stand on.
type trialPiece struct {
	path string
	*truth.Piece
	music  review.Music
	strong []time.Duration
}

func (p *trialPiece) prepare(t *testing.T, folder string) (err error) {
	if p.Piece, err = truth.Render(t.Context(), p.path, folder); err != nil {
		return err
	}
	m, err := onset.Analyse(t.Context(), p.WAV, func() (io.ReadSeekCloser, error) { return os.Open(p.WAV) }, nil)
	if err != nil {
		return err
	}
	p.music = ForReview(m)
	loud := map[time.Duration]int{}
	for _, n := range p.Notes {
		i, found := slices.BinarySearch(p.Onsets, n.At)
		if !found {
			i--
		}
		loud[p.Onsets[i]] += n.Velocity * n.Velocity
	}
	p.strong = slices.Clone(p.Onsets)
	slices.SortStableFunc(p.strong, func(a, b time.Duration) int { return loud[b] - loud[a] })
	p.strong = p.strong[:len(p.strong)/3]
	return os.Remove(p.WAV)
}

// A trial makes lists for a piece and has them reviewed.
type trial struct {
	r              *rand.Rand
	piece, foreign *trialPiece
	together       bool
}

const tenth = time.Second / 10

func (t trial) run(lists int) (s trialScore) {
	still := func(string) time.Duration { return 0 }
	for range lists {
		s.lists++
		shift := time.Duration(t.r.IntN(41)-20) * tenth
		rep := review.Check(t.list(t.piece, func(string) time.Duration { return shift }), t.piece.music)
		if (rep.Show.Shift - shift).Abs() <= 20*time.Millisecond {
			s.found++
			if rep.Show.Found() && len(claims(rep)) == 0 {
				s.told++
			}
		}
		if t.position() {
			s.position++
		}
		rep = review.Check(t.list(t.piece, still), t.piece.music)
		if len(claims(rep)) > 0 || rep.Verdicts[0].Code == review.Shifted {
			s.alarms++
		}
		rep = review.Check(t.list(t.foreign, still), t.piece.music)
		if rep.Show.Found() || len(claims(rep)) > 0 {
			s.foreign++
		}
	}
	return s
}

// position shifts one position and reports whether that is what is told.
func (t trial) position() bool {
	shift := time.Duration(1+t.r.IntN(20)) * tenth
	if t.r.IntN(2) == 0 {
		shift = -shift
	}
	name := positionName(t.r.IntN(6))
	rep := review.Check(t.list(t.piece, func(p string) time.Duration {
		if p == name {
			return shift
		}
		return 0
	}), t.piece.music)
	c := claims(rep)
	return len(c) == 1 && c[0].Code == review.PositionApart && c[0].Position == name &&
		(c[0].Shift-shift).Abs() <= 20*time.Millisecond && rep.Verdicts[0].Code != review.Shifted
}

// claims are the verdicts that something is not where the show is.
func claims(rep review.Report) (out []review.Verdict) {
	for _, v := range rep.Verdicts {
		switch v.Code {
		case review.PositionApart, review.PositionUnclear, review.SectionApart, review.Drifts:
			out = append(out, v)
		}
	}
	return out
}

func positionName(i int) string { return string(rune('A' + i)) }

// list makes a cue list from the onsets of a piece, no longer than the music
// it is held against.
func (t trial) list(from *trialPiece, move func(position string) time.Duration) (out []show.Cue) {
	length := t.piece.music.Length
	add := func(at time.Duration, position string) {
		out = append(out, show.Cue{ID: fmt.Sprint(len(out)), Position: position, EffectAt: (at + move(position)).Round(time.Millisecond)})
	}
	for len(out) < min(480, int(4*length.Seconds())) {
		at, n := from.strong[t.r.IntN(len(from.strong))], 1
		if t.r.IntN(5) == 0 {
			at = time.Duration(t.r.Int64N(int64(length)))
		} else if t.together {
			n = []int{1, 1, 2, 2, 3, 6}[t.r.IntN(6)]
		}
		for _, i := range t.r.Perm(6)[:n] {
			add(at, positionName(i))
		}
	}
	return out
}
