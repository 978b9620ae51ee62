package tracks

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/calls"
	"drylane/playback/ltc"
	"drylane/playback/wavtest"
	"drylane/show/timebase"
)

const (
	rate   = 24000
	length = 12*rate + 17
)

// noise is a master of two different sides of noise, up to -6 dBFS, as a file.
func noise(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "master.wav")
	r := rand.New(rand.NewPCG(1, 2))
	frames := make([][2]float64, length)
	for i := range frames {
		frames[i] = [2]float64{r.Float64() - 0.5, r.Float64() - 0.5}
	}
	wavtest.Write(t, path, rate, 2, frames)
	return path
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func masterOf(t *testing.T, path string) *Master {
	m := NewMaster(func() (*playback.Soundtrack, error) { return playback.OpenFile(path) })
	t.Cleanup(func() { m.Close() })
	return m
}

// pips are pips that lead to each of these words: a warning 7 s before it and a
// count of three, as far as there is time after the word before.
func pips(words ...float64) *Calls {
	var list []calls.Phrase
	say := func(kind calls.PhraseKind, seconds float64, text string) {
		list = append(list, calls.Phrase{Kind: kind, N: 1, At: time.Duration(seconds * float64(time.Second)), Text: text})
	}
	last := 0.0
	for _, at := range words {
		if at-7 >= last+1 {
			say(calls.Warning, at-7, "stand by")
		}
		for n := min(3, int(max(at-last-1, 0))); n > 0; n-- {
			say(calls.Count, at-float64(n), [...]string{1: "one", 2: "two", 3: "three"}[n])
		}
		say(calls.Word, at, "fire")
		last = at
	}
	return NewCalls(must(calls.Render(list, calls.Pips{Rate: rate}, rate)))
}

func code(level float64) *Timecode {
	return must(NewTimecode(ltc.Config{
		Rate: timebase.FPS25, SampleRate: rate, Start: must(timebase.ParseTimecode("01:00:00:00")), Length: 61 * rate, Level: level,
	}))
}

func tone(hz, level float64) *Tone { return must(NewTone(hz, level, rate, length)) }

func silent(float64) {}

// write writes f and returns where, and how many samples were clipped.
func write(t *testing.T, f *File) (path string, clipped int64) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "out.wav")
	out, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	if clipped, err = Build(t.Context(), out, f, silent); err != nil {
		t.Fatal(err)
	}
	return path, clipped
}

// build writes f and opens what was written.
func build(t *testing.T, f *File) (string, *playback.Soundtrack) {
	t.Helper()
	path, clipped := write(t, f)
	if clipped != 0 {
		t.Fatalf("%d samples clipped", clipped)
	}
	s, err := playback.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return path, s
}

// Every source is found where it should be, at any gain and offset.
func TestWhatIsBuiltIsFound(t *testing.T) {
	m := masterOf(t, noise(t))
	witnessed := must(m.Music([2]float64{0, 1}, -3000))
	witnessed.LayWitness(must(NewTone(1000, -18, rate, rate)), 5*rate, rate)
	for _, c := range []struct {
		name  string
		sides [2]Side
		want  [2]string
	}{
		{"music", [2]Side{{must(m.Music([2]float64{1, 0}, 0)), 1, 0}, {must(m.Music([2]float64{0.5, 0.5}, 700)), 0.25, 700}},
			[2]string{"the master's .correlation 1.0000.$", "the master's .correlation 1.0000.$"}},
		{"witness", [2]Side{{witnessed, 0.5, -3000}, {Silence{}, 1, 0}},
			[2]string{"with a witness of 1000 Hz at 0:04.875 and -24.0 dBFS", "^silence$"}},
		{"timecode", [2]Side{{code(-12), 1, 0}, {code(-12), 0.5, rate / 2}},
			[2]string{"^timecode at 25, 01:00:00:00 at 0:00.000 to 01:00:11:24: 300 frames, none missing, -12.0 dBFS", "01:00:00:00 at 0:00.500 to 01:00:11:11: 287 frames, none missing, -18.0 dBFS"}},
		{"timecode earlier", [2]Side{{code(-12), 1, -rate}, {code(-12), 1, -100}},
			[2]string{"01:00:01:00 at 0:00.000 to 01:00:12:24: 300 frames", "01:00:00:01 at 0:00.036 to 01:00:11:24: 299 frames"}},
		{"pips", [2]Side{{pips(0.2, 10), 1, 0}, {pips(9, 10.5), 0.01, 1000}},
			[2]string{"^2 words in 6 phrases, each within . frames of its time .0:00.200", "^2 words in 6 phrases, .*0:09.042"}},
		{"tone", [2]Side{{tone(997, -20), 1, 0}, {tone(40, -6), 0.1, rate}},
			[2]string{"^tone 997 Hz at -20.0 dBFS from 0:00.000 to 0:12.00", "^tone 40 Hz at -26.0 dBFS from 0:01.0"}},
	} {
		for name, encoding := range map[string]playback.WAVEncoding{"16": playback.WAVInt16, "24": playback.WAVInt24} {
			t.Run(c.name+" "+name, func(t *testing.T) {
				f := &File{rate, length, encoding, c.sides}
				_, s := build(t, f)
				found, err := Verify(t.Context(), s, f, silent)
				if err != nil {
					t.Fatal(err)
				}
				for i := range found {
					if !regexp.MustCompile(c.want[i]).MatchString(found[i]) {
						t.Errorf("%s: %q, want %q", sideName(i), found[i], c.want[i])
					}
				}
			})
		}
	}
}

