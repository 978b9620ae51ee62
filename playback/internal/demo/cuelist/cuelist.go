// Package cuelist places the demo show's cues on the accents of its music, for the
// tool that writes the demo; nothing that is shipped imports it. Show, places and
// people are invented.
package cuelist

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"time"

	"drylane/playback/internal/demo/score"
)

// Title is the demo show's title.
const Title = "Harbour Evening"

// Late is how far the effects of LatePosition come after their accents: the
// mistake that is there to be found.
const (
	Late         = 300 * time.Millisecond
	LatePosition = slip
)

// A Line is one cue of the list.
type Line struct {
	ID       string
	EffectAt time.Duration
	Position string
	Module   string // empty at the hand-fired position
	Pin      int
	Item     Item
	Accent   time.Duration // the moment of the music that the effect belongs to
}

// IgniteAt is when the cue must be fired.
func (c Line) IgniteAt() time.Duration { return c.EffectAt - c.Item.Prefire }

// Build returns the cues in the order of firing, wired and numbered from 1. An
// error says what in the plan does not fit the music or the field.
func Build(accents []score.Accent) ([]Line, error) {
	at := make(map[moment]time.Duration, len(accents))
	for _, a := range accents {
		at[moment{a.Section, a.Bar, a.Step}] = a.At.At(score.Rate)
	}
	cues := []Line{{EffectAt: score.WitnessAt, Accent: score.WitnessAt, Position: quay, Item: witnessComet}}
	for _, row := range plan {
		t, ok := at[row.moment]
		if !ok {
			return nil, fmt.Errorf("the plan has a cue at %v, where the music has no accent", row.moment)
		}
		for _, s := range row.shots {
			cues = append(cues, s.cues(t)...)
		}
	}
	slices.SortStableFunc(cues, func(a, b Line) int { return cmp.Compare(a.IgniteAt(), b.IgniteAt()) })
	if err := wire(cues); err != nil {
		return nil, err
	}
	for i := range cues {
		cues[i].ID = strconv.Itoa(i + 1)
	}
	return cues, nil
}

// cues are the cues of one shot that belongs to the accent at t.
func (s shot) cues(t time.Duration) []Line {
	cues := make([]Line, 0, len(s.from))
	for _, position := range s.from {
		c := Line{EffectAt: t, Accent: t, Position: position, Item: s.item}
		if position == LatePosition {
			c.EffectAt += Late
		}
		cues = append(cues, c)
	}
	return cues
}
