package console

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/tui/internal/picture"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	"github.com/muesli/termenv"
)

// movieFile is the moving picture of the README.
var movieFile = filepath.Join(screentest.Root, "testdata", "console.svg")

// mostOfMovie is how large it may be: a page with it is read over a telephone.
const mostOfMovie = 150_000

// TestMovingPicture: the moving picture is of the console as it is; -update makes it
// anew.
func TestMovingPicture(t *testing.T) {
	t.Parallel()
	m := picture.Movie{Columns: 80, Rows: 24, Text: "#c8ccd4", Paper: "#0d1117", Each: time.Second, Still: 6,
		Title: "The console of drylane: armed, started, nudged EARLIER 0.3 s, held, the checklist ticked, resumed"}
	m.Frames = story(t, m.Columns, m.Rows)
	got := m.SVG()
	if len(got) > mostOfMovie {
		t.Errorf("the picture has %d bytes; wanted at most %d", len(got), mostOfMovie)
	}
	if screentest.Updating() {
		if err := os.WriteFile(movieFile, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if want, err := os.ReadFile(movieFile); err != nil || got != string(want) {
		t.Errorf("%s does not show the console as it is: go test ./tui/console -run MovingPicture -update (%v)", movieFile, err)
	}
}

// story is a minute of a rehearsal, in frames.
func story(t *testing.T, w, h int) (frames []string) {
	t.Helper()
	s := newScene(t, w, h)
	s.Look.Theme = screen.NewTheme("dark", termenv.TrueColor)
	take := func() { frames = append(frames, s.View()) }
	run := func(from, to time.Duration) {
		for at := from; at <= to; at += time.Second {
			s.runTo(at)
			take()
		}
	}
	take()
	s.do(show.Arm, 0, show.Command{})
	take()
	s.do(show.Start, 0, show.Command{})
	run(37*time.Second, 41*time.Second)
	s.do(show.Nudge, 41*time.Second, show.Command{Step: 300 * time.Millisecond})
	run(42*time.Second, 45*time.Second)
	s.do(show.Hold, 45*time.Second, show.Command{Reason: "person in the fallout area"})
	s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: person in the fallout area", At: screentest.Epoch}
	for ticked := range 4 {
		s.run.Snap.Ticked = ticked
		s.run.Snap.Since = screentest.Epoch.Add(-time.Duration(1+2*ticked) * time.Second)
		s.look(screentest.Epoch)
		take()
	}
	s.run.Snap.Message = deck.Message{}
	s.do(show.Resume, 45*time.Second, show.Command{})
	run(46*time.Second, 49*time.Second)
	return frames
}
