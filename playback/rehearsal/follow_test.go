package rehearsal

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/companion"
	"drylane/playback/folder"
	"drylane/playback/ltc"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/playback/wavtest"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/testdata"
)

// carry is the demo's, in frames at 44100.
const carry = 44100 / 5

// openTracked opens the demo with a companion track.
func openTracked(t *testing.T) *folder.Folder {
	t.Helper()
	l, err := folder.OpenFS("demo", testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	l.Show.Tracks = []show.Track{{File: "timecode.wav", Left: "tone 1000 Hz -20 dB", Right: "timecode 25 01:00:00:00 -18 dB"}}
	return l
}

// ran runs the demo by a script and returns its log; of says what it follows.
func ran(t *testing.T, script string, of Following) *session.Log {
	t.Helper()
	l := openTracked(t)
	defer l.Close()
	steps := steps(t, script)
	r, err := New(l, Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Script: steps,
		Out: sink.Place{Where: "silent", Speed: "max"}, Bangs: Bangs{Side: "both", Level: -12}, Following: of})
	if err != nil {
		t.Fatal(err)
	}
	return replayed(t, r, r.Deck.Run(context.Background()))
}

// steps are those of a script.
func steps(t *testing.T, script string) []show.ScriptStep {
	t.Helper()
	steps, err := show.ParseScript("script", strings.NewReader(script))
	if err != nil {
		t.Fatal(err)
	}
	return steps
}

// replayed ends a run that went as err says, and returns its log, which is run again.
func replayed(t *testing.T, r *Run, err error) *session.Log {
	t.Helper()
	if _, err := r.End(err); err != nil {
		t.Fatal(err)
	}
	log, err := sessions.Read(r.Log.Name())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := session.Replay(log); err != nil {
		t.Errorf("the session does not replay: %v", err)
	}
	return log
}

// firings are what fired and on which frame.
func firings(log *session.Log) (list []string) {
	for _, e := range log.Entries {
		if e.Kind == show.EventFired.String() || e.Kind == show.EventSkipped.String() {
			list = append(list, fmt.Sprintf("%s %s at %d", e.Data.Cue, e.Kind, e.Heard))
		}
	}
	return list
}

// stopsOf are the frames of a log's holds, and who resumed each.
func stopsOf(log *session.Log) (holds []session.Entry, resumed []show.By) {
	for _, e := range log.Entries {
		switch e.Kind {
		case show.EventHeld.String():
			holds = append(holds, e)
		case show.EventResumed.String():
			resumed = append(resumed, e.By)
		}
	}
	return holds, resumed
}

// paused is a track that stands still for two seconds at each of some frames.
func paused(track [][2]float64, at ...int) (out [][2]float64) {
	from := 0
	for _, f := range at {
		out = append(append(out, track[from:f]...), make([][2]float64, 2*44100)...)
		from = f
	}
	return append(out, track[from:]...)
}

// builtTrack is the demo's companion with timecode, as drylane tracks builds it. Nobody
// writes to it.
func builtTrack(t *testing.T) [][2]float64 {
	t.Helper()
	theTrack.Do(func() { theTrack.frames = buildTrack(t) })
	return theTrack.frames
}

var theTrack struct {
	sync.Once
	frames [][2]float64
}

