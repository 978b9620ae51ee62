package main

import (
	"errors"
	"fmt"
	"time"

	"drylane/playback/accents"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/reentry"
	"drylane/show/session"
)

type placesCmd struct {
	Dir     string        `arg:"" help:"The show folder." placeholder:"DIR"`
	Session string        `placeholder:"SESSION" help:"The session that was cut: what it fired does not fire again."`
	RunUp   time.Duration `name:"run-up" default:"4s" placeholder:"TIME" help:"How long the music plays alone before the place, such as 4s."`
	List    bool          `name:"no-listening" help:"Propose from the list alone, without listening to the music."`
	cacheFlag
	JSON bool `help:"Print it as JSON."`
}

func (placesCmd) Help() string {
	return "After a cut and make safe a show can start again from somewhere. This lists the places: where the music changes or the list pauses, and where a start tears no count, no long burn and no chase in two. Each says what would fire, how long until the first cue, the timecode there, and what stays loaded. On the console the key u lists them after a cut. A script starts from one with: re-enter 1:05.000 run-up 4, then start.\n\nExamples:\n\n  drylane places shows/harbour\n  drylane places shows/harbour --session last --run-up 8s"
}

func (c placesCmd) Run(e *env) error {
	if c.RunUp < 0 || c.RunUp > time.Minute {
		return fmt.Errorf("found a run-up of %v; wanted 0s to 1m", c.RunUp)
	}
	f, err := folder.Open(c.Dir)
	if err != nil {
		return err
	}
	defer f.Close()
	t := show.NewTransport(show.NewPlan(f.Show.Cues, f.Show.Console, f.Music.Rate(), f.Music.Info().Frames))
	if c.Session != "" {
		if t, err = e.runOf(c.Session, t.Plan()); err != nil {
			return err
		}
	}
	var changes []time.Duration
	if !c.List {
		p := e.progress("")
		changes, err = accents.Changes(e.ctx, f.Listened(), p.tell)
		p.end()
		if err != nil {
			return err
		}
	}
	return c.print(e, t, reentry.Propose(f.Show, t, changes, c.RunUp), reentry.Rejected(f.Show, t, changes), func(i int) string { return show.Clean(f.Show.Cues[t.Plan().Cues[i].List].ID) })
}

// runOf is the run of a session as it ended. Its cues must be those of the plan.
func (e *env) runOf(name string, plan *show.Plan) (*show.Transport, error) {
	log, _, err := e.findSession(name)
	if err != nil {
		return nil, err
	}
	t, err := session.End(log)
	if err != nil {
		return nil, err
	}
	p := t.Plan()
	other := len(p.Cues) != len(plan.Cues) || p.Rate != plan.Rate || p.Length != plan.Length
	for i := 0; !other && i < len(p.Cues); i++ {
		other = p.Cues[i].Ignite != plan.Cues[i].Ignite || p.Cues[i].Effect != plan.Cues[i].Effect
	}
	if other {
		return nil, fmt.Errorf("%s: found a session of another cue list or soundtrack; wanted one of this show as it is", show.Clean(name))
	}
	if s := t.State(); s != show.Safe && s != show.Ended {
		return nil, errors.New(show.Clean(name) + ": the session was not cut; wanted one that ended safe")
	}
	return t, nil
}

func (c placesCmd) print(e *env, t *show.Transport, list []reentry.Proposal, rejected []reentry.Rejection, ids func(int) string) error {
	type place struct {
		At      float64  `json:"at_s"`
		Starts  float64  `json:"music_from_s"`
		Why     string   `json:"why"`
		Codes   []string `json:"timecode"`
		Fires   int      `json:"cues"`
		First   float64  `json:"first_after_s"`
		Skipped []string `json:"stay_loaded"`
	}
	rate := t.Plan().Rate
	if c.JSON {
		out := []place{}
		for _, p := range list {
			o := place{At: p.At.Seconds(), Starts: p.Start.At(rate).Seconds(), Why: p.Why, Codes: p.Codes, Fires: p.Fires, First: p.First.At(rate).Seconds(), Skipped: []string{}}
			for _, i := range p.Skipped {
				o.Skipped = append(o.Skipped, ids(i))
			}
			out = append(out, o)
		}
		return printJSON(e.out, out)
	}
	if len(list) == 0 {
		fmt.Fprintln(e.out, "no place to start from: nothing is left to fire")
	}
	for _, p := range list {
		fmt.Fprintf(e.out, "%s\n    %s\n", p.Head(), p.Words(rate, ids))
	}
	for _, r := range rejected {
		fmt.Fprintln(e.out, show.Clean(r.String()))
	}
	fmt.Fprintln(e.out)
	if !c.List {
		fmt.Fprintln(e.out, reentry.Bars)
	}
	_, err := fmt.Fprintf(e.out, "%s\n", reentry.Care)
	return err
}
