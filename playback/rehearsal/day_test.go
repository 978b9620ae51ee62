package rehearsal

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/accents"
	"drylane/playback/folder"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/closeout"
	"drylane/show/reentry"
	"drylane/show/session"
	"drylane/testdata"
)

// playDay plays the script of a whole show day in the engine, as fast as it goes, and
// returns its show and its log.
func playDay(t *testing.T) (*folder.Folder, *session.Log) {
	t.Helper()
	l, err := folder.OpenFS("demo", testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	steps, err := show.ParseScript("day.txt", strings.NewReader(testdata.Day))
	if err != nil {
		t.Fatal(err)
	}
	seed := testdata.DayField
	r, err := New(l, Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Script: steps, Out: sink.Place{Where: "silent", Speed: "max"},
		Bangs: Bangs{Side: "off"}, Field: &seed, Short: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.End(r.Deck.Run(context.Background())); err != nil {
		t.Fatal(err)
	}
	if err := r.ScriptTrouble(); err != nil {
		t.Error(err)
	}
	log, err := sessions.Read(r.Log.Name())
	if err != nil {
		t.Fatal(err)
	}
	return l, log
}

// A whole day: a board with three faults that are put right, everybody go, a start that
// fails at the witness, a cut and make safe, a start from a proposed place, a hold, a
// resume, the end, and the close-out. It replays to the frame, and of every cue it is
// known whether it fired, once, or is still loaded.
func TestWholeDay(t *testing.T) {
	l, log := playDay(t)
	agreed, err := session.Replay(log)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d cue events, each on its frame", agreed)
	theDayWent(t, log)
	everyCueOnce(t, log)
	theFieldIsTold(t, log)
	placeIsProposed(t, l, log)
}

// theDayWent: what happened, in order.
func theDayWent(t *testing.T, log *session.Log) {
	t.Helper()
	var got []string
	for _, e := range log.Entries {
		switch e.Kind {
		case "fired", "skipped", session.KindAnswered, session.KindTicked, session.KindSaid:
		default:
			got = append(got, e.Kind)
		}
	}
	want := "board, marked, marked, marked, sent out, sent out, sent out, back, back, back, armed, started, cut, entered, back, re-entered, started, " +
		"cut, entered, back, re-entered, started, held, resumed, stood down, ended, reset, entered, back, closed"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("got  %s\nwant %s", s, want)
	}
}

// everyCueOnce: each cue fired on exactly one frame of the day, or is still loaded at its
// end, and never both.
func everyCueOnce(t *testing.T, log *session.Log) {
	t.Helper()
	fired := map[string]int{}
	for _, e := range log.Entries {
		if e.Kind == show.EventFired.String() {
			fired[e.Data.Cue]++
		}
	}
	last := slices.IndexFunc(log.Entries, func(e session.Entry) bool { return e.Kind == show.EventEnded.String() })
	end, err := session.End(&session.Log{Header: log.Header, Entries: log.Entries[:last+1]})
	if err != nil {
		t.Fatal(err)
	}
	loaded := map[string]bool{}
	for _, i := range end.Loaded(nil) {
		loaded[log.Header.Cues[end.Plan().Cues[i].List].ID] = true
	}
	for _, c := range log.Header.Cues {
		switch n := fired[c.ID]; {
		case n > 1:
			t.Errorf("cue %s fired %d times", c.ID, n)
		case n == 1 && loaded[c.ID]:
			t.Errorf("cue %s fired, and is said to be still loaded", c.ID)
		case n == 0 && !loaded[c.ID]:
			t.Errorf("cue %s did not fire, and nothing says that it is still loaded", c.ID)
		}
	}
	if len(fired) != 211 || len(loaded) != 8 {
		t.Errorf("%d cues fired and %d are still loaded, want 211 and 8 of %d", len(fired), len(loaded), len(log.Header.Cues))
	}
}

// theFieldIsTold: the faults were found and put right before the arming, nobody went in
// early, and the record has every pin, with what was said at the console.
func theFieldIsTold(t *testing.T, log *session.Log) {
	t.Helper()
	f, err := log.Field()
	if err != nil || f == nil {
		t.Fatal(f, err)
	}
	account := f.Account()
	for _, x := range account.Found {
		if !x.Right || x.Open {
			t.Errorf("%+v", x)
		}
	}
	asked, errReady := log.Ready()
	safe, errSafe := log.MadeSafe()
	if errReady != nil || errSafe != nil || len(account.Found) != 3 {
		t.Fatal(account, errReady, errSafe)
	}
	for _, a := range asked.Armings {
		if len(a.Without) > 0 {
			t.Errorf("armed without go: %+v", a)
		}
	}
	if len(asked.Armings) != 3 || len(safe.Stops) != 3 || len(safe.Early)+len(safe.Urged) > 0 {
		t.Errorf("armed %d times, safe %d times, %v, %v", len(asked.Armings), len(safe.Stops), safe.Early, safe.Urged)
	}
	r, err := closeout.New("day", log, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := map[closeout.State]int{}
	for _, s := range []closeout.State{closeout.Dud, closeout.Loaded, closeout.Commanded, closeout.Seen} {
		got[s] = r.Count(s)
	}
	if got[closeout.Dud] != 2 || got[closeout.Loaded] != 8 || got[closeout.Seen] != 133 || got[closeout.Commanded] != 76 {
		t.Errorf("%v", got)
	}
}

// placeIsProposed: the place that the day goes on from was among those proposed after
// the cut, from what was heard of the music.
func placeIsProposed(t *testing.T, l *folder.Folder, log *session.Log) {
	t.Helper()
	if testing.Short() {
		return // it listens to the whole of the music
	}
	changes, err := accents.Changes(t.Context(), l.Listened(), func(string, float64) {})
	if err != nil {
		t.Fatal(err)
	}
	var cut []int
	for i, e := range log.Entries {
		if e.Kind == show.EventCut.String() {
			cut = append(cut, i)
		}
	}
	tr, err := session.End(&session.Log{Header: log.Header, Entries: log.Entries[:cut[1]+1]})
	if err != nil {
		t.Fatal(err)
	}
	const at = 48395 * time.Millisecond
	var heads []string
	for _, p := range reentry.Propose(l.Show, tr, changes, 4*time.Second) {
		if p.At.Round(time.Millisecond) == at {
			return
		}
		heads = append(heads, p.Head())
	}
	t.Errorf("%v was not proposed: %v", at, heads)
}
