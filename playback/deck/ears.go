package deck

import (
	"math"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// A Companion is a track of the show that can be listened to in place of the
// music or beside it. Its frames are those of the music.
type Companion struct {
	Name string
	// Open returns it as a stream at Plan.Rate that nothing else reads. It may
	// take seconds, and is called in a goroutine of its own.
	Open func() (beep.StreamSeeker, error)
	// Stream is what Open would return, if it has been opened already.
	Stream beep.StreamSeeker
	// Calls are the positions whose calls are on its left and its right; empty
	// where there are none.
	Calls [2]string
}

// ears are what the first output plays: the music or a companion in its place.
type ears struct {
	list    []Companion
	opening int    // companion that is wanted and being opened, from 1 on; 0 for none
	swaps   []swap // in order, at least crossfade apart; never empty
}

// A swap makes a source (0 for the music, else 1 + the companion's index) the
// one to be heard from a frame on. It is a place in the music, not in time: what
// is rendered again after a hold comes out the same.
type swap struct {
	at timebase.Frame
	to int
}

// crossfade is how long one source takes to give way to the next.
const crossfade = 10 * time.Millisecond

func newEars(list []Companion, first int) ears {
	return ears{list: list, swaps: []swap{{math.MinInt64, first}}}
}

func (e *ears) name(source int) string {
	if source == 0 {
		return ""
	}
	return e.list[source-1].Name
}

// next is the source that the latest swap leads to.
func (e *ears) next() int { return e.swaps[len(e.swaps)-1].to }

// at returns the source that is heard at frame f.
func (e *ears) at(f timebase.Frame) int {
	to := e.swaps[0].to
	for _, s := range e.swaps[1:] {
		if s.at <= f {
			to = s.to
		}
	}
	return to
}

// settle makes the latest swap hold from the start.
func (e *ears) settle() { e.swaps = []swap{{math.MinInt64, e.next()}} }

// forget drops the swaps that are over before frame f.
func (e *ears) forget(f timebase.Frame) {
	for len(e.swaps) > 1 && e.swaps[1].at < f {
		e.swaps = e.swaps[1:]
	}
}

// A mix is how the sources are joined from some frame on, for at most n frames:
// to alone, or from giving way to it. since counts the frames of the crossfade
// that are over.
type mix struct {
	to, from int // from is -1 where there is no crossfade
	since, n int
}

func (e *ears) mix(f timebase.Frame, n, length int) mix {
	m := mix{to: e.swaps[0].to, from: -1, n: n}
	for _, s := range e.swaps[1:] {
		switch since := f - s.at; {
		case since < 0:
			m.n = min(m.n, int(-since))
			return m
		case since < timebase.Frame(length):
			m = mix{s.to, m.to, int(since), min(n, length-int(since))}
		default:
			m = mix{to: s.to, from: -1, n: n}
		}
	}
	return m
}

// fadeOver lets a part of one source give way to the same part of another,
// along half a cosine of length frames of which since are over: into = to.
func fadeOver(to, from [][2]float64, since, length int) {
	for i := range to {
		g := 0.5 - 0.5*math.Cos(math.Pi*(float64(since+i)+0.5)/float64(length))
		for c := range 2 {
			to[i][c] = g*to[i][c] + (1-g)*from[i][c]
		}
	}
}

// Listen makes the first output go over to a source, 0 for the music or 1 + the
// index of a companion. It returns at once. Safe to call from any goroutine.
func (d *Deck) Listen(source int) { d.inbox.put(request{listen: &source}) }

// listenTo is Listen for the loop. A companion that is not open yet is opened
// elsewhere, and then asked for again.
func (d *Deck) listenTo(source int) {
	e := &d.ears
	if source < 0 || source > len(e.list) {
		return
	}
	e.opening = 0
	if source > 0 && e.list[source-1].Stream == nil {
		e.opening = source
		d.say(Plain, e.name(source)+" is being made ready")
		go func(open func() (beep.StreamSeeker, error)) {
			s, err := open()
			d.inbox.put(request{opened: &opened{source, s, err}})
		}(e.list[source-1].Open)
		return
	}
	if source == e.next() {
		return
	}
	at := d.rendered
	if d.t.State() == show.Running {
		if last := e.swaps[len(e.swaps)-1]; len(e.swaps) > 1 {
			at = max(at, last.at+timebase.FrameAt(crossfade, d.plan.Rate))
		}
		e.swaps = append(e.swaps, swap{at, source})
	} else {
		e.swaps = []swap{{math.MinInt64, source}}
	}
	from := int64(at)
	d.say(Plain, d.tell(show.ByShooter, session.KindListening, session.Data{Track: e.name(source), At: &from}))
}

// openCompanions opens all that are not open yet, one after the other: to make
// one ready takes work that should be over when the music begins.
func (d *Deck) openCompanions() {
	go func(list []Companion) {
		for i, c := range list {
			if c.Stream == nil {
				s, err := c.Open()
				d.inbox.put(request{opened: &opened{i + 1, s, err}})
			}
		}
	}(slices.Clone(d.ears.list))
}

// opened is a companion that has been opened.
type opened struct {
	source int
	stream beep.StreamSeeker
	err    error
}

func (d *Deck) openedCompanion(o *opened) {
	if o.err != nil {
		if d.ears.opening == o.source { // else nobody has asked for it yet
			d.say(Alarm, d.ears.name(o.source)+" cannot be heard: "+o.err.Error())
			d.ears.opening = 0
		}
		return
	}
	if c := &d.ears.list[o.source-1]; c.Stream == nil { // else it was asked for twice
		c.Stream = o.stream
	}
	if d.ears.opening == o.source {
		d.listenTo(o.source)
	}
}

// play fills part with the frames from on of a source. The music comes with the
// cues' bangs; fewer frames are returned where it breaks off. Nothing but the
// music can hold the show: where a companion breaks there is silence.
func (d *Deck) play(source int, part [][2]float64, from timebase.Frame) [][2]float64 {
	if source > 0 {
		c := &d.ears.list[source-1]
		if err := read(c.Stream, part, from); err != nil && !d.broken[source] {
			d.broken[source] = true
			d.tellUnreadable(c.Name, err)
		}
		d.muteSides(c, part)
		return part
	}
	music := 0
	if from < d.plan.Length {
		want := min(len(part), int(d.plan.Length-from))
		music = d.playMusic(part[:want], from)
		if music < want {
			d.musicEnd = from + timebase.Frame(music)
			part = part[:music]
		}
	}
	d.muteMusic(part[:music])
	clear(part[music:]) // after the end of the music the last effects play out in silence
	d.voices.MixInto(part, from, d.gain)
	return part
}

// playMusic reads the soundtrack and returns how much of it there was.
func (d *Deck) playMusic(part [][2]float64, from timebase.Frame) (n int) {
	m := d.cfg.Music
	if timebase.Frame(m.Position()) != from && m.Seek(int(from)) != nil {
		return 0
	}
	for n < len(part) {
		k, ok := m.Stream(part[n:])
		n += k
		if !ok {
			break
		}
	}
	return n
}

// read fills part with the frames from on of a companion: silence where it has
// none.
func read(s beep.StreamSeeker, part [][2]float64, from timebase.Frame) error {
	n := 0
	defer func() { clear(part[n:]) }()
	want := max(0, min(len(part), s.Len()-int(from)))
	if want > 0 && timebase.Frame(s.Position()) != from {
		if err := s.Seek(int(from)); err != nil {
			return err
		}
	}
	for n < want {
		k, ok := s.Stream(part[n:want])
		n += k
		if !ok {
			return s.Err()
		}
	}
	return nil
}
