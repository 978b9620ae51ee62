package crew

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/session"
	"drylane/show/timebase"
)

// welcome lets the person at a machine in, or says why not.
func (l *Lead) welcome(m message) {
	role, events, err := l.join(m)
	if err != nil {
		var h Hello
		parse(m.data, &h) // as far as it reads
		l.log(crew.Event{What: crew.WasRefused, Member: crew.Member{ID: m.id, Name: h.Name, Role: role}}, session.Data{Text: err.Error()})
		l.send(toMember+m.id+"."+welcome, &Welcome{Version: Version, Refused: err.Error()})
		return
	}
	l.happened(events, Deed{})
	l.greet(m.id)
	l.sent.anew()
	if role.Kind == crew.Trainer {
		l.trainers.came(m.id)
	}
}

// greet tells a member what is rehearsed, and as whom they are in.
func (l *Lead) greet(id string) {
	m, p := l.roster.Of(id), l.cfg.Plan
	l.send(toMember+id+"."+welcome, &Welcome{Version: Version, Program: l.cfg.Program, Title: l.cfg.Title, Drill: l.cfg.Drill,
		Name: m.Name, Role: m.Role.String(), Rate: p.Rate, Length: p.Length.At(p.Rate), Cues: l.toldOf(m.Role), Copy: l.cfg.Copy, Place: l.seats[id].place})
}

// join does what a hello asks for.
func (l *Lead) join(m message) (role crew.Role, events []crew.Event, err error) {
	var h Hello
	if err := parse(m.data, &h); err != nil {
		return role, nil, err
	}
	if h.Version != Version {
		return role, nil, fmt.Errorf("found version %d of what is spoken; wanted %d: take the same drylane on both machines", h.Version, Version)
	}
	if role, err = crew.ParseRole(h.Role); err != nil {
		return role, nil, err
	}
	switch kind, known := l.door.kindOf(m.id); {
	case !known || kind != role.Kind:
		return role, nil, fmt.Errorf("found the role %s; wanted that of the code, which is for %s", role, kind)
	case role.Kind == crew.Position && l.cfg.Plan.Group(show.Group{By: show.LanesByPosition, Name: role.Position}) < 0:
		return role, nil, fmt.Errorf("no cue has the position %q; wanted one of the show", role.Position)
	}
	if role.Kind == crew.Trainer {
		if l.roster.There(crew.Trainer, m.id) >= MaxTrainers {
			return role, nil, fmt.Errorf("%d trainers are there already; wanted one to leave", MaxTrainers)
		}
		if h.Name == "" { // one at this machine, who was not asked for a name
			h.Name = l.roster.FreeName("Trainer")
		}
	}
	s, err := l.seat(role, &h)
	if err != nil {
		return role, nil, err
	}
	was := l.seats[m.id]
	l.seats[m.id] = s
	if events, err = l.roster.Join(m.id, h.Name, role, m.at); err != nil {
		l.seats[m.id] = was
	}
	return role, events, err
}

// kindOf is the kind of role that a machine was let in as.
func (d *door) kindOf(id string) (crew.Kind, bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	g := d.known[id]
	if g == nil {
		return "", false
	}
	return g.kind, true
}

// toldOf is how many cues somebody of that role is told of.
func (l *Lead) toldOf(r crew.Role) int {
	switch {
	case r.Kind.Sees(crew.SeesAll):
		return len(l.cfg.Plan.Cues)
	case r.Kind.Sees(crew.SeesOwn):
		n, g := 0, l.cfg.Plan.Group(show.Group{By: show.LanesByPosition, Name: r.Position})
		for i := range l.cfg.Plan.Cues {
			if l.cfg.Plan.In(i, g) {
				n++
			}
		}
		return n
	}
	return 0
}

// errOut is the error of a deed of somebody who is not in the crew, or not any more.
var errOut = errors.New("you are not in the crew: leave, and join again")

// errMayNot is the error of a deed that is not for that role. The server has stopped
// it before; here it is stopped once more.
var errMayNot = errors.New("that is not for this role")

// do does a deed of a member and answers.
func (l *Lead) do(m message) {
	var d Deed
	err := parse(m.data, &d)
	who := l.roster.Of(m.id)
	if who == nil || who.Gone {
		if m.deed != crew.Leave {
			l.answer(m.id, m.deed, "", errOut)
		}
		return
	}
	if err == nil && !who.Role.Kind.May(m.deed) {
		err = errMayNot
	}
	what := ""
	if err == nil {
		l.heardOf(m.id, m.at)
		if m.deed == crew.Radio || m.deed == crew.Fault {
			what, err = l.instruct(m, *who, d)
		} else {
			err = l.deed(m, *who, d)
		}
	}
	l.answer(m.id, m.deed, what, err)
}

