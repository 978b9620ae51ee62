package rehearsal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/follow"
	"drylane/playback/following"
	"drylane/playback/locate"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// Following says what a run follows in place of music of its own.
type Following struct {
	What    string        // timecode or music, alone or with @WHERE, as --follow has it; empty: nothing
	From    string        // the label at the first frame of the soundtrack; empty: as the show has it
	Rate    string        // of the code; empty: as the show has it
	Latency time.Duration // what the input does not tell of its latency
	Stdin   io.Reader     // raw frames, for @-; nil: there are none
}

func (f Following) on() bool { return f.What != "" }

// config is how the show is followed.
func (f Following) config(s *show.Show) (follow.Config, error) {
	of := s.Following()
	if f.From != "" && s.Follow == nil {
		of.Rate = 0 // what is followed is none of the show's own tracks
	}
	var err error
	if f.Rate != "" {
		if of.Rate, err = timebase.ParseRate(f.Rate); err != nil {
			return follow.Config{}, fmt.Errorf("--follow-rate: %w", err)
		}
	}
	if f.From != "" {
		if of.Rate, of.From, err = show.ParseFollow(of.Rate, f.From); err != nil {
			return follow.Config{}, fmt.Errorf("--follow-from: found %q; wanted %w", show.Clean(f.From), err)
		}
	}
	return follow.Config{From: of.From, Rate: of.Rate, Carry: of.Carry}, nil
}

// checkFollow checks what a run follows against what else it was asked for: the music
// is not ours, so nothing of it is played.
func (o Options) checkFollow() error {
	f := o.Following
	switch {
	case !f.on() && (f.From != "" || f.Rate != ""):
		return errors.New("--follow-from, --follow-rate: found no --follow; wanted --follow " + following.Wanted)
	case !f.on():
		return nil
	case following.ByEar(f.What) && (f.From != "" || f.Rate != ""):
		return errors.New("--follow-from, --follow-rate: found --follow music with it; wanted --follow timecode: music has no labels")
	case o.Listen != "" || o.Beside != "":
		return errors.New("--follow: found --listen or --beside with it; wanted one of them: the music is not played here")
	case o.Out.Where != "auto" && o.Out.Where != "silent":
		return fmt.Errorf("--follow: found --out %s with it; wanted none: the music is not played here", show.Clean(o.Out.Where))
	case o.Out.Speed != "1" && o.Out.Speed != "max":
		return fmt.Errorf("--speed: found %q with --follow; wanted 1, or max with a file", show.Clean(o.Out.Speed))
	case o.Out.Speed == "max" && o.Script == nil:
		return errors.New("--speed max: found no script with --follow; wanted --auto SCRIPT: nobody is as fast")
	}
	return nil
}

// clockOnly makes a run that follows play nothing.
func (o *Options) clockOnly() {
	if o.Following.on() {
		o.Out = sink.Place{Where: "silent", Speed: o.Out.Speed}
	}
}

// follow opens what the run follows.
func (r *Run) follow(o Options, cfg *deck.Config) error {
	if !o.Following.on() {
		return nil
	}
	c, err := o.Following.config(r.Show)
	if err != nil {
		return err
	}
	place := following.Place{What: o.Following.What, Config: c, Music: r.heardMusic, Stdin: o.Following.Stdin, Latency: o.Following.Latency, Now: cfg.Now}
	if cfg.Leader, err = place.Open(); err != nil {
		return err
	}
	if following.ByEar(place.What) {
		r.followed = &session.Follow{What: "music", Source: cfg.Leader.Name()}
		return nil
	}
	r.followed = &session.Follow{What: "timecode", Source: cfg.Leader.Name(), From: c.From.String(), CarryMS: c.Carry.Milliseconds()}
	if c.Rate != 0 {
		r.followed.Rate = c.Rate.String()
	}
	return nil
}

// heardMusic is the soundtrack made ready to be looked up in.
func (r *Run) heardMusic() (*locate.Music, error) {
	b, err := locate.NewBuilder(r.Music.Rate())
	if err != nil {
		return nil, err
	}
	f := r.Listened()
	err = playback.Pass(context.Background(), f.Name, f.Open, func(_ timebase.Frame, frames [][2]float64) error { return b.Write(frames) })
	if err != nil {
		return nil, err
	}
	return b.Music(), nil
}

// withFollow tells the log what the run follows.
func (r *Run) withFollow(h *session.Header) {
	if r.followed != nil {
		h.Follow, h.Output, h.Silent = r.followed, "nothing: follows "+r.followed.Source, true
	}
}
