package rehearsal

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"drylane/playback/folder"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/playback/synth"
	"drylane/playback/wavtest"
	"drylane/show"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// TestRealTimeHeard is the end-to-end proof: a scripted rehearsal with holds, resumes
// and nudges in dense chases plays on a real sound server, the server's monitor
// is recorded, and every click of the music and every bang of a cue in the
// recording is held against the session log.
//
// The music is noise that never repeats, with clicks, on the left; the bangs
// are on the right. So each frame of the recording tells by itself which frame
// of the music it is.
func TestRealTimeHeard(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("plays for most of a minute")
	}
	const rate, seconds = 48000, 32
	dir := t.TempDir()
	music := writeNoiseShow(t, dir, rate, seconds)
	script, holds := holdScript()
	// When a device ran dry for want of the processor, the server takes sound
	// back from it, and the monitor source loses what was taken back. That is
	// seen in the recording as a gap, and such a recording is made again. Where the
	// machine never leaves one whole, the last is judged by all that was heard of it.
	for attempt := 1; ; attempt++ {
		log, tape, dry := playAndRecord(t, dir, script, rate, attempt)
		where := reftest.Trace(tape, music)
		stops := standstills(tape, where)
		if gaps := gapsIn(stops); len(gaps) > 0 {
			t.Logf("attempt %d: the recording has gaps %v, the device ran dry %d times; the machine is too busy", attempt, gaps, dry)
			if attempt < reftest.Tries {
				continue
			}
			stops = withoutGaps(stops)
		}
		checkHolds(t, log, stops, holds)
		checkClicks(t, tape, where, rate, seconds)
		checkBangs(t, log, tape, where, rate)
		return
	}
}

