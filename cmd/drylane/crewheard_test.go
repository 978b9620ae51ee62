package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/wavtest"
	"drylane/testdata/reftest"
)

// heardRate is that of the music and of both devices.
const heardRate = 48000

// A heard is what two machines played of one music, side by side.
type heard struct {
	apart  []time.Duration // of each block that both played: how far the second was ahead
	late   []time.Duration // of each start: how long the first played alone
	over   []time.Duration // of each hold: how long the second played on
	blocks int
}

// crewMusic writes a show of noise that never repeats, quiet enough for any device, and
// returns the noise.
func crewMusic(t *testing.T, dir string, seconds int) []float32 {
	t.Helper()
	rng := rand.New(rand.NewPCG(3, 18))
	frames := make([][2]float64, heardRate*seconds)
	music := make([]float32, len(frames))
	for i := range frames {
		v := math.Round((rng.Float64()-0.5)*6000) / 32768
		frames[i], music[i] = [2]float64{v, v}, float32(v)
	}
	wavtest.Write(t, filepath.Join(dir, "noise.wav"), heardRate, 2, frames)
	for name, text := range map[string]string{
		"cues.csv":  "cue,effect_at,prefire,position,effect,burn\n1,2.000,0,A,candle shot,0.2\n",
		"show.toml": "title = \"Noise\"\ncues = \"cues.csv\"\nsoundtrack.file = \"noise.wav\"\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return music
}

// A crewProcess is a process of the program with a home and a sound server of its own.
func crewProcess(t *testing.T, server string, args ...string) (*exec.Cmd, *strings.Builder) {
	t.Helper()
	home := t.TempDir()
	cmd := exec.Command(buildBinary(t), args...)
	var said strings.Builder
	cmd.Stdout, cmd.Stderr = &said, &said
	cmd.Env = append(os.Environ(), "HOME="+home, "XDG_DATA_HOME="+home, "XDG_STATE_HOME="+home, "XDG_CONFIG_HOME="+home, "XDG_CACHE_HOME="+home, "PULSE_SERVER="+server)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	return cmd, &said
}

// invited waits for the lead's invitation.
func invited(t *testing.T, path string) crew.Invitation {
	t.Helper()
	for deadline := time.Now().Add(reftest.Patience); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		data, err := os.ReadFile(path)
		var i crew.Invitation
		if err == nil && json.Unmarshal(data, &i) == nil && i.Address != "" {
			return i
		}
	}
	t.Fatal("the lead never opened its door")
	return crew.Invitation{}
}

