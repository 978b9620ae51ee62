package rehearsal

import (
	"context"
	"fmt"
	"os"

	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/playback/folder"
	"drylane/playback/knock"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	roles "drylane/show/crew"
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
}

// NewExercise draws what a drill leaves to chance. What it starts ends with ctx.
func NewExercise(ctx context.Context, d *drill.Drill, seed uint64) *Exercise {
	return &Exercise{Drill: d, ctx: ctx, drawn: d.Draw(seed), seed: seed}
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
	cfg.OnEntry = nil // nothing is printed that gives away what is planted
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

// training is what trainers are told of a run.
func (r *Run) training() crew.Training {
	t := crew.Training{Positions: r.Show.Positions, Tapper: r.Person.Habit()}
	if x := r.Drill; x != nil {
		t.Drill, t.Exercise, t.Score = x.Drill.Title, x.drawn, r.scoreSoFar
	}
	return t
}

// LetTrainersIn lets trainers at this machine in on a drill; stop sends them away. Whoever
// knocks comes in by the lead's door if there is one. Else one is opened then, for
// trainers alone and on this machine alone: nothing listens before. That none can come is
// no reason not to train.
func (r *Run) LetTrainersIn(lead *crew.Lead) (stop func(), err error) {
	if r.gate == nil {
		return func() {}, nil
	}
	d := &backDoor{run: r, lead: lead}
	post, err := knock.Put(knock.Notice{PID: os.Getpid(), Show: r.Show.Title, Drill: r.Drill.Drill.Title}, d.open)
	return func() {
		post.Close()
		d.own.Close()
	}, err
}

// A backDoor is for trainers at this machine. It belongs to the post's goroutine until
// that is closed.
type backDoor struct {
	run  *Run
	lead *crew.Lead // by whose door they come in; nil: by one of this door's own
	own  *crew.Lead
}

// open returns what there is to join with.
func (d *backDoor) open() ([]byte, error) {
	if d.lead == nil {
		cfg := d.run.crewConfig()
		cfg.Listen, cfg.Only, cfg.Lost = "127.0.0.1:0", roles.Trainer, show.LostGoesOn
		var err error
		if d.own, err = crew.Open(cfg); err != nil {
			return nil, err
		}
		d.lead = d.own
	}
	return d.lead.Invitation().For(roles.Trainer).Here().JSON(), nil
}
