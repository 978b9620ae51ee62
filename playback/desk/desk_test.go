package desk

import (
	"context"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

// counting is a rig with two counting files, of 44.1 and 48 kHz, behind the
// test signals.
func counting(t testing.TB) (r *rig, first, second int) {
	t.Helper()
	dir := t.TempDir()
	countingWAV(t, filepath.Join(dir, "a.wav"), 44100, 30000)
	countingWAV(t, filepath.Join(dir, "b.wav"), 48000, 30000)
	open := showFolder(dir)
	files := Survey(&show.Show{Soundtrack: show.Soundtrack{File: "a.wav"}, Players: []show.Player{{Name: "far", File: "b.wav"}}}, open)
	return newRig(t, Sources(files), open), int(SignalCount), int(SignalCount) + 1
}

// TestStopKeepsThePlace: what is heard over a stop is the file, no frame lost,
// repeated or doubled; only the first 5 ms after each start are faded in.
func TestStopKeepsThePlace(t *testing.T) {
	r, a, _ := counting(t)
	ramp := count(startRamp, 44100)
	starts := []int{0}
	r.ask(Command{Action: Gain, Side: Both, Step: -LowGain}, Command{Action: Play, Source: a})
	for _, n := range []int{3000, 777, 12000} {
		r.hear(n)
		s := r.ask(Command{Action: Stop})
		at := int(r.tape().heard)
		if s.Playing || s.Position != timebase.Frame(at).At(44100) {
			t.Fatalf("after a stop at frame %d: playing %v at %v", at, s.Playing, s.Position)
		}
		if r.tape().playing || len(r.tape().frames) != at {
			t.Fatalf("the output still plays, or holds %d frames", len(r.tape().frames)-at)
		}
		starts = append(starts, at)
		r.ask(Command{Action: Play, Source: a})
	}
	s := r.hear(40000)
	if s.Playing || s.Position != s.Length || s.Message != "played to its end" {
		t.Errorf("at the end: playing %v, %v of %v, %q", s.Playing, s.Position, s.Length, s.Message)
	}
	if got := r.tape().frames; len(got) != 30000 {
		t.Fatalf("%d frames were heard, want 30000", len(got))
	}
	for i, f := range r.tape().frames {
		faded := false
		for _, at := range starts {
			faded = faded || i >= at && i < at+ramp
		}
		if want := counted(i); !faded && f != want {
			t.Fatalf("frame %d is %v, want %v", i, f, want)
		}
	}
}

// Every file plays at its own rate, and the device is opened anew for it.
func TestEachFileAtItsRate(t *testing.T) {
	r, a, b := counting(t)
	for _, tt := range []struct{ source, rate, outputs int }{{a, 44100, 1}, {b, 48000, 2}, {int(Tone), 48000, 2}, {a, 44100, 3}} {
		s := r.ask(Command{Action: Play, Source: tt.source})
		if !s.Playing || s.Rate != tt.rate || r.tape().rate != tt.rate || len(r.tapes) != tt.outputs {
			t.Errorf("source %d: playing %v at %d Hz on output %d at %d Hz; want %+v", tt.source, s.Playing, s.Rate, len(r.tapes), r.tape().rate, tt)
		}
		for i, old := range r.tapes[:len(r.tapes)-1] {
			if !old.closed {
				t.Errorf("output %d is still open", i+1)
			}
		}
		if s := r.hear(4800); s.Position != timebase.Frame(4800).At(tt.rate) {
			t.Errorf("source %d: heard to %v", tt.source, s.Position)
		}
	}
}

func TestWind(t *testing.T) {
	r, a, _ := counting(t)
	r.ask(Command{Action: Play, Source: a})
	r.hear(4410)
	for _, tt := range []struct{ by, want time.Duration }{
		{200 * time.Millisecond, 300 * time.Millisecond},
		{-time.Second, 0},
	} {
		s := r.ask(Command{Action: Wind, By: tt.by})
		if !s.Playing || s.Position != tt.want {
			t.Errorf("wound by %v: playing %v at %v, want %v", tt.by, s.Playing, s.Position, tt.want)
		}
	}
	r.ask(Command{Action: Stop})
	if s := r.ask(Command{Action: Wind, By: 250 * time.Millisecond}); s.Playing || s.Position != 250*time.Millisecond {
		t.Errorf("wound while stopped: playing %v at %v", s.Playing, s.Position)
	}
	if s := r.ask(Command{Action: Play, Source: a}); s.Position != 250*time.Millisecond {
		t.Errorf("goes on at %v, want where it was wound to", s.Position)
	}
	if s := r.ask(Command{Action: Top, Source: a}); s.Position != 0 {
		t.Errorf("from the top is %v", s.Position)
	}
}

// Gains never pass 0 dB unless that is asked for, whatever keys are pressed,
// and never pass +6 dB at all.
func TestGainsStayWithinLimits(t *testing.T) {
	r, _, _ := counting(t)
	rapid.Check(t, func(rt *rapid.T) {
		c := Command{
			Action: Action(rapid.IntRange(int(Gain), int(Forget)).Draw(rt, "action")),
			Side:   Side(rapid.IntRange(0, 2).Draw(rt, "side")),
			Step:   Half(rapid.IntRange(-50, 50).Draw(rt, "step")),
		}
		before := r.Snapshot()
		s := r.ask(c)
		for ch, g := range s.Gain {
			if g < -120 || g > 12 || g > 0 && !s.Over {
				rt.Fatalf("%+v makes the gain of side %d %s dB, over %v", c, ch, g, s.Over)
			}
			if c.Action == Gain && c.Side != Both && int(c.Side) != ch && g != before.Gain[ch] {
				rt.Fatalf("%+v moved the other side", c)
			}
		}
		if s.Level > 0 || s.Level < -120 {
			rt.Fatalf("%+v makes the level %s dBFS", c, s.Level)
		}
	})
}

// A change of gain comes in over 20 ms, without a step.
func TestGainChangesDoNotClick(t *testing.T) {
	r, _, _ := counting(t)
	r.ask(Command{Action: Gain, Side: Both, Step: -LowGain}, Command{Action: Play, Source: int(Tone)})
	r.hear(9600)
	r.ask(Command{Action: Mute, Side: Left})
	r.hear(9600)
	s := r.ask(Command{Action: Gain, Side: Right, Step: Halves(-6)})
	r.hear(9600)
	if !s.Mute[0] || s.Mute[1] {
		t.Fatalf("muted: %v", s.Mute)
	}
	// A 1 kHz sine of an eighth of full scale moves by at most that times
	// 2 pi 1000/48000 a frame: 0.0165; a ramp of 20 ms adds 0.0002.
	frames := r.tape().frames
	for i := 241; i < len(frames); i++ {
		for ch := range 2 {
			if d := math.Abs(frames[i][ch] - frames[i-1][ch]); d > 0.0168 {
				t.Fatalf("frame %d steps by %.4f on side %d", i, d, ch)
			}
		}
	}
	end := peakOf(frames[len(frames)-480:])
	if end[0] != 0 || math.Abs(20*math.Log10(end[1])+24) > 0.1 {
		t.Errorf("at the end the sides peak at %v; want silence and -24 dBFS", end)
	}
}

// The meters tell of what is heard, not of what is rendered, and fall silent
// with the sound.
func TestMeters(t *testing.T) {
	r, _, _ := counting(t)
	r.ask(Command{Action: Gain, Side: Both, Step: -LowGain}, Command{Action: Play, Source: int(Tone)})
	r.hear(240)
	s := r.hear(4 * 48000)
	if got := 20 * math.Log10(s.Peak[0]); math.Abs(got+18) > 0.1 {
		t.Errorf("peak %.2f dBFS, want -18", got)
	}
	// EBU Tech 3341, section 2.9: this tone reads -18.0 LUFS.
	if math.Abs(float64(s.Momentary)+18) > 0.1 || math.Abs(float64(s.ShortTerm)+18) > 0.1 {
		t.Errorf("momentary %s, short-term %s LUFS; want -18.0", s.Momentary, s.ShortTerm)
	}
	r.ask(Command{Action: Level, Step: Halves(-20)})
	r.hear(9600)
	s = r.hear(9600)
	if got := 20 * math.Log10(s.Peak[0]); math.Abs(got+38) > 0.1 {
		t.Errorf("peak %.2f dBFS after the level went down, want -38", got)
	}
	if got := 20 * math.Log10(s.Held[0]); math.Abs(got+18) > 0.1 {
		t.Errorf("the held peak fell to %.2f dBFS in 0.4 s", got)
	}
	s = r.ask(Command{Action: Stop})
	if s.Peak != [2]float64{} || !math.IsInf(float64(s.Momentary), -1) {
		t.Errorf("stopped, the meters show %v and %s LUFS", s.Peak, s.Momentary)
	}
	r.clock = r.clock.Add(5 * time.Second)
	if s = r.ask(); 20*math.Log10(s.Held[0]) > -60 || math.Abs(20*math.Log10(s.Max[0])+18) > 0.1 {
		t.Errorf("5 s later %.4f is held and the highest is %.4f", s.Held[0], s.Max[0])
	}
	if s = r.ask(Command{Action: Forget}); s.Max != [2]float64{} {
		t.Errorf("cleared, the highest is %v", s.Max)
	}
}

// Samples beyond full scale are counted, once.
func TestOvers(t *testing.T) {
	r, _, _ := counting(t)
	r.ask(Command{Action: Over}, Command{Action: Gain, Side: Both, Step: 100}, Command{Action: Level, Step: 100}, Command{Action: Play, Source: int(PipsLeft)})
	s := r.hear(48000)
	want := 0
	for _, f := range r.tape().frames[:r.tape().heard] {
		if math.Abs(f[0]) > 1 {
			want++
		}
	}
	if want < 1000 || math.Abs(float64(s.Overs-want)) > chunk {
		t.Errorf("%d samples over full scale counted, %d heard", s.Overs, want)
	}
}

func TestLostDevice(t *testing.T) {
	r, a, _ := counting(t)
	r.ask(Command{Action: Play, Source: a})
	r.hear(960)
	r.tape().gone = playback.ErrDeviceGone
	s := r.hear(240)
	if s.Playing || !s.Failure || !strings.Contains(s.Message, playback.ErrDeviceGone.Error()) {
		t.Fatalf("playing %v, message %q", s.Playing, s.Message)
	}
	r.fails = errNone
	if s = r.ask(Command{Action: Play, Source: a}); s.Playing || s.Message != "no sound: no device" {
		t.Fatalf("without a device: playing %v, message %q", s.Playing, s.Message)
	}
	s = r.ask(Command{Action: Play, Source: a})
	if !s.Playing || s.Position != timebase.Frame(960).At(44100) || s.Failure {
		t.Errorf("with the device back: playing %v at %v, message %q", s.Playing, s.Position, s.Message)
	}
}

func TestSurvey(t *testing.T) {
	dir := t.TempDir()
	countingWAV(t, filepath.Join(dir, "a.wav"), 44100, 44100)
	s := &show.Show{
		Soundtrack: show.Soundtrack{File: "a.wav"},
		Tracks:     []show.Track{{File: "calls.wav", Left: "music", Right: "calls"}},
		Players:    []show.Player{{Name: "desk", File: "a.wav"}, {Name: "far\x1b[2J", File: "gone\u202e.mp3"}},
	}
	files := Survey(s, showFolder(dir))
	if len(files) != 3 {
		t.Fatalf("%d files", len(files))
	}
	if f := files[0]; strings.Join(f.Uses, ", ") != "soundtrack, player desk" || f.Problem != "" || f.Info.Duration() != time.Second {
		t.Errorf("%+v", f)
	}
	if got := files[1].Problem; got != "calls.wav is missing: it is not in the show folder, and show.toml wants it (track with left music, right calls)" {
		t.Errorf("%q", got)
	}
	if got := files[2].Problem; strings.ContainsAny(got, "\x1b\u202e") || !strings.Contains(got, "missing") {
		t.Errorf("%q", got)
	}
	r := newRig(t, Sources(files), showFolder(dir))
	if snap := r.ask(Command{Action: Play, Source: int(SignalCount) + 1}); snap.Playing || !snap.Failure || snap.Message != files[1].Problem {
		t.Errorf("a missing file: playing %v, %q", snap.Playing, snap.Message)
	}
}

// The loop, its commander and its viewer run side by side; quitting silences
// and closes.
func TestRun(t *testing.T) {
	var out playback.Output
	d := New(Config{Sources: Sources(nil), Rate: 48000, Now: time.Now, Level: StartLevel, Output: func(rate int) (playback.Output, error) {
		out = output.Silent(output.Options{Rate: rate, Speed: 1}, time.Now)
		return out, nil
	}})
	done := make(chan struct{})
	go func() { d.Run(context.Background()); close(done) }()
	wait := func(what string, ok func(*Snapshot) bool) {
		t.Helper()
		for deadline := time.Now().Add(reftest.Patience); !ok(d.Snapshot()); time.Sleep(time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("after %v not %s: %+v", reftest.Patience, what, d.Snapshot())
			}
		}
	}
	d.Do(Command{Action: Play, Source: int(Polarity)})
	wait("playing", func(s *Snapshot) bool { return s.Playing && s.Position > 50*time.Millisecond && s.Peak[0] > 0 })
	d.Do(Command{Action: Stop})
	wait("stopped", func(s *Snapshot) bool { return !s.Playing })
	d.Do(Command{Action: Play, Source: int(Tone)})
	d.Quit()
	<-done
	if s := d.Snapshot(); !s.Done || s.Playing {
		t.Errorf("after quitting: done %v, playing %v", s.Done, s.Playing)
	}
	if err := out.Write(nil); err == nil {
		t.Error("the output is still open")
	}
}

func TestPlayOnceFails(t *testing.T) {
	d := New(Config{Sources: Sources(nil), Rate: 48000, Output: func(int) (playback.Output, error) { return nil, errNone }})
	if err := d.PlayOnce(context.Background(), int(Tone), time.Second); err == nil || err.Error() != "no sound: no device" {
		t.Errorf("error %v", err)
	}
}
