package following

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/follow"
	"drylane/playback/input"
	"drylane/playback/ltc"
	"drylane/show/timebase"
)

const hz = 48000

// code is seconds of timecode at 25 from 01:00:00:00 on, in both channels.
func code(t *testing.T, seconds int) [][2]float64 {
	t.Helper()
	e, err := ltc.NewEncoder(ltc.Config{Rate: timebase.FPS25, SampleRate: hz, Start: timebase.Timecode{H: 1}, Level: -12, Length: seconds * hz})
	if err != nil {
		t.Fatal(err)
	}
	frames := make([][2]float64, seconds*hz)
	for n := 0; n < len(frames); {
		k, _ := e.Stream(frames[n:])
		n += k
	}
	return frames
}

// device is a live input whose clock the test sets: what it has captured, and of that
// what it has delivered.
type device struct {
	frames    [][2]float64
	captured  int
	delivered int
	read      int
	err       error
}

func (d *device) Name() string               { return "a device" }
func (d *device) Rate() int                  { return hz }
func (d *device) Latency() time.Duration     { return 20 * time.Millisecond }
func (d *device) Captured(time.Time) float64 { return float64(d.captured) }
func (d *device) Close() error               { return nil }

func (d *device) Read(frames [][2]float64) (int, error) {
	if d.read == d.delivered {
		return 0, d.err
	}
	n := copy(frames, d.frames[d.read:d.delivered])
	d.read += n
	return n, nil
}

// TestLatency: the place is that of what is captured now, ahead of what has come in.
func TestLatency(t *testing.T) {
	d := &device{frames: code(t, 4)}
	s, err := newSound(d, Place{What: "timecode", Config: follow.Config{From: timebase.Timecode{H: 1}}, Now: time.Now}, true)
	if err != nil {
		t.Fatal(err)
	}
	for d.captured = 0; d.captured < 3*hz; d.captured += hz / 200 {
		d.delivered = max(0, d.captured-hz/50) / 480 * 480
		now, err := s.Look(time.Time{})
		if want := timebase.Frame(d.captured).At(hz); err != nil || d.captured > hz && (now.Place-want).Abs() > time.Millisecond {
			t.Fatalf("at %v: %v, %s at %v", want, err, now.State, now.Place)
		}
	}
	// It delivers no more: that is a stop, within the carry and what may be late.
	for range 200 {
		d.captured += hz / 200
		s.Look(time.Time{})
	}
	now, _ := s.Look(time.Time{})
	if end := timebase.Frame(d.delivered).At(hz); now.State != follow.Lost || now.Place-end > follow.DefaultCarry || now.Place < end-40*time.Millisecond {
		t.Errorf("%s at %v, with sound up to %v", now.State, now.Place, end)
	}
	d.err = input.ErrGone
	if _, err := s.Look(time.Time{}); !errors.Is(err, input.ErrGone) {
		t.Error(err)
	}
}

// TestLookAllocatesNothing in a run by the clock.
func TestLookAllocatesNothing(t *testing.T) {
	d := &device{frames: code(t, 4)}
	s, err := newSound(d, Place{What: "timecode", Config: follow.Config{From: timebase.Timecode{H: 1}}, Now: time.Now}, true)
	if err != nil {
		t.Fatal(err)
	}
	look := func() {
		d.captured += 240
		d.delivered = d.captured
		s.Look(time.Time{})
	}
	for range 200 {
		look()
	}
	if n := testing.AllocsPerRun(100, look); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

// quarters are quarter frames at 25 from 01:00:00:00 on, for so many labels.
func quarters(labels int) (b []byte) {
	for i := range labels {
		l := timebase.FPS25.Timecode(90000 + 2*int64(i))
		for piece, bits := range []int{l.F & 15, l.F >> 4, l.S & 15, l.S >> 4, l.M & 15, l.M >> 4, l.H & 15, l.H>>4 | 2} {
			b = append(b, 0xF1, byte(piece<<4|bits))
		}
	}
	return b
}

// TestMIDIFile: a file of MIDI bytes runs at its own pace, by the clock and without one,
// and its end is a stop.
func TestMIDIFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "code.mid")
	if err := os.WriteFile(path, quarters(50), 0o600); err != nil { // 4 s
		t.Fatal(err)
	}
	at := time.Unix(1, 0)
	for name, now := range map[string]func() time.Time{"fast": nil, "by the clock": func() time.Time { return at }} {
		s, err := Place{What: "timecode@midi:" + path, Config: follow.Config{From: timebase.Timecode{H: 1}}, Now: now}.Open()
		if err != nil {
			t.Fatal(err)
		}
		began := at
		var last follow.Now
		for more := true; more; _, more = s.Step() {
			at = at.Add(fastStep)
			if last, err = s.Look(at); err == io.EOF {
				break
			}
			if passed := at.Sub(began); passed == 3*time.Second && (last.State != follow.Locked || (last.Place-passed).Abs() > 20*time.Millisecond) {
				t.Errorf("%s: %s at %v after %v", name, last.State, last.Place, passed)
			}
		}
		if last.State != follow.Lost || last.Loss.Why != follow.Stopped || last.Place < 4*time.Second || last.Place > 4*time.Second+follow.DefaultCarry {
			t.Errorf("%s: at the end %s at %v", name, last.State, last.Place)
		}
		s.Close()
	}
}

// TestMIDIPipe: bytes that come as they are sent are followed by when they came.
func TestMIDIPipe(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	at := time.Unix(1, 0)
	clock := make(chan time.Time, 1)
	clock <- at
	p := newPort("a pipe", r, follow.Config{From: timebase.Timecode{H: 1}}, func() time.Time { at := <-clock; clock <- at; return at })
	defer p.Close()
	bytes := quarters(12)
	for i := 0; i < len(bytes); i += 2 {
		<-clock
		clock <- at
		if _, err := w.Write(bytes[i : i+2]); err != nil {
			t.Fatal(err)
		}
		for len(p.took) == 0 || p.took[0].at != at { // until it has come in
			if _, err := p.Look(at); err != nil {
				t.Fatal(err)
			}
		}
		at = at.Add(10 * time.Millisecond)
	}
	if now, err := p.Look(at); err != nil || now.State != follow.Locked || (now.Place-960*time.Millisecond).Abs() > 11*time.Millisecond {
		t.Errorf("%v: %s at %v", err, now.State, now.Place)
	}
}

// TestRefuses: what is wrong with a place is said.
func TestRefuses(t *testing.T) {
	empty := filepath.Join(t.TempDir(), "empty")
	if err := os.WriteFile(empty, []byte{0x90, 0x40, 0x7F}, 0o600); err != nil {
		t.Fatal(err)
	}
	for what, want := range map[string]string{
		"code@x":                       `found "code@x"; wanted timecode@WHERE`,
		"timecode@device:":             "found nothing after device:",
		"timecode@midi:":               "found nothing after midi:",
		"timecode@midi:/no/such":       "/no/such: the MIDI device cannot be opened",
		"timecode@midi:" + t.TempDir(): "found a folder",
		"timecode@midi:" + empty:       "found no MIDI timecode",
		"timecode@device":              "found a sound input, and the music goes faster",
		"timecode@-:x":                 `found "x" frames a second`,
		"timecode@" + empty:            "empty",
	} {
		if _, err := (Place{What: what}).Open(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v; want %q", what, err, want)
		}
	}
}
