package crew

import (
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/crew"
	"drylane/show/timebase"
)

// sent is what the lead told last, and when it tells again.
type sent struct {
	n           int64
	state       time.Duration
	key         stateKey
	crew        time.Duration
	crewChanged bool
	cues        time.Duration
	cuesKey     cuesKey
	up          []show.Up
	calls       int // HOLDs of the crew so far

	wrong     int    // wrong codes so far
	wrongFrom string // ... the latest
	wrongAt   time.Time
}

// anew has everything told again: somebody has come.
func (s *sent) anew() {
	s.state, s.crew, s.cues, s.crewChanged = -time.Hour, -time.Hour, -time.Hour, true
}

// A stateKey is what of a state is news by itself.
type stateKey struct {
	state         show.State
	hold, waiting int
	calls         int
	nudge         time.Duration
	resumes       time.Time
	forbids, asks string
}

// A cuesKey is what changes when cues come.
type cuesKey struct {
	state           show.State
	next, committed int
	nudge           time.Duration
	downs           int
}

// send publishes a message. It may wait for a moment, which holds up the loop and
// nothing else.
func (l *Lead) send(subject string, v any) { l.conn.Publish(subject, pack(v)) }

// answer tells a member what came of a deed; done says what was, where that is to be told.
func (l *Lead) answer(id string, d crew.Deed, done string, err error) {
	a := Answer{Deed: d, Done: done}
	if err != nil {
		a = Answer{Deed: d, Refused: err.Error()}
	}
	l.send(toMember+id+"."+answer, &a)
}

// tell tells everybody what is new.
func (l *Lead) tell() {
	s, now := l.cfg.Run.Snapshot(), l.now()
	t := &s.Transport
	l.forgetAsked(t)
	key := stateKey{t.State(), l.roster.Hold(), len(l.roster.Waiting()), l.sent.calls, t.Asked(), s.ResumesAt, l.cfg.Gate.Forbids(), l.cfg.Gate.Asks()}
	if key != l.sent.key || now-l.sent.state >= stateEvery {
		l.sent.crewChanged = l.sent.crewChanged || key != l.sent.key
		l.sent.key, l.sent.state = key, now
		l.send(toAll+string(crew.SeesState), l.state(s))
	}
	if l.sent.crewChanged || now-l.sent.crew >= crewEvery {
		l.sent.crewChanged, l.sent.crew = false, now
		l.tellCrew(now)
	}
	asked, _ := t.InForce()
	cues := cuesKey{t.State(), t.Next(), t.Committed(), t.Asked() + asked, l.downs(t)}
	if cues != l.sent.cuesKey || now-l.sent.cues >= cuesEvery {
		l.sent.cuesKey, l.sent.cues = cues, now
		l.tellCues(s)
	}
	l.tellEvents()
	l.trainers.there.Store(int64(l.roster.There(crew.Trainer, "")))
}

// forgetAsked ends what positions asked for once it is done.
func (l *Lead) forgetAsked(t *show.Transport) {
	for _, m := range l.roster.Asking() {
		g := l.cfg.Plan.Group(show.Group{By: show.LanesByPosition, Name: m.Role.Position})
		if g >= 0 && t.GroupDown(g) && l.roster.StoodDown(m.Role.Position) {
			l.sent.crewChanged = true
		}
	}
	asks := crew.AskWords(l.roster.Asking())
	l.cfg.Gate.asks.Store(&asks)
}

// downs is a number that changes when a position is stood down or brought back.
func (l *Lead) downs(t *show.Transport) (n int) {
	for g, group := range l.cfg.Plan.Groups {
		if group.By == show.LanesByPosition && t.GroupDown(g) {
			n += 1 + g*g
		}
	}
	return n
}