func buildTrack(t *testing.T) [][2]float64 {
	t.Helper()
	l := openTracked(t)
	defer l.Close()
	dir := t.TempDir()
	b := companion.Builder{Folder: l, To: filepath.Join(dir, "tracks"), Pips: true, Note: func(string) {}, Tell: func(string, float64) {}}
	if _, err := b.Build(context.Background()); err != nil {
		t.Fatal(err)
	}
	f, err := playback.OpenFile(filepath.Join(b.To, "timecode.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	return readAll(t, f)
}

func writtenWAV(t *testing.T, frames [][2]float64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "followed.wav")
	wavtest.Write(t, path, 44100, 2, frames)
	return path
}

func rawFrames(frames [][2]float64) io.Reader {
	var b []byte
	for _, f := range frames {
		for _, x := range f {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
		}
	}
	return bytes.NewReader(b)
}

// TestFollowsATrack: a companion track of the show that is paused twice and followed,
// from a file and as raw frames, fires the cues of the show played here with a hold at
// each of those places, to the frame; each pause is a hold within the carry, and goes
// on by itself.
func TestFollowsATrack(t *testing.T) {
	t.Parallel()
	pauses := []int{30.0 * 44100, 58.37 * 44100}
	track := paused(builtTrack(t), pauses...)
	own := firings(ran(t, "+0 arm\n+0 start\n30 hold\n+2 resume anyway\n58.37 hold\n+2 resume anyway\n", Following{}))
	for name, of := range map[string]Following{
		"file":       {What: "timecode@" + writtenWAV(t, track)},
		"raw frames": {What: "timecode@-:44100", Stdin: rawFrames(track)},
	} {
		log := ran(t, "+0 arm\n", of)
		if got := firings(log); !slices.Equal(got, own) {
			t.Errorf("%s: %d firings, want %d: %v", name, len(got), len(own), firstOff(got, own))
		}
		holds, resumed := stopsOf(log)
		if len(holds) != 2 || !slices.Equal(resumed, []show.By{show.ByPlayer, show.ByPlayer}) {
			t.Fatalf("%s: %d holds, resumed by %v", name, len(holds), resumed)
		}
		for k, h := range holds {
			if past := h.Heard - int64(pauses[k]); h.By != show.ByPlayer || h.Data.Cause != show.CauseCodeStopped || past < -1764 || past > carry {
				t.Errorf("%s: hold %d by %s (%s), %d frames behind the pause", name, k+1, h.By, h.Data.Cause, past)
			}
		}
		if f := log.Header.Follow; f == nil || f.What != "timecode" || f.CarryMS != 200 {
			t.Errorf("%s: the header says %+v", name, f)
		}
	}
}

func firstOff(got, want []string) string {
	for i := range min(len(got), len(want)) {
		if got[i] != want[i] {
			return got[i] + ", want " + want[i]
		}
	}
	return "the shorter is the beginning of the longer"
}

// TestFollowsEveryRate: by the code alone, with two seconds of it before the music and
// named where it begins, every rate fires every cue on its frame.
func TestFollowsEveryRate(t *testing.T) {
	t.Parallel()
	rates := timebase.Rates
	if testing.Short() {
		rates = []timebase.Rate{timebase.FPS23976, timebase.FPS2997Drop}
	}
	for _, rate := range rates {
		first := rate.Timecode(90000 - 2*int64(rate.Count()))
		e, err := ltc.NewEncoder(ltc.Config{Rate: rate, SampleRate: 44100, Start: first, Level: -20, Length: 140 * 44100})
		if err != nil {
			t.Fatal(err)
		}
		log := ran(t, "+0 arm\n", Following{What: "timecode@" + writtenWAV(t, readAll(t, e)), From: rate.Timecode(90000).String()})
		var want []string
		for i, c := range log.Header.Plan().Cues {
			want = append(want, fmt.Sprintf("%s fired at %d", log.Header.Cues[i].ID, c.Ignite))
		}
		if got := firings(log); !slices.Equal(got, want) {
			t.Errorf("%s: %d firings, want %d: %v", rate, len(got), len(want), firstOff(got, want))
		}
		if holds, _ := stopsOf(log); len(holds) != 0 {
			t.Errorf("%s: %d holds", rate, len(holds))
		}
	}
}

// TestFollowsAJump: code that jumps ahead is a hold, which says from where to where;
// nothing goes on before a person has asked for it twice, and then from where the music
// is: what lies between stays loaded.
func TestFollowsAJump(t *testing.T) {
	t.Parallel()
	track := builtTrack(t)
	jumped := append(slices.Clone(track[:30*44100]), track[60*44100:]...)
	of := Following{What: "timecode@" + writtenWAV(t, jumped)}

	log := ran(t, "+0 arm\n+31 note nobody asks\n+9 note still held\n", of)
	holds, _ := stopsOf(log)
	if len(holds) != 1 || holds[0].Data.Cause != show.CauseCodeJumped || holds[0].Heard < 30*44100-1764 || holds[0].Heard > 30*44100+carry {
		t.Fatalf("holds: %+v", holds)
	}
	if n := len(firings(log)); n == 0 || n != countBefore(log, holds[0].Heard) {
		t.Errorf("%d cues fired", n)
	}
	if words := followedWords(log); !strings.Contains(words, "timecode jumped from 01:00:30:00 to 01:01:00:00") {
		t.Errorf("the log says: %s", words)
	}

	log = ran(t, "+0 arm\n+31 note the music is elsewhere\n+1 resume anyway\n", of)
	end, err := session.End(log)
	if err != nil {
		t.Fatal(err)
	}
	var reentered int64
	for _, e := range log.Entries {
		if e.Kind == show.EventReentered.String() {
			reentered = *e.Data.At
		}
	}
	if at := time.Duration(reentered) * time.Second / 44100; at < 61500*time.Millisecond || at > 62500*time.Millisecond {
		t.Errorf("went on at %v, want about 62 s", at)
	}
	for _, i := range end.Loaded(nil) {
		if c := end.Plan().Cues[i]; c.Effect < timebase.Frame(holds[0].Heard) || int64(c.Effect) > reentered+int64(c.Prefire()) {
			t.Errorf("cue %d, seen at frame %d, stays loaded", i, c.Effect)
		}
	}
	if end.State() != show.Ended {
		t.Errorf("the show is %s at the end", end.State())
	}
}

func countBefore(log *session.Log, f int64) (n int) {
	for _, e := range log.Entries {
		if e.Kind == show.EventFired.String() && e.Heard <= f {
			n++
		}
	}
	return n
}

func followedWords(log *session.Log) string {
	var words []string
	for _, e := range log.Entries {
		if e.Kind == session.KindFollowed {
			words = append(words, e.Words(44100, 0))
		}
	}
	return strings.Join(words, "; ")
}

// TestFollowsAndHeldHere: a hold by the shooter stops the cues though the music plays
// on, and only the shooter lets them go on.
func TestFollowsAndHeldHere(t *testing.T) {
	t.Parallel()
	of := Following{What: "timecode@" + writtenWAV(t, builtTrack(t))}
	log := ran(t, "+0 arm\n30 hold person in the fallout area\n", of)
	holds, resumed := stopsOf(log)
	if len(holds) != 1 || holds[0].By != show.ByScript || len(resumed) != 0 || countBefore(log, 31*44100) != len(firings(log)) {
		t.Errorf("%d holds, resumed by %v, %d cues fired of %d", len(holds), resumed, len(firings(log)), countBefore(log, 31*44100))
	}
	// While the player holds, a hold keeps the player from resuming.
	of.What = "timecode@" + writtenWAV(t, paused(builtTrack(t), 30*44100))
	log = ran(t, "+0 arm\n+31 hold\n", of)
	if _, resumed := stopsOf(log); len(resumed) != 0 {
		t.Errorf("resumed by %v", resumed)
	}
}

// TestFollowRefuses: what does not go together with following.
func TestFollowRefuses(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		of   Following
		out  sink.Place
		want string
	}{
		{Following{What: "timecode@/no/such"}, sink.Place{Where: "auto", Speed: "max"}, "--follow: /no/such is not there"},
		{Following{What: "radio"}, sink.Place{Where: "auto", Speed: "max"}, `--follow: found "radio"; wanted timecode@WHERE or music@WHERE`},
		{Following{What: "music"}, sink.Place{Where: "auto", Speed: "max"}, "wanted --speed 1, or a file"},
		{Following{What: "music@midi:x"}, sink.Place{Where: "auto", Speed: "1"}, "found music@midi:"},
		{Following{What: "music@x", From: "01:00:00:00"}, sink.Place{Where: "auto", Speed: "1"}, "music has no labels"},
		{Following{What: "timecode@device"}, sink.Place{Where: "auto", Speed: "max"}, "wanted --speed 1, or a file"},
		{Following{What: "timecode@-"}, sink.Place{Where: "auto", Speed: "max"}, "wanted raw frames in a pipe"},
		{Following{What: "timecode@-:7"}, sink.Place{Where: "auto", Speed: "max"}, `found "7" frames a second`},
		{Following{What: "timecode@x"}, sink.Place{Where: "device", Speed: "1"}, "found --out device with it"},
		{Following{What: "timecode@x"}, sink.Place{Where: "auto", Speed: "2"}, `found "2" with --follow`},
		{Following{What: "timecode@x", From: "1:2"}, sink.Place{Where: "auto", Speed: "1"}, `--follow-from: found "1:2"; wanted hh:mm:ss:ff`},
		{Following{What: "timecode@x", Rate: "26"}, sink.Place{Where: "auto", Speed: "1"}, "--follow-rate: no timecode rate"},
		{Following{From: "01:00:00:00"}, sink.Place{Where: "auto", Speed: "1"}, "found no --follow"},
	} {
		l, err := folder.OpenFS("demo", testdata.Demo())
		if err != nil {
			t.Fatal(err)
		}
		_, err = New(l, Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Script: []show.ScriptStep{{}}, Out: row.out, Bangs: Bangs{Side: "both"}, Following: row.of})
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%+v: %v; want %q", row.of, err, row.want)
		}
		l.Close()
	}
}
