package rehearsal

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"drylane/playback/folder"
	"drylane/playback/internal/outdoors"
	"drylane/show"
	"drylane/show/session"
	"drylane/testdata"
)

var theMusic struct {
	sync.Once
	frames [][2]float64
}

// demoMusic is the demo's soundtrack. Nobody writes to it.
func demoMusic(t *testing.T) [][2]float64 {
	t.Helper()
	theMusic.Do(func() {
		l, err := folder.OpenFS("demo", testdata.Demo())
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		theMusic.frames = readAll(t, l.Music)
	})
	return theMusic.frames
}

// TestFollowsMusic: the demo's soundtrack as it is heard outdoors, paused once, fires the cues of the show on their frames, with one hold close
// behind that place, which goes on by itself.
func TestFollowsMusic(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	pause := int(57.0 * 44100)
	played := outdoors.Mono(paused(demoMusic(t), pause))
	heard := outdoors.Scene{Seed: 1, Room: true, Noise: true, SNR: 30, Gain: 0.1}.Take(played, 44100)
	log := ran(t, "+0 arm\n", Following{What: "music@" + writtenWAV(t, outdoors.Stereo(heard))})
	var want []string
	for i, c := range log.Header.Plan().Cues {
		want = append(want, fmt.Sprintf("%s fired at %d", log.Header.Cues[i].ID, c.Ignite))
	}
	if got := firings(log); !slices.Equal(got, want) {
		t.Errorf("%d firings, want %d: %s; %s", len(got), len(want), firstOff(got, want), followedWords(log))
	}
	holds, resumed := stopsOf(log)
	if len(holds) != 1 || !slices.Equal(resumed, []show.By{show.ByPlayer}) {
		t.Fatalf("%d holds, resumed by %v: %s", len(holds), resumed, followedWords(log))
	}
	if past := time.Duration(holds[0].Heard-int64(pause)) * time.Second / 44100; holds[0].Data.Cause != show.CauseMusicStopped || past < 0 || past > 1500*time.Millisecond {
		t.Errorf("held for %s, %v behind the pause", holds[0].Data.Cause, past)
	}
	if f := log.Header.Follow; f == nil || f.What != "music" || f.From != "" {
		t.Errorf("the header says %+v", f)
	}
}

// TestFollowsNoOtherMusic: noise of the same length starts nothing.
func TestFollowsNoOtherMusic(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	rnd := rand.New(rand.NewPCG(1, 1))
	x := make([][2]float64, 30*44100)
	for i := range x {
		v := 0.1 * rnd.NormFloat64() * math.Abs(math.Sin(float64(i)/9000))
		x[i] = [2]float64{v, v}
	}
	log := ran(t, "+0 arm\n", Following{What: "music@" + writtenWAV(t, x)})
	if got := firings(log); len(got) != 0 || strings.Contains(followedWords(log), session.FollowLocked) {
		t.Errorf("%d firings: %s", len(got), followedWords(log))
	}
}
