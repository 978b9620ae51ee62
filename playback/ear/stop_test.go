package ear

import (
	"math"
	"slices"
	"testing"
	"time"

	"drylane/playback/locate"
)

// TestGoesOnElsewhere: music that stops, and goes on a minute later in the piece, is told
// as nowhere until it is told where it is. Its instruments play much the same a few
// seconds after the stop, which is not to be taken for it.
func TestGoesOnElsewhere(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	x := demoMusic(t, 18, 108)
	const stopped, goes = 12, 77 // seconds of x
	m := musicOf(t, x)
	all := hear(t, newFollower(t, m), NewSearcher(m), join(x[:stopped*rate], silence(1), x[goes*rate:(goes+9)*rate]))
	lost := slices.IndexFunc(all, func(m moment) bool { return m.now.Loss.N == 1 })
	if lost < 0 {
		t.Fatal("the stop was not noticed")
	}
	found := slices.IndexFunc(all, func(m moment) bool { return m.now.Locks == 2 })
	if found < 0 {
		t.Fatal("the music that went on was not found")
	}
	for _, mo := range all[found:] {
		if want := mo.at - stopped - 1 + goes; math.Abs(mo.now.Place.Seconds()-want) > 0.005 || mo.now.Again {
			t.Fatalf("at %.2f s of the music: told %+v", want, mo.now)
		}
	}
}

// TestClose: after a stop a block that is close by counts for nothing while another one,
// or another place of the same one, speaks for elsewhere.
func TestClose(t *testing.T) {
	const long = resumeBlock
	block := func(k kind, start int64, offset, score, rival float64) finding {
		at := seconds(start) + offset
		return finding{k, start, long, []locate.Place{{At: at, Score: score}, {At: at + 60, Score: rival}}}
	}
	search := Search{stopped: true, expected: locate.Span{From: 27, To: 42}, score: resumeScore, rival: resumeRival}
	for _, test := range []struct {
		name string
		all  findings
		ok   bool
	}{
		{"twice", findings{block(short, 0, 30, 10, 5), block(short, resumeStep, 30, 10, 5)}, true},
		{"once", findings{block(short, 0, 30, 10, 5)}, false},
		{"a rival in the first", findings{block(short, 0, 30, 10, 9), block(short, resumeStep, 30, 10, 5)}, false},
		{"a rival in the second", findings{block(short, 0, 30, 10, 5), block(short, resumeStep, 30, 10, 9)}, false},
		{"a block that is elsewhere", findings{block(longer, 0, 90, 9, 5), block(short, 0, 30, 10, 5), block(short, resumeStep, 30, 10, 5)}, false},
		{"one that is nowhere", findings{block(longer, 0, 90, 6, 5), block(short, 0, 30, 10, 5), block(short, resumeStep, 30, 10, 5)}, true},
		{"far from where it stopped", findings{block(short, 0, 60, 10, 5), block(short, resumeStep, 60, 10, 5)}, false},
	} {
		if offset, ok := test.all.close(&search); ok != test.ok || ok && offset != 30 {
			t.Errorf("%s: %v, at %g s", test.name, ok, offset)
		}
	}
	late := findings{block(longer, 0, 90, 9, 5), block(short, samples(3*time.Second), 30, 10, 5), block(short, samples(3*time.Second)+resumeStep, 30, 10, 5)}
	if _, ok := late.close(&search); !ok {
		t.Error("what was elsewhere 3 s ago still counts")
	}
}
