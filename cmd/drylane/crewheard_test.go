package main

import (
	"encoding/json"
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

// A bothHeard is what two machines played of one music, side by side.
type bothHeard struct {
	apart  []time.Duration // of each block that both played: how far the second was ahead
	late   []time.Duration // of each start: how long the first played alone
	over   []time.Duration // of each hold: how long the second played on
	blocks int
	beyond int // blocks further apart than the member said its clock could be off
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

// A crewTrial is a rehearsal that is played and recorded.
type crewTrial struct {
	lead, member string               // scripts
	ppm          float64              // by how much the member's device is fast
	way          func() time.Duration // of the link; nil for the bare loopback
	reach        time.Duration        // how far off the second is looked for
}

// played is what came of it.
type played struct {
	first, second [][2]float32
	began         time.Time // frame 0 sounded then
	log           []memberLine
}

// A memberLine is a line of the member's own log.
type memberLine struct {
	Wall  time.Time     `json:"wall"`
	Bound time.Duration `json:"bound_ns"`
	Kind  string        `json:"kind"`
	Text  string        `json:"text"`
}

// play rehearses the show in dir on one server and joins with a listener on the other.
func (c crewTrial) play(t *testing.T, dir string) played {
	t.Helper()
	pair := reftest.StartPair(t, heardRate, c.ppm)
	files := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(files, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	invitation, log := filepath.Join(files, "crew.json"), filepath.Join(files, "member.jsonl")
	lead, said := crewProcess(t, pair.First, "rehearse", dir, "--crew", "--crew-at", "127.0.0.1:0", "--crew-file", invitation, "--bangs", "off",
		"--out", "device", "--auto", write("lead.txt", c.lead))
	i := invited(t, invitation)
	a, err := crew.ParseAddress(i.Address)
	if err != nil {
		t.Fatal(err)
	}
	if c.way != nil {
		a.Host = reftest.NewProxy(t, a.Host, c.way).Addr().String()
	}
	join, _ := crewProcess(t, pair.Second, "join", a.String(), "--code", i.Codes["listener"], "--as", "Lis", "--role", "listener",
		"--show", dir, "--out", "device", "--log", log, "--auto", write("member.txt", c.member))
	if err := lead.Wait(); err != nil {
		t.Logf("%v: %s", err, said)
	}
	join.Wait()
	p := played{began: pair.Began(), log: readMemberLog(t, log)}
	p.first, p.second = pair.Frames(t)
	return p
}

// readMemberLog reads the log of a joined machine, its head left out.
func readMemberLog(t *testing.T, path string) (list []memberLine) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(data)) {
		var l memberLine
		if err := json.Unmarshal([]byte(line), &l); err != nil {
			t.Fatal(err)
		}
		if l.Kind != "" {
			list = append(list, l)
		}
	}
	return list
}

// bound is how well the member said it knew the lead's clock about a moment: the worse
// of the lines before and after.
func (p *played) bound(at time.Time) (most time.Duration) {
	for i, l := range p.log {
		if l.Wall.After(at) {
			return max(most, l.Bound)
		}
		most = p.log[i].Bound
	}
	return most
}

// compare tells how far the two machines were apart, block by block of 10 ms.
func (c crewTrial) compare(music []float32, p *played) bothHeard {
	where := reftest.Trace(p.first, music)
	const block = heardRate / 100
	far := int(c.reach.Seconds() * heardRate)
	var h bothHeard
	alone, over := 0, 0
	was := [2]bool{}
	for at := 0; at+block < len(p.first); at += block {
		b := int(float64(at) * (1 + c.ppm/1e6))
		if b+block > len(p.second) {
			break
		}
		second := p.second[b : b+block]
		loud := [2]bool{energy(p.first[at:at+block]) > 1e-7, energy(second) > 1e-7}
		switch {
		case loud[0] && loud[1]:
			if alone > 0 {
				h.late = append(h.late, time.Duration(alone)*10*time.Millisecond)
			}
			if place := where[at]; place >= 0 && was == loud {
				h.blocks++
				if lag, ok := lagIn(music, place, second, far); ok {
					apart := time.Duration(float64(lag) / heardRate * 1e9)
					h.apart = append(h.apart, apart)
					if when := p.began.Add(time.Duration(at) * time.Second / heardRate); apart.Abs() > p.bound(when)+deviceOff {
						h.beyond++
					}
				}
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

// deviceOff is how far two devices may be apart besides what is not known of the clock.
const deviceOff = time.Millisecond

func energy(part [][2]float32) (sum float64) {
	for _, f := range part {
		sum += float64(f[0]) * float64(f[0])
	}
	return sum / float64(len(part))
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
func (h bothHeard) table(t *testing.T, name string) {
	t.Helper()
	t.Logf("%s: %d of %d blocks heard on both; apart %v median, %v p99, %v most; %d beyond what was said", name, len(h.apart), h.blocks,
		quantile(h.apart, 0.5), quantile(h.apart, 0.99), quantile(h.apart, 1), h.beyond)
	t.Logf("%s: %d starts, the second %v later (median), %v (most); %d holds, it went on for %v (median), %v (most)", name,
		len(h.late), quantile(h.late, 0.5), quantile(h.late, 1), len(h.over), quantile(h.over, 0.5), quantile(h.over, 1))
}
