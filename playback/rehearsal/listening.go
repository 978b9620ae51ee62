package rehearsal

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"drylane/playback/companion"
	"drylane/playback/deck"
	"drylane/playback/sink"
)

// Listening says which companion tracks are heard.
type Listening struct {
	Listen        string        // the track heard in place of the music; empty for the music
	Beside        string        // TRACK or TRACK@WHERE, heard beside the music; empty for none
	BesideLatency time.Duration // as sink.Place's, of the output beside the music
}

// leastBesideBuffer is how much the second output holds at least: it has no
// cues to wait for.
const leastBesideBuffer = 200 * time.Millisecond

// listening opens what the flags name and sets it into cfg, whose output is
// there already. What was opened for it is closed by r.tracks and r.beside.
func (r *Run) listening(o Options, cfg *deck.Config, buffer time.Duration) error {
	cfg.Companions = r.tracks.List()
	if o.Listen != "" {
		i, err := r.tracks.Find(o.Listen)
		if err != nil {
			return fmt.Errorf("--listen: %w", err)
		}
		if i >= 0 {
			if cfg.Companions[i].Stream, err = r.tracks.OpenAt(i); err != nil {
				return fmt.Errorf("--listen: %w", err)
			}
		}
		cfg.Listen = i + 1
	}
	if o.Beside == "" {
		return nil
	}
	track, where, err := o.where(cfg.Now == nil)
	if err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	return r.playBeside(o.BesideLatency, track, where, cfg, buffer)
}

// playBeside opens a track and the output that it goes to.
func (r *Run) playBeside(latency time.Duration, track, where string, cfg *deck.Config, buffer time.Duration) error {
	i, err := r.tracks.Find(track)
	if err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	beside := &deck.SecondOutput{Companion: deck.Companion{Name: companion.TheMusic}}
	if i >= 0 {
		beside.Companion = cfg.Companions[i]
	}
	if beside.Stream, err = r.tracks.OpenAt(i); err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	place := sink.Place{Where: where, Speed: "1", Latency: latency, Flag: "--beside", Files: r.files}
	if cfg.Now == nil && where == "silent" {
		place.Speed = "max"
	}
	if r.beside, err = place.Sink(r.Music.Rate(), max(buffer, leastBesideBuffer)); err != nil {
		return err
	}
	beside.Reopen = r.beside.Open
	if beside.Output, err = r.beside.Open(); err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	cfg.Second = beside
	return nil
}

// where takes --beside apart; without a place it is the first device there is.
// fast says that the music goes as fast as it can, which no device does.
func (l Listening) where(fast bool) (track, where string, err error) {
	track, where, named := strings.Cut(l.Beside, "@")
	if !named {
		where = "auto"
	}
	switch {
	case l.BesideLatency < sink.LeastLatency || l.BesideLatency > sink.MostLatency:
		return "", "", fmt.Errorf("found a latency of %v; wanted -2s to 5s", l.BesideLatency)
	case named && where == "":
		return "", "", errors.New("found nothing after @; wanted auto, device, device:NAME, silent or wav:PATH")
	case fast && where != "silent" && !strings.HasPrefix(where, "wav:"):
		return "", "", errors.New("found a sound device, and the music goes faster than it sounds; wanted @wav:PATH or @silent")
	}
	return track, where, nil
}
