package rehearsal

import (
	"context"
	"fmt"

	"drylane/playback/deck"
	"drylane/playback/folder"
	"drylane/playback/instruct"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
)

// An Exercise is a drill that is to be run.
type Exercise struct {
	Drill *drill.Drill
	// Untold says that the trainee is not to know which drill it is.
	Untold bool

	ctx   context.Context
	drawn *drill.Exercise
	seed  uint64
	told  *instruct.Log // for instructors
}

// NewExercise draws what a drill leaves to chance. What it starts ends with ctx.
func NewExercise(ctx context.Context, d *drill.Drill, seed uint64) *Exercise {
	return &Exercise{Drill: d, ctx: ctx, drawn: d.Draw(seed), seed: seed, told: new(instruct.Log)}
}

// Briefing is what the trainee is told before.
func (x *Exercise) Briefing() string {
	if x.Untold {
		return drill.AnyBriefing
	}
	return x.Drill.Briefing
}

// Plant puts the drill's errors into the cue list of the show it is run on.
func (x *Exercise) Plant(f *folder.Folder) { f.Show.Cues = x.drawn.Cues(f.Show) }

// into makes a run the exercise.
func (x *Exercise) into(h *session.Header, cfg *deck.Config, where string, s *sink.Sink) {
	h.Drill = &session.Drill{Name: x.Drill.Name, Seed: x.seed, File: x.Drill.Source}
	cfg.Director = drill.NewDirector(x.drawn, cfg.Plan.Rate)
	cfg.OnEntry = x.told.Add
	if voice := speakRadio(x.ctx, where, s, cfg.Plan.Rate); voice != nil {
		cfg.OnRadio = voice.say
	}
}

// scoreSoFar is the score that the run would have if the drill were over now: what has
// not come yet is left out.
func (r *Run) scoreSoFar() string {
	log, err := sessions.Read(r.Log.Name())
	if err != nil {
		return ""
	}
	return soFar(log, r.Drill.drawn)
}

func soFar(log *session.Log, x *drill.Exercise) string {
	if n := len(log.Entries); n > 0 {
		last := log.Entries[n-1]
		log.Entries = append(log.Entries, session.Entry{N: last.N + 1, Wall: last.Wall, Heard: last.Heard, Show: last.Show, State: last.State,
			By: show.ByEngine, Kind: session.KindDrill, Data: session.Data{Do: string(drill.Over)}})
	}
	res, err := drill.Score(log, x)
	if err != nil || !res.Scored {
		return "no score so far"
	}
	return fmt.Sprintf("score so far %d of 100", res.Score)
}

// LetInstructorsIn lets instructors in on a drill; stop sends them away. That
// none can come is no reason not to train.
func (r *Run) LetInstructorsIn() (stop func(), err error) {
	x := r.Drill
	s, err := instruct.Serve(x.ctx, instruct.Config{Program: r.program, Show: r.Show.Title, Drill: x.Drill.Title,
		Plan: r.Plan, Cues: r.Show.Cues, Positions: r.Show.Positions, Tapper: r.Person.Habit(),
		Exercise: x.drawn, Score: r.scoreSoFar, Snapshot: r.Deck.Snapshot, Act: r.Deck.Instruct, Log: x.told})
	if err != nil {
		return func() {}, err
	}
	return s.Close, nil
}
