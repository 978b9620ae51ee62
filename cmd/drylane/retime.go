package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/retime"
	"drylane/show/timebase"
)

type retimeCmd struct {
	Dir      string   `arg:"" help:"The show folder; it is never changed." placeholder:"DIR"`
	To       string   `required:"" placeholder:"NEWDIR" help:"The folder to write; it must not be there yet, or be empty."`
	Session  string   `placeholder:"SESSION" xor:"how" help:"Move the cues by what the taps of this session say."`
	Heard    string   `placeholder:"FILE" xor:"how" help:"Move the cues by what a recording of the fire told: what \"drylane hear --json\" printed."`
	Shift    string   `placeholder:"WORDS" xor:"how" help:"Move the cues by this: \"earlier 0.3\" or \"later 1.25\"."`
	Rate     *float64 `placeholder:"PPM" help:"Take out a drift that grows by PPM parts per million (1000: 60 ms a minute), positive where the cues come later and later."`
	Position string   `placeholder:"NAME" help:"Only the cues of this position."`
	From     string   `placeholder:"T" help:"Only cues whose effect is at T or later; the rate counts from here."`
	Until    string   `placeholder:"T" help:"Only cues whose effect is before T."`
	Person   string   `placeholder:"NAME" help:"Whose taps are in the session, as calibrated; default: whom it names."`
	List     bool     `help:"List every cue that moved."`
	JSON     bool     `help:"Print the moves as one JSON object."`

	unheard []string // positions of which --heard tells nothing
}

func (retimeCmd) Help() string {
	return "Writes a new show folder with its cues moved against the music, and tells how the cues of each position moved; --list tells it of every cue. The music and all else is copied as it is. Nothing is written if an ignition would come before the music or after its end, or if the cues of a module would swap.\n\nExamples:\n\n  drylane retime shows/harbour --to shows/harbour-2 --session last\n  drylane retime shows/harbour --to shows/harbour-2 --heard heard.json\n  drylane retime shows/harbour --to shows/harbour-2 --shift \"earlier 0.3\" --position Barge --from 1:20 --until 2:05"
}

func (c *retimeCmd) Run(e *env) error {
	within, err := c.within()
	if err != nil {
		return err
	}
	l, err := folder.Open(c.Dir)
	if err != nil {
		return err
	}
	defer l.Close()
	specs, err := c.specs(e, l, within)
	if err != nil {
		return err
	}
	return c.apply(e, l, specs)
}

// apply moves the cues, writes the new folder and prints what moved.
func (c *retimeCmd) apply(e *env, l *folder.Folder, specs []retime.Spec) error {
	length := l.Music.Info().Duration()
	r := retime.Apply(l.Show, length, specs...)
	if r.Problems.Stop() {
		return fmt.Errorf("%w\nnothing was written", r.Problems)
	}
	if len(r.Changes) == 0 {
		return errors.New("found no cue to move; wanted a position, section and shift that move at least one")
	}
	warnings, missing, err := l.WriteRetimed(e.ctx, c.To, r.Cues)
	if err != nil {
		return err
	}
	for _, name := range missing {
		fmt.Fprintf(e.errOut, "note: %s is not in the show folder; it was not copied\n", name)
	}
	for _, p := range warnings {
		fmt.Fprintln(e.errOut, p.Severity.String()+": "+p.Error())
	}
	return c.print(e, l.Show, r)
}

// within is the part of the show that is to move.
func (c *retimeCmd) within() (retime.Spec, error) {
	s := retime.Spec{Position: c.Position}
	if c.Session == "" && c.Heard == "" && c.Shift == "" && c.Rate == nil {
		return s, errors.New("found nothing to do; wanted --session SESSION, --heard FILE, --shift WORDS or --rate PPM")
	}
	if c.Session != "" && c.Rate != nil {
		return s, errors.New("found both --session and --rate; wanted one: a session says whether the drift grows")
	}
	if c.Heard != "" && c.Rate != nil {
		return s, errors.New("found both --heard and --rate; wanted one: a recording says whether the drift grows")
	}
	for _, t := range []struct {
		flag, text string
		to         *time.Duration
	}{{"--from", c.From, &s.From}, {"--until", c.Until, &s.Until}} {
		if t.text == "" {
			continue
		}
		d, err := show.ParseTime(t.text)
		if err != nil {
			return s, fmt.Errorf("%s: %w", t.flag, err)
		}
		*t.to = d
	}
	if c.Until != "" && s.Until <= s.From {
		return s, fmt.Errorf("--until: found %s; wanted a time after %s", timebase.ClockMillis(s.Until), timebase.ClockMillis(s.From))
	}
	return s, nil
}