// playTogether rehearses by a script on the first server and joins with a listener on
// the second, through way if there is one, and returns what either played.
func playTogether(t *testing.T, p *reftest.Pair, dir, script string, way func() time.Duration) (first, second [][2]float32, member string) {
	t.Helper()
	files := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(files, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	invitation := filepath.Join(files, "crew.json")
	lead, said := crewProcess(t, p.First, "rehearse", dir, "--crew", "--crew-at", "127.0.0.1:0", "--crew-file", invitation, "--bangs", "off",
		"--out", "device", "--auto", write("lead.txt", script))
	i := invited(t, invitation)
	a, err := crew.ParseAddress(i.Address)
	if err != nil {
		t.Fatal(err)
	}
	if way != nil {
		a.Host = reftest.NewProxy(t, a.Host, way).Addr().String()
	}
	log := filepath.Join(files, "member.jsonl")
	join, joined := crewProcess(t, p.Second, "join", a.String(), "--code", i.Codes["listener"], "--as", "Lis", "--role", "listener",
		"--show", dir, "--out", "device", "--log", log, "--auto", write("member.txt", "+0 until ended\n+0.3 leave\n"))
	if err := lead.Wait(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	join.Wait()
	first, second = p.Frames(t)
	data, _ := os.ReadFile(log)
	return first, second, joined.String() + string(data)
}

// compareHeard tells how far two machines were apart, block by block of 10 ms.
func compareHeard(music []float32, first, second [][2]float32, ppm float64, reach time.Duration) heard {
	where := placesOf(music, first)
	const block = heardRate / 100
	far := int(reach.Seconds() * heardRate)
	var h heard
	alone, over := 0, 0
	was := [2]bool{}
	for at := 0; at+block < len(first); at += block {
		b := int(float64(at) * (1 + ppm/1e6))
		if b+block > len(second) {
			break
		}
		loud := [2]bool{energy(first[at:at+block]) > 1e-7, energy(second[b:b+block]) > 1e-7}
		switch {
		case loud[0] && loud[1]:
			if alone > 0 {
				h.late = append(h.late, time.Duration(alone)*10*time.Millisecond)
			}
			if place := where[at]; place >= 0 && was == loud {
				h.blocks++
				if lag, ok := lagIn(music, place, second[b:b+block], far); ok {
					if (lag > 90 || lag < -90) && was != [2]bool{} {
						fmt.Printf("block %d lag %d\n", at/block, lag)
					}
					h.apart = append(h.apart, time.Duration(float64(lag)/heardRate*1e9))
				}
			}
			if !was[0] || !was[1] {
				fmt.Printf("both from block %d; alone %d\n", at/block, alone)
			}
			alone, over = 0, 0
		case loud[0]:
			alone++
		case loud[1]:
			over++
		default:
			if over > 0 {
				h.over = append(h.over, time.Duration(over)*10*time.Millisecond)
			}
			alone, over = 0, 0
		}
		was = loud
	}
	return h
}

func energy(part [][2]float32) (sum float64) {
	for _, f := range part {
		sum += float64(f[0]) * float64(f[0])
	}
	return sum / float64(len(part))
}

// placesOf is which frame of the music each frame of a recording is that plays it as it
// is, or -1.
func placesOf(music []float32, tape [][2]float32) []int {
	const n = 4
	index := make(map[[n]float32]int, len(music))
	for i := 0; i+n <= len(music); i++ {
		index[[n]float32(music[i:i+n])] = i
	}
	where := make([]int, len(tape))
	for i := range where {
		where[i] = -1
		if i+n > len(tape) {
			continue
		}
		var window [n]float32
		for k := range n {
			window[k] = tape[i+k][0]
		}
		if at, ok := index[window]; ok {
			where[i] = at
		}
	}
	return where
}

// lagIn is how many frames of music a block is ahead of a place, looking far either
// way; ok says that the block is that music.
func lagIn(music []float32, place int, block [][2]float32, far int) (lag int, ok bool) {
	best, power := 0.0, 0.0
	for _, f := range block {
		power += float64(f[0]) * float64(f[0])
	}
	for d := -far; d <= far; d++ {
		from := place + d
		if from < 0 || from+len(block) > len(music) {
			continue
		}
		sum := float32(0)
		for i, v := range music[from : from+len(block)] {
			sum += v * block[i][0]
		}
		if float64(sum) > best {
			best, lag = float64(sum), d
		}
	}
	return lag, best > 0.5*power
}

// quantile is that of the sizes of spans.
func quantile(list []time.Duration, q float64) time.Duration {
	if len(list) == 0 {
		return 0
	}
	sizes := make([]time.Duration, len(list))
	for i, d := range list {
		sizes[i] = d.Abs()
	}
	slices.Sort(sizes)
	return sizes[min(len(sizes)-1, int(q*float64(len(sizes))))]
}

// table prints what was heard.
func (h heard) table(t *testing.T, name string) {
	t.Helper()
	t.Logf("%s: %d of %d blocks heard on both; apart %v median, %v p99, %v most", name, len(h.apart), h.blocks,
		quantile(h.apart, 0.5), quantile(h.apart, 0.99), quantile(h.apart, 1))
	t.Logf("%s: %d starts, the second %v later (median), %v (most); %d holds, it went on for %v (median), %v (most)", name,
		len(h.late), quantile(h.late, 0.5), quantile(h.late, 1), len(h.over), quantile(h.over, 0.5), quantile(h.over, 1))
}

// holdsScript is a run with so many holds.
func holdsScript(holds int, plays float64) string {
	var b strings.Builder
	b.WriteString("+1.5 arm\n+0.5 start\n")
	for k := range holds {
		fmt.Fprintf(&b, "+%.3f hold\n+%.3f resume anyway\n", plays+0.013*float64(k%7), 0.2+0.037*float64(k%7))
	}
	fmt.Fprintf(&b, "+%.3f cut\n", plays)
	return b.String()
}

// TestRealTimeCrewHeard: two processes, each with a sound server of its own, are
// recorded by one clock while they rehearse through twenty holds: where both sound they
// are within 2 ms at p99.
func TestRealTimeCrewHeard(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("plays for twenty seconds")
	}
	dir := t.TempDir()
	music := crewMusic(t, dir, 25)
	for attempt := 1; ; attempt++ {
		p := reftest.StartPair(t, heardRate, 0)
		first, second, said := playTogether(t, p, dir, holdsScript(20, 0.5), nil)
		h := compareHeard(music, first, second, 0, 30*time.Millisecond)
		h.table(t, "loopback")
		t.Log(said)
		if p99 := quantile(h.apart, 0.99); len(h.apart) < 300 || p99 > 2*time.Millisecond {
			if attempt < 1 {
				continue
			}
			t.Errorf("%d blocks, within %v at p99; wanted 2ms", len(h.apart), p99)
		}
		return
	}
}
