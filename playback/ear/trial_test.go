package ear

import (
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"drylane/playback"
	"drylane/playback/follow"
	"drylane/playback/internal/outdoors"
	"drylane/playback/locate"
	"drylane/playback/resample"
	"drylane/testdata/reftest"
)

const rate = 44100

func musicOf(tb testing.TB, x []float64) *locate.Music {
	tb.Helper()
	b, err := locate.NewBuilder(rate)
	if err != nil {
		tb.Fatal(err)
	}
	if err := b.Write(outdoors.Stereo(x)); err != nil {
		tb.Fatal(err)
	}
	return b.Music()
}

// A moment is how the following stood once.
type moment struct {
	at  float64 // seconds of the recording
	now follow.Now
}

// hear follows a recording, a hundredth of a second at a time, with lookups that take no
// time.
func hear(tb testing.TB, f *Follower, r *Searcher, x []float64) (all []moment) {
	tb.Helper()
	const step = rate / 100
	for at := 0; at+step <= len(x); at += step {
		f.Write(outdoors.Stereo(x[at : at+step]))
		if s := f.Job(); s != nil {
			r.Run(s)
			f.Found(s)
		}
		all = append(all, moment{float64(at+step) / rate, f.At(float64(at + step))})
	}
	return all
}

func newFollower(tb testing.TB, m *locate.Music) *Follower {
	tb.Helper()
	f, err := New(Config{SampleRate: rate, Music: m})
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

func quantile(v []float64, p float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[int(math.Ceil(p*float64(len(v)-1)))]
}

func bad(seed int, snr, bangs float64) outdoors.Scene {
	return outdoors.Scene{Seed: uint64(seed), Room: true, Phone: true, Noise: true, SNR: snr, Bangs: bangs, PPM: float64(seed%3-1) * 60}
}

// firstLock is when the following was first locked; below 0 for never.
func firstLock(all []moment) (at float64, where moment) {
	for _, m := range all {
		if m.now.Locks > 0 {
			return m.at, m
		}
	}
	return -1, moment{}
}

func silence(seconds float64) []float64 { return make([]float64, int(seconds*rate)) }

func join(parts ...[]float64) []float64 { return slices.Concat(parts...) }

// TestTrialLock prints, scene by scene, how soon music is found that is played from
// somewhere in its middle, how far off the place then is, and how often it is lost.
func TestTrialLock(t *testing.T) {
	pieces, names := outdoors.Corpus(t, 5, 10)
	for _, sc := range []struct{ snr, bangs float64 }{{6, 0}, {6, 0.5}, {0, 0.5}} {
		var when, off []float64
		never, wrong, losses, unsure := 0, 0, 0, 0
		for i, x := range pieces {
			m := musicOf(t, x)
			from := min(len(x)/3, len(x)-41*rate)
			s := bad(i, sc.snr, sc.bangs)
			all := hear(t, newFollower(t, m), NewSearcher(m), s.Take(x[from:][:40*rate], rate))
			last := all[len(all)-1].now
			at, _ := firstLock(all)
			if at < 0 {
				never++
				if last.Why == follow.Unsure {
					unsure++
				}
				t.Logf("%+.0f dB %s: never, %v, %d times", sc.snr, names[i], last.Why, last.Times)
				continue
			}
			when = append(when, at)
			losses += last.Loss.N
			bad := 0
			for _, mo := range all {
				if mo.now.State == follow.Locked {
					e := 1000 * math.Abs(mo.now.Place.Seconds()-float64(from)/rate-mo.at/(1+s.PPM*1e-6))
					off = append(off, e)
					if e > 50 {
						bad++
					}
				}
			}
			if bad > 0 {
				wrong++
			}
			if last.Loss.N > 0 || bad > 0 {
				t.Logf("%+.0f dB %s: locked at %.1f s, lost %d times, %d moments elsewhere", sc.snr, names[i], at, last.Loss.N, bad)
			}
		}
		t.Logf("%+.0f dB, %.1f bangs: %d pieces, found after p50 %.1f p95 %.1f s, never %d (%d unsure), elsewhere %d, off p50 %.2f p95 %.2f ms, lost %d times", sc.snr, sc.bangs,
			len(pieces), quantile(when, 0.5), quantile(when, 0.95), never, unsure, wrong, quantile(off, 0.5), quantile(off, 0.95), losses)
	}
}

// TestTrialStop prints how soon the beginning, a stop and a resume are noticed.
func TestTrialStop(t *testing.T) {
	pieces, names := outdoors.Corpus(t, 5, 10)
	for _, sc := range []struct{ snr, bangs float64 }{{20, 0}, {6, 0.3}, {0, 0}} {
		var starts, stops, resumes []float64
		noStart, noResume, early := 0, 0, 0
		for i, x := range pieces {
			m := musicOf(t, x)
			// 3 s of nothing, 20 s of music, 4 s of nothing, 15 s more of it.
			played := join(silence(3), x[:20*rate], silence(4), x[20*rate:35*rate])
			s := bad(i, sc.snr, sc.bangs)
			s.PPM = 0
			all := hear(t, newFollower(t, m), NewSearcher(m), s.Take(played, rate))
			at, w := firstLock(all)
			if at < 0 || at > 22 {
				noStart++
				t.Logf("%+.0f dB %s: no start", sc.snr, names[i])
				continue
			}
			if math.Abs(w.now.Place.Seconds()-(w.at-3)) > 0.05 {
				t.Logf("%+.0f dB %s: started elsewhere, at %.2f s, not %.2f", sc.snr, names[i], w.now.Place.Seconds(), w.at-3)
			}
			starts = append(starts, at-3)
			stop, resume := -1.0, -1.0
			for k, mo := range all {
				if k == 0 {
					continue
				}
				if n, was := mo.now, all[k-1].now; n.Loss.N > was.Loss.N && mo.at < 23 {
					early++
					t.Logf("%+.0f dB %s: lost at %.1f s", sc.snr, names[i], mo.at)
				} else if n.Loss.N > was.Loss.N && stop < 0 {
					stop = mo.at - 23
				} else if stop >= 0 && resume < 0 && n.Locks > was.Locks && mo.at > 27 {
					resume = mo.at - 27
					if !n.Again || math.Abs(n.Place.Seconds()-20-resume) > 0.05 {
						t.Logf("%+.0f dB %s: resumed elsewhere, at %.2f s, not %.2f", sc.snr, names[i], n.Place.Seconds(), 20+resume)
					}
				}
			}
			if stop >= 0 {
				stops = append(stops, stop)
			}
			if resume < 0 {
				noResume++
				t.Logf("%+.0f dB %s: no resume", sc.snr, names[i])
			} else {
				resumes = append(resumes, resume)
			}
		}
		t.Logf("%+.0f dB, %.1f bangs: start after p50 %.1f p95 %.1f s, %d none; stop (%d) after p50 %.2f p95 %.2f max %.2f s, %d early; resume after p50 %.2f p95 %.2f s, %d none", sc.snr, sc.bangs,
			quantile(starts, 0.5), quantile(starts, 0.95), noStart, len(stops), quantile(stops, 0.5), quantile(stops, 0.95), quantile(stops, 1), early, quantile(resumes, 0.5), quantile(resumes, 0.95), noResume)
	}
}

// TestTrialOthers counts locks where none may be: other music that has the same
// instruments, talk, noise and silence.
func TestTrialOthers(t *testing.T) {
	pieces, names := outdoors.Corpus(t, 2, 4)
	const length = 60
	for i := range pieces {
		pieces[i] = pieces[i][:min(len(pieces[i]), length*rate)]
	}
	rnd := rand.New(rand.NewPCG(3, 3))
	noise := make([]float64, 20*rate)
	for i := range noise {
		noise[i] = 0.1 * rnd.NormFloat64()
	}
	talk := spoken(t)
	trials, locks := 0, 0
	for i, x := range pieces {
		m := musicOf(t, x)
		try := func(name string, heard []float64) {
			from := rnd.IntN(max(1, len(heard)-20*rate))
			trials++
			if at, w := firstLock(hear(t, newFollower(t, m), NewSearcher(m), heard[from:][:min(len(heard)-from, 20*rate)])); at >= 0 {
				locks++
				t.Logf("%s taken for %s after %.1f s, at %v", name, names[i], at, w.now.Place)
			}
		}
		for k, other := range pieces {
			if i != k {
				try(names[k], other)
			}
		}
		for range 3 {
			try("talk", talk)
		}
		try("noise", noise)
		try("noise of a room", outdoors.Scene{Room: true, Phone: true}.Take(noise, rate))
		try("silence", silence(20))
		t.Logf("%d trials so far, %d locks", trials, locks)
	}
}

// spoken is a minute and more of a voice.
func spoken(t *testing.T) []float64 {
	t.Helper()
	path := filepath.Join(t.TempDir(), "talk.wav")
	text := strings.Repeat("Mole, Quay and Jetty stand by. Nobody goes into the field before the waiting time is over. In three, two, one, fire. What came due while it was stood down is still loaded. ", 8)
	if out, err := exec.Command(reftest.Tool(t, "espeak-ng"), "-w", path, text).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	f, err := playback.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := resample.New(f.Rate(), rate)
	if err != nil {
		t.Fatal(err)
	}
	x, _ := outdoors.Read(t, f)
	r.Write(outdoors.Stereo(x))
	out := make([][2]float64, 60*rate)
	return outdoors.Mono(out[:r.Read(out)])
}