// playAndRecord plays the show in dir by the script on a sound server of its
// own and returns the session and the monitor's recording.
func playAndRecord(t *testing.T, dir, script string, rate, attempt int) (_ *session.Log, tape [][2]float32, dry int) {
	t.Helper()
	p := reftest.StartPulse(t, rate)
	t.Setenv("PULSE_SERVER", p.Server)
	l, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	steps := steps(t, script)
	path := filepath.Join(dir, fmt.Sprintf("log%d.jsonl", attempt))
	r, err := New(l, Options{Log: path, Script: steps, Out: sink.Place{Where: "device", Speed: "1"}, Bangs: Bangs{Side: "right", Level: bangLevel}})
	if err != nil {
		t.Fatal(err)
	}
	rec := reftest.Record(t, p.Server, p.Monitor, rate)
	if err := r.Deck.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	r.Log.Close()
	dry = r.Deck.Snapshot().Underruns
	t.Logf("the device ran dry %d times", dry)
	tape = rec.Frames(t, rec.Len()+rate/2)
	log, err := sessions.Read(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range log.Entries {
		if e.Kind == session.KindUnderrun {
			t.Logf("dry at frame %d", e.Heard)
		}
	}
	if agreed, err := session.Replay(log); err != nil {
		t.Errorf("replay: %d events agreed, then %v", agreed, err)
	}
	return log, tape, dry
}

// bangLevel is the level of the bangs in dB.
const bangLevel = -6

// clickEvery is the distance of the clicks in the music, in frames.
const clickEvery = 12000

// writeNoiseShow writes a show of dense chases over noise with clicks and
// returns the left channel of the music.
func writeNoiseShow(t *testing.T, dir string, rate, seconds int) []float32 {
	t.Helper()
	rng := rand.New(rand.NewPCG(7, 9))
	frames := make([][2]float64, rate*seconds)
	music := make([]float32, len(frames))
	for i := range frames {
		v := math.Round((rng.Float64()-0.5)*6000) / 32768
		if v == 0 {
			v = 1.0 / 32768
		}
		if i%clickEvery == clickEvery/2 {
			v = 0.75
		}
		frames[i] = [2]float64{v, 0}
		music[i] = float32(v)
	}
	wavtest.Write(t, filepath.Join(dir, "noise.wav"), rate, 2, frames)
	var cues strings.Builder
	cues.WriteString("cue,effect_at,prefire,position,effect,burn\n")
	id := 0
	for at := 1.0; at < float64(seconds)-3; at += 0.15 {
		id++
		prefire := []float64{0, 0, 0.8, 0}[id%4]
		fmt.Fprintf(&cues, "%d,%.3f,%.3f,%s,candle shot,0.2\n", id, at+0.003, prefire, []string{"A", "B", "C"}[id%3])
	}
	for name, text := range map[string]string{
		"cues.csv":  cues.String(),
		"show.toml": "title = \"Noise\"\ncues = \"cues.csv\"\nsoundtrack.file = \"noise.wav\"\nconsole.guard = \"600ms\"\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return music
}

// holdScript is twenty holds with nudges between, before and during them.
func holdScript() (script string, holds int) {
	var b strings.Builder
	b.WriteString("+0 arm\n+0.2 start\n")
	at := 1.7
	for holds = range 20 {
		if holds%3 == 0 {
			fmt.Fprintf(&b, "%.3f nudge %s 0.%d\n", at-0.4, []string{"earlier", "later"}[holds%2], holds%4+1)
		}
		fmt.Fprintf(&b, "%.3f hold\n", at)
		if holds%5 == 2 {
			b.WriteString("+0.1 nudge later 0.1\n")
		}
		fmt.Fprintf(&b, "+%.3f resume anyway\n", 0.25+0.037*float64(holds%7))
		at += 1.283
	}
	return b.String(), holds + 1
}

// A standstill is where the recorded music stood still: the frame it stopped
// before and the frame it went on from.
type standstill struct{ end, begin int }

func standstills(tape [][2]float32, where []int) (out []standstill) {
	last := -1 // the last traced frame of the tape
	for i, m := range where {
		if m < 0 {
			continue
		}
		before, after := 0, m-i
		if last >= 0 {
			before = where[last] - last
		}
		if last >= 0 && before != after {
			stop, start := last, i
			for stop+1 < len(tape) && tape[stop+1][0] != 0 {
				stop++
			}
			for start > 0 && tape[start-1][0] != 0 {
				start--
			}
			out = append(out, standstill{stop + 1 + before, start + after})
		}
		last = i
	}
	return out
}

// gapsIn returns the places where the recording itself has lost sound: the music
// jumps ahead.
func gapsIn(stops []standstill) (gaps []standstill) {
	for _, s := range stops {
		if s.begin > s.end {
			gaps = append(gaps, s)
		}
	}
	return gaps
}

// withoutGaps takes the gaps out.
func withoutGaps(stops []standstill) []standstill {
	return slices.DeleteFunc(slices.Clone(stops), func(s standstill) bool { return s.begin > s.end })
}

// checkHolds: over every hold the music goes on from the very frame it stopped
// at, none lost and none doubled, and that frame is the one in the log.
func checkHolds(t *testing.T, log *session.Log, stops []standstill, want int) {
	t.Helper()
	var held, found []int
	for _, e := range log.Entries {
		if e.Kind == show.EventHeld.String() {
			held = append(held, int(e.Heard))
		}
	}
	if len(held) != want {
		t.Errorf("%d holds in the log, want %d", len(held), want)
	}
	for k, s := range stops {
		found = append(found, s.end)
		if s.end != s.begin {
			t.Errorf("hold %d: the music stopped before frame %d and went on from frame %d", k+1, s.end, s.begin)
		}
	}
	if !slices.Equal(found, held) {
		t.Errorf("the music stood still at %v\nthe log says        %v", found, held)
	}
	t.Logf("%d holds, at the very frames of the log; no frame of music lost or doubled", len(found))
}

// checkClicks finds every click of the music.
func checkClicks(t *testing.T, tape [][2]float32, where []int, rate, seconds int) {
	t.Helper()
	heard := map[int]bool{}
	for i, m := range where {
		if m >= 0 && m%clickEvery == clickEvery/2 && tape[i][0] == 0.75 {
			heard[m] = true
		}
	}
	want := rate * seconds / clickEvery
	t.Logf("%d of %d clicks heard whole", len(heard), want)
	// A click that falls into the 5 ms fade of a hold is not heard whole.
	if len(heard) < want-10 {
		t.Errorf("%d clicks of %d were heard", len(heard), want)
	}
}

// checkBangs finds every cue's bang in the recording and measures how far
// it lies from where the log puts it against the music; and listens for bangs that
// no cue accounts for.
func checkBangs(t *testing.T, log *session.Log, tape [][2]float32, where []int, rate int) {
	t.Helper()
	effect := map[string]int{}
	for _, e := range log.Entries {
		switch e.Kind {
		case show.EventFired.String(), show.EventMoved.String():
			effect[e.Data.Cue] = int(*e.Data.Effect)
		case show.EventBroke.String():
			delete(effect, e.Data.Cue) // seen during the hold, and not heard
		}
	}
	gain := math.Pow(10, bangLevel/20.0)
	sound := synth.Bang(synth.Candle, rate)
	heard, plan := map[int]float64{}, map[int]float64{}
	for i, m := range where {
		if m >= 0 {
			heard[m] = float64(tape[i][1]) / gain
		}
	}
	for _, at := range effect {
		for i, v := range sound {
			plan[at+i] += v
		}
	}
	var off []float64
	played := map[int]float64{} // the plan, with each bang where it was heard
	for cue, at := range effect {
		lag := lagOf(heard, plan, sound, at, rate)
		for i, v := range sound {
			played[at+lag+i] += v
		}
		ms := math.Abs(float64(lag)) / float64(rate) * 1000
		if ms > 10 {
			t.Errorf("cue %s: its bang is due at frame %d of the music and lies %.1f ms from there", cue, at, ms)
		}
		off = append(off, ms)
	}
	slices.Sort(off)
	if len(off) < 100 {
		t.Fatalf("only %d bangs were due", len(off))
	}
	p99 := off[len(off)*99/100]
	t.Logf("%d bangs: median %.3f ms, 99 %% within %.3f ms, worst %.3f ms from the plan", len(off), off[len(off)/2], p99, off[len(off)-1])
	if p99 > 5 {
		t.Errorf("99 %% within %.2f ms, want 5", p99)
	}
	if stray := strayBangs(heard, played, sound, rate); len(stray) > 0 {
		t.Errorf("%d bangs were heard that are not due, at frames %v of the music", len(stray), stray)
	}
}

// lagOf returns by how many frames the bang due at frame at lies off, positive for
// late, looking 15 ms either way: where the first 10 ms of its sound fit the recording
// best once the other bangs of the plan are taken out.
func lagOf(heard, plan map[int]float64, sound []float64, at, rate int) int {
	reach, n := rate*15/1000, min(len(sound), rate/100)
	rest := make([]float64, 2*reach+n)
	for k := range rest {
		m := at - reach + k
		if v, ok := heard[m]; ok {
			rest[k] = v - plan[m]
			if i := m - at; i >= 0 && i < len(sound) {
				rest[k] += sound[i]
			}
		}
	}
	best, lag := math.Inf(-1), 0
	for d := range 2*reach + 1 {
		var sum, energy float64
		for i := range n {
			sum += rest[d+i] * sound[i]
			energy += rest[d+i] * rest[d+i]
		}
		if fit := sum / math.Sqrt(energy+1e-9); fit > best {
			best, lag = fit, d-reach
		}
	}
	return lag
}