// Each listener alone notices what is wrong with what it hears.
func TestListenersNotice(t *testing.T) {
	m := masterOf(t, noise(t))
	left := func() *Music { return must(m.Music([2]float64{1, 0}, 0)) }
	witness := left()
	witness.LayWitness(must(NewTone(1000, -18, rate, rate)), 5*rate, rate)
	late := func(by int) func([]float64) []float64 {
		return func(s []float64) []float64 { return append(make([]float64, by), s[:len(s)-by]...) }
	}
	hush := func(from, to float64) func([]float64) []float64 {
		return func(s []float64) []float64 {
			clear(s[int(from*rate):int(to*rate)])
			return s
		}
	}
	shift := left()
	shift.LayWitness(must(NewTone(1000, -18, rate, rate)), 5*rate+rate/50, rate)
	for _, c := range []struct {
		name   string
		source Source
		tamper func([]float64) []float64
		want   string
	}{
		{"music late", left(), late(1), "found other music than the master's"},
		{"music gone", left(), hush(0, 12), "found no sound|found other music"},
		{"no witness", witness, func(s []float64) []float64 { must(0, left().Fill(s, 0)); return s }, "found no witness tone; wanted it at 0:05.000"},
		{"witness late", witness, func(s []float64) []float64 { must(0, shift.Fill(s, 0)); return s }, "found the witness tone at 0:05.02"},
		{"witness cut", witness, func(s []float64) []float64 {
			for i := range s {
				s[i] = max(-0.5, min(s[i], 0.5))
			}
			return s
		}, ""},
		{"code late", code(-12), late(3), "wanted 01:00:00:00 at 0:00.000"},
		{"code broken", code(-12), hush(3, 3.1), "the timecode has 1 faults, the first at 0:0[23]"},
		{"code gone", code(-12), hush(0, 12), "no timecode found"},
		{"code cut", code(-12), hush(11.5, 12), "01:00:11:1"},
		{"word late", pips(10), late(rate / 500), "found .*to begin at 0:0"},
		{"word gone", pips(3, 10.5), hush(10.4, 11.5), "found silence at 0:10.500; wanted .fire"},
		{"count gone", pips(10), hush(7.9, 8.5), "found silence at 0:08.000; wanted .two"},
		{"tone soft", tone(997, -20), func(s []float64) []float64 {
			for i := range s[:3*rate] {
				s[i] /= 2
			}
			return s
		}, "found -26.0 to -20.0 dBFS at 997 Hz; wanted -20.0 throughout"},
		{"tone gone", tone(997, -20), hush(0, 12), "found no tone"},
		{"other tone", tone(997, -20), func(s []float64) []float64 { must(0, tone(1040, -20).Fill(s, 0)); return s }, "wanted -20.0 throughout"},
		{"sound", Silence{}, func(s []float64) []float64 { s[5000] = 1e-4; return s }, "found sound; wanted silence"},
	} {
		t.Run(c.name, func(t *testing.T) {
			samples := make([]float64, length)
			if err := c.source.Fill(samples, 0); err != nil {
				t.Fatal(err)
			}
			_, err := listen(c.source, samples)
			if err != nil {
				t.Fatalf("untouched: %v", err)
			}
			_, err = listen(c.source, c.tamper(samples))
			if c.want == "" && err != nil || c.want != "" && (err == nil || !regexp.MustCompile(c.want).MatchString(err.Error())) {
				t.Errorf("%v, want %q", err, c.want)
			}
		})
	}
}

// listen has a source's listener hear samples in chunks of an odd size.
func listen(source Source, samples []float64) (string, error) {
	ear := source.listener(&File{Rate: rate, Length: length, Encoding: playback.WAVInt16}, &Side{Source: source, Gain: 1})
	for at := 0; at < len(samples); at += 4099 {
		if err := ear.hear(samples[at:min(at+4099, len(samples))], int64(at)); err != nil {
			return "", err
		}
	}
	return ear.verdict()
}

func TestVerifyNoticesAnotherFile(t *testing.T) {
	f := &File{rate, length, playback.WAVInt16, [2]Side{{tone(997, -20), 1, 0}, {Silence{}, 1, 0}}}
	_, s := build(t, f)
	longer := *f
	longer.Length++
	if _, err := Verify(t.Context(), s, &longer, silent); !errors.Is(err, errLength) {
		t.Errorf("%v, want %v", err, errLength)
	}
	swapped := *f
	swapped.Sides = [2]Side{f.Sides[1], f.Sides[0]}
	if _, err := Verify(t.Context(), s, &swapped, silent); !errors.Is(err, errContent) {
		t.Errorf("%v, want %v", err, errContent)
	}
}

func TestCallsMovedOutOfTheFile(t *testing.T) {
	f := &File{rate, length, playback.WAVInt16, [2]Side{{pips(11), 1, 2 * rate}, {Silence{}, 1, 0}}}
	_, s := build(t, f)
	if _, err := Verify(t.Context(), s, f, silent); err == nil || !strings.Contains(err.Error(), "outside the file") {
		t.Errorf("%v, want a word outside the file", err)
	}
}

func TestBuildStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	out, err := os.Create(filepath.Join(t.TempDir(), "out.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	f := &File{rate, length, playback.WAVInt16, [2]Side{{Silence{}, 1, 0}, {Silence{}, 1, 0}}}
	if _, err := Build(ctx, out, f, silent); !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want %v", err, context.Canceled)
	}
}
