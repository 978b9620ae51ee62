package main

import (
	"strings"
	"testing"
	"time"

	"drylane/playback/internal/demo/cuelist"
	"drylane/playback/internal/demo/score"
)

func TestDemoHasEnoughOfAll(t *testing.T) {
	t.Parallel()
	cues := demoCues(t)
	perPosition := make(map[string]int)
	for _, c := range cues {
		perPosition[c.Position]++
	}
	if len(cues) < 150 {
		t.Errorf("there are %d cues, want 150 or more", len(cues))
	}
	if len(perPosition) != len(cuelist.Positions) || len(perPosition) != 6 {
		t.Errorf("cues at %d positions of %d, want 6", len(perPosition), len(cuelist.Positions))
	}
	for _, p := range cuelist.Positions {
		if perPosition[p.Name] < 5 {
			t.Errorf("%s has %d cues, want 5 or more", p.Name, perPosition[p.Name])
		}
	}
	if first := cues[0]; first.ID != "1" || first.EffectAt != 5*time.Second || first.IgniteAt() != 5*time.Second {
		t.Errorf("the witness is cue %s at %v, want cue 1 at 5 s without prefire", first.ID, first.EffectAt)
	}
	for _, c := range cues[1:] {
		if c.EffectAt < 10*time.Second {
			t.Errorf("cue %s comes at %v, want the show to start at 10 s", c.ID, c.EffectAt)
		}
	}
}

// Effects fall on accents to the millisecond, but at one position all of them
// are 0.3 s late.
func TestDemoCuesFallOnAccents(t *testing.T) {
	t.Parallel()
	accents := map[time.Duration]bool{score.WitnessAt: true}
	for _, a := range piece().Accents {
		accents[a.At.At(score.Rate)] = true
	}
	late := 0
	for _, c := range demoCues(t) {
		at := c.EffectAt
		if c.Position == "Slip" {
			late++
			at -= 300 * time.Millisecond
		}
		if !accents[at] {
			t.Errorf("cue %s of %s at %v: the music has no accent at %v", c.ID, c.Position, c.EffectAt, at)
		}
	}
	if late < 12 {
		t.Errorf("%d cues are late, want a dozen or more", late)
	}
}

// A plan that does not fit the music is refused, with the place that does not.
func TestDemoRefusesOtherMusic(t *testing.T) {
	t.Parallel()
	_, err := cuelist.Build(piece().Accents[1:])
	if err == nil || !strings.Contains(err.Error(), "intro, bar 0, step 0") {
		t.Errorf("without the first accent the error is %v, want it to name the intro's first bar", err)
	}
}

// Each pin is used once, each module stands at one position, and no module has
// to fire two cues faster than it can.
func TestDemoWiring(t *testing.T) {
	t.Parallel()
	type pin struct {
		module string
		number int
	}
	used := make(map[pin]string)
	home := make(map[string]string)
	last := make(map[string]time.Duration)
	for _, c := range demoCues(t) {
		if c.Module == "" {
			if c.Position != "Beacon" || c.Pin != 0 {
				t.Errorf("cue %s at %s has no module but pin %d", c.ID, c.Position, c.Pin)
			}
			continue
		}
		p := pin{c.Module, c.Pin}
		if other, ok := used[p]; ok || c.Pin < 1 || c.Pin > cuelist.Pins {
			t.Errorf("cue %s: pin %d of %s is taken by %q or does not exist", c.ID, c.Pin, c.Module, other)
		}
		used[p] = c.ID
		if at, ok := home[c.Module]; ok && at != c.Position {
			t.Errorf("module %s is at %s and at %s", c.Module, at, c.Position)
		}
		home[c.Module] = c.Position
		if before, ok := last[c.Module]; ok && c.IgniteAt()-before < cuelist.MinGap {
			t.Errorf("cue %s: %s fires twice within %v", c.ID, c.Module, c.IgniteAt()-before)
		}
		last[c.Module] = c.IgniteAt()
	}
}

// Larger shells take longer to break; nothing else has a prefire (common
// practice, no source). Positions fired by hand need seconds between cues.
func TestDemoItems(t *testing.T) {
	t.Parallel()
	lifts := make(map[int]time.Duration)
	var byHand time.Duration
	for _, c := range demoCues(t) {
		if c.Item.Burn <= 0 {
			t.Errorf("cue %s burns for %v, want longer than nothing", c.ID, c.Item.Burn)
		}
		if c.Item.Prefire > 0 {
			lifts[c.Item.Caliber] = c.Item.Prefire
		}
		if c.Module == "" {
			if byHand > 0 && c.IgniteAt()-byHand < 4*time.Second {
				t.Errorf("cue %s comes %v after the last by hand, want 4 s", c.ID, c.IgniteAt()-byHand)
			}
			byHand = c.IgniteAt()
		}
	}
	last := time.Duration(0)
	for _, caliber := range []int{50, 65, 75, 100, 125, 150} {
		if lifts[caliber] <= last {
			t.Errorf("a shell of %d mm takes %v to break, want longer than a smaller one's %v", caliber, lifts[caliber], last)
		}
		last = lifts[caliber]
	}
}

// There are two runs of sixteen cues a tenth of a second apart, and the slow
// section has fewer than one cue in two seconds.
func TestDemoDensity(t *testing.T) {
	t.Parallel()
	const section = 23 * time.Second
	count := make(map[time.Duration]int)
	slow := 0
	for _, c := range demoCues(t) {
		count[c.EffectAt]++
		if c.EffectAt >= 74*time.Second && c.EffectAt < 74*time.Second+section {
			slow++
		}
	}
	for _, start := range []time.Duration{66 * time.Second, 72400 * time.Millisecond} {
		for i := range 16 {
			if at := start + time.Duration(i)*100*time.Millisecond; count[at] == 0 {
				t.Errorf("the run from %v has no cue at %v", start, at)
			}
		}
	}
	if slow == 0 || slow > 11 {
		t.Errorf("the slow section has %d cues, want 1 to 11", slow)
	}
}