// state is how the run stands.
func (l *Lead) state(s *deck.Snapshot) *State {
	t, now := &s.Transport, time.Now()
	at := s.Wall.Sub(l.began)
	l.sent.n++
	st := &State{N: l.sent.n, At: at, State: t.State().String(), For: max(0, now.Sub(s.Since)), Hold: l.roster.Hold(),
		Heard: int64(t.Heard()), Ahead: int64(max(t.Heard(), s.Rendered)), Speed: s.Speed, Nudge: t.Asked(), Gone: t.Next(),
		Forbids: l.roster.Forbids(), Why: s.Why, Over: s.Done, Calls: l.sent.calls}
	if s.Sounds != nil {
		sounds := int64(*s.Sounds)
		st.Sounds = &sounds
	}
	for _, g := range s.Unheard {
		st.Mute = append(st.Mute, g.Name)
	}
	if !s.ResumesAt.IsZero() {
		st.Resumes = s.ResumesAt.Sub(l.began)
	}
	st.Wait, st.Made = waitOf(s, now)
	for _, m := range l.roster.Waiting() {
		st.Waits = append(st.Waits, m.Name)
	}
	for _, m := range l.roster.Members() {
		if m.Struck && !m.Gone {
			st.Struck = append(st.Struck, m.Name)
		}
		if m.Asks {
			st.Asks = append(st.Asks, m.Name)
		}
	}
	l.sent.up = t.StillUp(s.Stopped(now), l.sent.up[:0])
	st.Unknown = t.Unknown(s.Stopped(now))
	st.Up = len(l.sent.up) + st.Unknown
	if len(l.sent.up) > 0 {
		st.Clear = l.sent.up[0].Clear.At(l.cfg.Plan.Rate)
	}
	return st
}

// tellCrew tells who is there, on the wire and on the console.
func (l *Lead) tellCrew(now time.Duration) {
	c := &Crew{}
	for _, m := range l.roster.Members() {
		if m.Gone && m.Objects == "" {
			continue
		}
		line := Line{Name: m.Name, Role: m.Role.String(), Ready: m.Ready, Answer: l.roster.AnswerOf(m), Objects: m.Objects, Bound: m.Bound, Struck: m.Struck, Asks: m.Asks}
		if line.Answer == crew.Answered {
			line.After = m.After
		}
		if m.Lost || m.Gone {
			line.Lost = max(1, now-m.Heard)
		}
		c.Lines = append(c.Lines, line)
	}
	l.setBoard(c)
	l.send(toAll+string(crew.SeesCrew), c)
}

// tellCues tells the cues to come: all to those who see all, and each position its
// own.
func (l *Lead) tellCues(s *deck.Snapshot) {
	l.send(toAll+string(crew.SeesAll), l.cuesOf(s, -1))
	made := map[string]*Cues{}
	for _, m := range l.roster.Members() {
		if m.Gone || !m.Role.Kind.Sees(crew.SeesOwn) {
			continue
		}
		c := made[m.Role.Position]
		if c == nil {
			c = l.cuesOf(s, l.cfg.Plan.Group(show.Group{By: show.LanesByPosition, Name: m.Role.Position}))
			made[m.Role.Position] = c
		}
		own := *c
		own.Ready = m.Ready
		l.send(toMember+m.ID+"."+string(crew.SeesOwn), &own)
	}
}

// before is for how long a cue that has been lit is still told.
const before = 10 * time.Second

// cuesOf are the cues of a group, or of all with -1: those lit of late and those to
// come.
func (l *Lead) cuesOf(s *deck.Snapshot, group int) *Cues {
	t, p := &s.Transport, l.cfg.Plan
	since := t.Heard() - timebase.FrameAt(before, p.Rate)
	c := &Cues{}
	for i := l.firstOf(t, since); i < len(p.Cues); i++ {
		if group >= 0 && !p.In(i, group) || t.Out(i) {
			continue
		}
		if i >= t.Next() {
			c.Left++
		}
		if len(c.List) < MaxCues {
			c.List = append(c.List, l.cfg.cue(t, i))
		}
	}
	return c
}

// cue is cue i of the plan, as it is told.
func (c *Config) cue(t *show.Transport, i int) Cue {
	cue := c.Cues[c.Plan.Cues[i].List]
	return Cue{ID: cue.ID, Position: cue.Position, Effect: cue.Effect, Lit: int64(t.FiresAt(i)),
		Seen: int64(t.EffectAt(i)), Down: t.Down(i), Committed: i < t.Committed(), Fired: i < t.Next()}
}

// firstOf is the first cue that was lit no earlier than that frame, of the four before
// the next.
func (l *Lead) firstOf(t *show.Transport, since timebase.Frame) int {
	i := t.Next()
	for i > 0 && t.Next()-i < 4 && t.FiresAt(i-1) >= since {
		i--
	}
	return i
}

// sayGoodbye tells everybody that the lead leaves.
func (l *Lead) sayGoodbye() {
	st := l.state(l.cfg.Run.Snapshot())
	st.Over = true
	l.send(toAll+string(crew.SeesState), st)
	l.conn.FlushTimeout(200 * time.Millisecond)
}
