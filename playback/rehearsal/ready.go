package rehearsal

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/ready"
	"drylane/show/session"
)

// withReady gives a run its go / no-go list and the rule of going into the field: the
// drill's, or the show's.
//
// A person is always asked. A script is where it answers, or where show.toml has a list
// of its own; others, from before there was a list, arm as they did.
func (r *Run) withReady(o Options, h *session.Header, cfg *deck.Config) {
	if r.Drill != nil {
		askDrill(r.Drill.Drill, r.Show, h, cfg)
		return
	}
	if o.Script == nil || len(r.Show.Ready) > 0 || o.answers() {
		ask(ready.OfShow(r.Show, o.Field != nil), h, cfg)
	}
	safe := r.Show.MakeSafe.Wait
	if o.Short {
		safe = min(safe, shortWait)
	}
	wait(safe, h, cfg)
}

// askDrill gives a drill the list that its file has, if it has one: in any other the
// field reports ready on the radio, and nothing else.
func askDrill(d *drill.Drill, s *show.Show, h *session.Header, cfg *deck.Config) {
	ask(d.Ready, h, cfg)
	wait(d.SafeWait(s), h, cfg)
}

func ask(asks []show.Ask, h *session.Header, cfg *deck.Config) {
	if len(asks) > 0 {
		h.Ready, cfg.Ready = asks, asks
	}
}

func wait(d time.Duration, h *session.Header, cfg *deck.Config) {
	h.Safe, cfg.Safe = &session.Safe{WaitNS: int64(d)}, &d
}

// answers reports whether the script has a step on the go / no-go list.
func (o Options) answers() bool {
	return slices.ContainsFunc(o.Script, func(s show.ScriptStep) bool { return s.Do.Kind == show.KindAnswer })
}

// checkReady checks a script's answers against whether anybody is asked.
func (o Options) checkReady() error {
	if o.Drill == nil || len(o.Drill.Drill.Ready) > 0 {
		return nil
	}
	for _, s := range o.Script {
		if s.Do.Kind == show.KindAnswer {
			return fmt.Errorf("script line %d: %w", s.Line, errors.New("found an answer, and this drill asks nobody; wanted a drill with [[ready]]"))
		}
	}
	return nil
}