// specs says how far the cues move.
func (c *retimeCmd) specs(e *env, l *folder.Folder, within retime.Spec) ([]retime.Spec, error) {
	if within.Position != "" && !hasPosition(l.Show, within.Position) {
		return nil, fmt.Errorf("--position: found %q; wanted a position of the show: %s", show.Clean(within.Position), positionNames(l.Show))
	}
	if c.Session != "" {
		return c.fromSession(e, l, within)
	}
	if c.Heard != "" {
		return c.fromHeard(l, within)
	}
	var err error
	if c.Shift != "" {
		if within.Shift, err = retime.ParseShift(c.Shift); err != nil {
			return nil, fmt.Errorf("--shift: %w", err)
		}
	}
	if c.Rate != nil {
		if within.Rate, err = retime.RateOf(*c.Rate); err != nil {
			return nil, fmt.Errorf("--rate: %w", err)
		}
	}
	return []retime.Spec{within}, nil
}

// fromSession takes the move from taps, which must be at this very cue list: a
// list that was moved already would be moved twice.
func (c *retimeCmd) fromSession(e *env, l *folder.Folder, within retime.Spec) ([]retime.Spec, error) {
	s, err := e.sheet(c.Session, c.Person)
	if err != nil {
		return nil, err
	}
	if h := s.Run.Header; h.CuesSHA256 != l.Show.CuesSHA256 {
		return nil, fmt.Errorf("%s: found a rehearsal of another cue list (SHA-256 %.12s...) than %s has (%.12s...); wanted one of this list, as it is",
			show.Clean(s.Name), show.Clean(h.CuesSHA256), l.Show.CuesFile, l.Show.CuesSHA256)
	}
	specs, err := retime.FromDrift(s.Within(within.From, within.Until), within)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", show.Clean(s.Name), err)
	}
	if !c.JSON {
		fmt.Fprintln(e.out, s.PersonWords())
	}
	return specs, nil
}

func hasPosition(s *show.Show, name string) bool {
	for _, p := range s.Positions {
		if p.Name == name {
			return true
		}
	}
	return false
}

func positionNames(s *show.Show) string {
	var names []string
	for _, p := range s.Positions {
		names = append(names, p.Name)
	}
	return strings.Join(names, ", ")
}

// A move is a change as JSON tells it.
type move struct {
	Cue      string  `json:"cue"`
	Line     int     `json:"line"`
	Position string  `json:"position"`
	From     float64 `json:"from_s"`
	To       float64 `json:"to_s"`
	Earlier  float64 `json:"earlier_s"` // negative: later
}

// print tells how the cues moved, or every one that did.
func (c *retimeCmd) print(e *env, s *show.Show, r *retime.Result) error {
	if c.JSON {
		moves := make([]move, len(r.Changes))
		for i, ch := range r.Changes {
			moves[i] = move{ch.Cue.ID, ch.Cue.Line, ch.Cue.Position, ch.Cue.EffectAt.Seconds(), ch.To.Seconds(), ch.Earlier().Seconds()}
		}
		return json.NewEncoder(e.out).Encode(struct {
			From  string `json:"from"`
			To    string `json:"to"`
			Cues  int    `json:"cues"`
			Moves []move `json:"moves"`
		}{c.Dir, c.To, len(r.Cues), moves})
	}
	write := func(w io.Writer) error { return r.WriteSummary(w, c.unheard...) }
	if c.List {
		write = func(w io.Writer) error { return r.WriteList(w, s.CuesFile) }
	}
	if err := write(e.out); err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%s: written, %d of %d cues moved. %s is as it was.\n", show.Clean(c.To), len(r.Changes), len(r.Cues), show.Clean(c.Dir))
	for _, track := range s.Tracks {
		fmt.Fprintf(e.out, "%s was made for the old cue list: make it again if there are calls in it.\n", track.File)
	}
	return nil
}
