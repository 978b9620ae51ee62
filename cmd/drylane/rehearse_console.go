package main

import (
	"context"
	"errors"
	"fmt"

	"drylane/playback/crew"
	"drylane/playback/rehearsal"
	"drylane/tui/screen"
	"drylane/tui/settings"
	"drylane/tui/stage"
)

// console runs the deck with a person at the keys.
func (e *env) console(r *rehearsal.Run, f runFlags, lead *crew.Lead) error {
	o, err := f.stageOptions(e)
	if err != nil {
		return err
	}
	o.Crew = lead
	ctx, cancel := context.WithCancel(e.ctx)
	defer cancel()
	if r.Drill != nil {
		leave, err := r.LetTrainersIn(lead)
		if err != nil {
			fmt.Fprintln(e.errOut, "no trainer can come in: "+cleanLines(err.Error()))
		}
		defer leave()
	}
	stop := r.Go(ctx)
	if f.Plain {
		err = screen.Speak(ctx, stage.OpenSpoken(ctx, r, o), e.in, e.screen, e.lineEnd())
	} else {
		err = screen.Run(ctx, stage.Open(ctx, r, o), e.in, e.screen)
	}
	return errors.Join(err, stop())
}

// lineEnd ends a line while the terminal hands on keys one by one, and ends no line by
// itself.
func (e *env) lineEnd() string {
	if e.terminal() {
		return "\r\n"
	}
	return "\n"
}

// stageOptions settle what the flags leave to the user's settings.
func (f runFlags) stageOptions(e *env) (stage.Options, error) {
	s, err := settings.Read()
	if err != nil {
		return stage.Options{}, err
	}
	keys, err := s.Keymap(f.Keymap)
	return stage.Options{Look: s.Look(f.Theme, f.ASCII, e.outFile), Keys: keys, Out: f.place()}, err
}
