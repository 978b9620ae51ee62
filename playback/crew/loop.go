package crew

import (
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/session"
)

// loop is the lead's: it alone has the roster. It never waits for a member, and the
// run never for it.
func (l *Lead) loop() {
	defer l.wg.Done()
	t := time.NewTicker(tick)
	defer t.Stop()
	for {
		select {
		case <-l.closing:
			l.sayGoodbye()
			return
		case <-l.holds.wake:
		case m := <-l.in:
			l.take(m)
		case <-t.C:
			l.happened(l.roster.Look(l.now()), Deed{})
		}
		l.holds.take(time.Now(), l.callHold)
		l.strikeOff()
		l.followHold()
		l.tell()
	}
}

// callHold hands a HOLD on to the run.
func (l *Lead) callHold(id string, data []byte, at time.Time) {
	m := l.roster.Of(id)
	var d Deed
	if parse(data, &d) != nil {
		d = Deed{} // a HOLD without a reason that can be read is a HOLD
	}
	if m == nil || m.Gone { // nobody has said who is at that machine
		l.send(toMember+id+"."+answer, &Answer{Deed: crew.Hold, Call: d.Call, Refused: errOut.Error()})
		return
	}
	l.heardOf(id, l.now())
	if d.Call == 0 || d.Call > l.calls[id] { // else it was handed on, and the shooter may have resumed since
		l.calls[id] = d.Call
		by := show.ByCrew
		if m.Role.Kind == crew.Trainer { // which answers nothing that the trainee is asked
			by = show.ByInstructor
		}
		l.cfg.Run.CallHold(by, m.Name, crew.CleanWords(d.Text), show.NoCause, at)
		l.sent.calls++
	}
	l.send(toMember+id+"."+answer, &Answer{Deed: crew.Hold, Call: d.Call})
}

// strikeOff strikes off whom the shooter wants to.
func (l *Lead) strikeOff() {
	for _, name := range l.cfg.Gate.struck() {
		events, err := l.roster.StrikeOff(name)
		if err != nil {
			l.log(crew.Event{What: crew.WasRefused, Member: crew.Member{Name: name}}, session.Data{Text: err.Error()})
		}
		l.happened(events, Deed{})
	}
}

// heardOf notes that a machine is there.
func (l *Lead) heardOf(id string, at time.Duration) {
	if m := l.roster.Of(id); m != nil {
		events, _ := l.roster.HeardOf(id, 0, m.Bound, at)
		l.happened(events, Deed{})
	}
}

// followHold numbers the holds of the run: also one that comes so soon after a resume
// that no look fell between.
func (l *Lead) followHold() {
	s := l.cfg.Run.Snapshot()
	held := s.Transport.State() == show.Held
	if !held || !s.Since.Equal(l.held) {
		l.roster.Over()
	}
	if held && l.roster.Hold() == 0 {
		l.held = s.Since
		l.roster.Called(s.Since.Sub(l.began))
	}
	l.cfg.Gate.unheard.Store(int64(len(l.roster.Waiting())))
}

// take does what a message asks for.
func (l *Lead) take(m message) {
	if m.deed == wrong {
		l.tellWrong(m.id, int(m.at))
		return
	}
	if l.flood.count(m.id, m.at) == mostASec { // once
		l.door.sendAway(m.id)
		l.log(crew.Event{What: crew.WasRefused, Member: l.memberOf(m.id)}, session.Data{Text: "sends far too much, and was sent away"})
		return
	}
	switch m.deed {
	case hello:
		l.welcome(m)
	case clock:
		var a Ask
		if parse(m.data, &a) == nil {
			was := l.roster.AnswerOf(l.memberOf(m.id))
			events, _ := l.roster.HeardOf(m.id, a.Hold, max(0, a.Bound), m.at)
			l.happened(events, Deed{})
			if l.roster.AnswerOf(l.memberOf(m.id)) != was { // its machine shows the hold now
				l.sent.crewChanged = true
			}
		}
	default:
		l.do(m)
	}
}

// memberOf is the member at a machine, or one without a name.
func (l *Lead) memberOf(id string) crew.Member {
	if m := l.roster.Of(id); m != nil {
		return *m
	}
	return crew.Member{ID: id}
}

// happened logs what happened in the crew, and holds the run where somebody is lost
// whom it cannot go on without. d is what led to it.
func (l *Lead) happened(events []crew.Event, d Deed) {
	for _, e := range events {
		l.log(e, l.when(d))
		running := l.cfg.Run.Snapshot().Transport.State() == show.Running
		if e.What == crew.IsLost && running && crew.Holds(l.cfg.Lost, e.Member.Role.Kind) {
			l.cfg.Run.CallHold(show.ByEngine, e.Member.Name, "", show.CauseCrewLost, time.Now())
		}
	}
	if len(events) > 0 {
		l.sent.crewChanged, l.sent.cues = true, -cuesEvery
		l.cfg.Gate.forbid(l.forbids())
	}
}

// forbids says why the run must not go on: somebody refuses it, or is lost whom the
// show cannot go on without.
func (l *Lead) forbids() string {
	why := l.roster.Forbids()
	for _, m := range l.roster.Lost() {
		if crew.Holds(l.cfg.Lost, m.Role.Kind) {
			if why != "" {
				why += "; "
			}
			why += show.NothingHeardOf(m.Name) + " (" + m.Role.Words() + ")"
		}
	}
	return why
}

// when is what a member's machine says of when it was, as far as it can be true: not
// after it came here.
func (l *Lead) when(d Deed) session.Data {
	if d.At <= 0 || d.At > l.now()+max(0, d.Bound) {
		return session.Data{}
	}
	at := l.began.Add(d.At).Round(0)
	return session.Data{When: &at, BoundNS: int64(max(0, d.Bound))}
}

// log puts an event into the log of the run.
func (l *Lead) log(e crew.Event, d session.Data) {
	d.Crew, d.Member, d.Was, d.AfterNS, d.Hold = e.What, e.Member.Name, e.Was, int64(e.After), e.Hold
	if e.Member.Role.Kind != "" {
		d.Role = e.Member.Role.String()
	}
	if e.Why != "" {
		d.Text = e.Why
	}
	if e.What == crew.HasJoined {
		s := l.seats[e.Member.ID]
		d.Place, d.Habit = s.place, s.habit
	}
	l.cfg.Run.LogCrew(d)
}

// tellWrong logs a wrong code, and not each of a hundred.
func (l *Lead) tellWrong(from string, n int) {
	l.sent.wrong, l.sent.wrongFrom, l.sent.wrongAt = l.sent.wrong+1, from, time.Now()
	l.sent.crewChanged = true
	if n <= freeTries || n%100 == 0 {
		l.log(crew.Event{What: crew.WrongCode}, session.Data{Text: wrongWords(from, n)})
	}
}