// deed does a deed that has been found to be for the role.
func (l *Lead) deed(m message, who crew.Member, d Deed) (err error) {
	var events []crew.Event
	r := &l.roster
	switch m.deed {
	case crew.Acknowledge:
		events, err = r.Acknowledge(m.id, d.Hold, done(m, d))
	case crew.Rename:
		if events, err = r.Rename(m.id, d.Text, m.at); len(events) > 0 {
			l.greet(m.id)
		}
	case crew.Leave:
		events, err = r.Leave(m.id, m.at)
	case crew.Ready, crew.Unready:
		events, err = r.SetReady(m.id, m.deed == crew.Ready, m.at)
	case crew.Object:
		events, err = r.Refuse(m.id, d.Text, m.at)
	case crew.Allow:
		events, err = r.Allow(m.id, m.at)
	case crew.StandDown:
		events, err = l.askDown(m, who, d)
	case crew.Withdraw:
		events, err = r.Withdraw(m.id, m.at)
	default:
		return l.noted(m, who, d)
	}
	l.happened(events, d)
	return err
}

// done is when a member did something, by the shared clock as far as it can be true: not
// after it came here.
func done(m message, d Deed) time.Duration {
	if d.At <= 0 {
		return m.at
	}
	return min(d.At, m.at)
}

// askDown takes a position's wish to be stood down, unless it is already.
func (l *Lead) askDown(m message, who crew.Member, d Deed) ([]crew.Event, error) {
	t, position := &l.cfg.Run.Snapshot().Transport, who.Role.Position
	if g := l.cfg.Plan.Group(show.Group{By: show.LanesByPosition, Name: position}); g >= 0 && t.GroupDown(g) {
		return nil, fmt.Errorf("%s is stood down already", position)
	}
	return l.roster.AskDown(m.id, d.Text, m.at)
}

// noted logs what a member tells, which changes nothing in the run by itself.
func (l *Lead) noted(m message, who crew.Member, d Deed) error {
	data, what := l.when(d), crew.HasNoted
	data.Text = crew.CleanWords(d.Text)
	switch m.deed {
	case crew.Seen, crew.Missing:
		i, err := l.toTellOf(who.Role, d.Cue)
		if err != nil {
			return err
		}
		data.Cue, data.Index, data.Text = d.Cue, &i, ""
		if what, data.Saw = crew.HasSeen, show.SeenOrHeard; m.deed == crew.Missing {
			what, data.Saw = crew.HasMissed, show.DidNotGo
		}
	case crew.Tap:
		what = crew.HasTapped
		at, ok := l.frameAt(d)
		if !ok {
			return errors.New("taps count while the music runs and the clock is known")
		}
		frame := int64(at)
		data.At = &frame
		l.hearTap(heardTap{m.id, who.Name, at, l.cfg.Run.Snapshot().Transport.Asked(), max(0, d.Bound)})
	case crew.Note:
		if data.Text == "" {
			return errors.New("found no words; wanted a remark")
		}
	default:
		return errMayNot
	}
	l.log(crew.Event{What: what, Member: who}, data)
	return nil
}

// toTellOf is the cue of that name, in the plan, for somebody who saw what it did: of their
// own position where they have one, and commanded, as others are still loaded.
func (l *Lead) toTellOf(r crew.Role, id string) (int, error) {
	i := slices.IndexFunc(l.cfg.Plan.Cues, func(c show.PlanCue) bool { return l.cfg.Cues[c.List].ID == id })
	if i < 0 || r.Kind == crew.Position && l.cfg.Cues[l.cfg.Plan.Cues[i].List].Position != r.Position {
		return i, fmt.Errorf("found the cue %q; wanted one that is yours to tell of", id)
	}
	if !l.cfg.Run.Commanded(i) {
		return i, fmt.Errorf("cannot say that of cue %s: %w", show.Clean(id), show.ErrNotCommanded)
	}
	return i, nil
}

// frameAt is the frame that was heard here when a member did something.
func (l *Lead) frameAt(d Deed) (timebase.Frame, bool) {
	s := l.cfg.Run.Snapshot()
	if s.Transport.State() != show.Running || d.At <= 0 || d.At > l.now()+d.Bound {
		return 0, false
	}
	at := l.began.Add(d.At)
	if at.Before(s.Since) {
		return 0, false
	}
	// HeardAt is for stamps near the snapshot, which this one need not be.
	back := s.Wall.Sub(at)
	if back <= 0 {
		return s.HeardAt(at), true
	}
	heard := s.Transport.Heard() - timebase.FrameAt(min(back, s.Wall.Sub(s.Since)), s.Transport.Plan().Rate)
	return max(0, heard), true
}

// instruct does what a trainer asks for in a drill, and says in words what that is.
func (l *Lead) instruct(m message, who crew.Member, d Deed) (string, error) {
	if l.cfg.Drill == "" {
		return "", errors.New("this is no drill, and nothing goes wrong in it")
	}
	if l.asked.count(m.id, m.at) > mostSteps {
		return "", fmt.Errorf("found more than %d things asked for in a second; wanted one after the other", mostSteps)
	}
	step, err := d.step(m.deed, l.cfg.Plan)
	if err != nil {
		return "", err
	}
	from := l.when(d)
	from.Member, from.Role = who.Name, who.Role.String()
	l.cfg.Run.Instruct(step, from)
	return asked(step), nil
}
