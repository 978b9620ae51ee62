package console

import (
	"fmt"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/timebase"
	"drylane/show/words"
)

// facts are what can be said of a run, at one look.
type facts struct {
	now   time.Time
	state show.State
	since time.Time     // when the state began
	heard time.Duration // of the music
	hint  string        // what can be done now

	message deck.Message
	again   string // what would be done if it were asked for again
	until   time.Time
	radio   []deck.RadioCall
	bangs   []string // where something has gone off in the hold
	calls   []string // call marks that were passed since the look before

	nudge  time.Duration // asked for
	after  string        // the cue behind which it is in force; empty where it is
	counts int           // seconds to the resume; 0 for none
	keep   string        // the key that keeps the hold
	goOn   string        // the key that goes on

	checklist []string
	ticked    int
	up        bool   // the list has something up, or cannot tell
	sky       string // what is up
	due       string // what was due at the stop
	resumes   string // from where, with which cue
	stopped   string // why it still cannot be armed, for who has been told all of it; empty where that is no shorter

	standing [slotCount]string
}

// A slot is something that is so for a while.
type slot int

const (
	slotLost slot = iota
	slotLink
	slotAnswers
	slotRefused
	slotAsks
	slotLog
	slotDisk
	slotStops
	slotClose
	slotOver
	slotOutput
	slotListening
	slotCalls
	slotDue
	slotDry
	slotLock
	slotTaps
	slotBoard
	slotReady
	slotWait
	slotIn
	slotLoaded
	slotFollow
	slotCount
)

// facts takes what can be said now.
func (p *Spoken) facts() facts {
	s, t := p.snap, &p.snap.Transport
	f := facts{
		now: p.now, state: t.State(), since: s.Since, heard: p.heard().At(p.Plan.Rate), hint: p.hint(),
		again: p.askedOnce(), until: s.Again.Until, radio: s.Radio, counts: p.counting(), keep: p.keyName(actHold), goOn: p.keyName(actGo),
		nudge: t.Asked(), checklist: p.Show.Console.Checklist, ticked: s.Ticked, up: p.upByList(), sky: p.skyText(), due: p.dueAtStop(),
		standing: p.standing(), stopped: p.stillStopped(),
	}
	if p.said() {
		f.message = s.Message
	}
	if _, after := t.InForce(); after >= 0 {
		f.after = p.cue(after).ID
	}
	for _, l := range s.Late {
		f.bangs = append(f.bangs, p.cue(l.Cue).Position)
	}
	if f.state == show.Held {
		f.resumes = fmt.Sprintf("Resumes at %s, cue %s first.", timebase.ClockMillis(t.Heard().At(p.Plan.Rate)), p.nextID())
		if count, ok := p.calls.InCount(t); ok {
			f.resumes = "INSIDE THE COUNT for cue " + count.Cue + ". " + f.resumes
		}
	}
	if was := p.told.facts; f.state == show.Running && was.state == show.Running {
		f.calls = p.callsIn(was.heard, f.heard)
	}
	return f
}

// stopLine is all that forbids arming; empty when nothing does.
func (p *Spoken) stopLine() string {
	if s := p.snap; s.Transport.State() == show.Safe && len(s.Stops) > 0 {
		return deck.CannotArm(s.Stops)
	}
	return ""
}

// stillStopped is the first of several stops, and how all of them are told again.
func (p *Spoken) stillStopped() string {
	n := len(p.snap.Stops) - 1
	if n < 1 {
		return ""
	}
	return fmt.Sprintf("%s; and %d more: %s tells all", deck.CannotArm(p.snap.Stops[:1]), n, p.keyName(actZoomAll))
}

// standing is what is so now, by slot; empty for what is not.
func (p *Spoken) standing() (is [slotCount]string) {
	s := p.snap
	state := s.Transport.State()
	if s.Lost {
		is[slotLost] = "NO SOUND. " + strings.TrimPrefix(p.lostText(), "DEVICE LOST: ")
	}
	is[slotLink], is[slotAnswers], is[slotRefused], is[slotAsks] = p.linkLine(), p.answerLine(), p.refusedLine(), p.asksLine()
	switch {
	case s.LogErr != nil:
		is[slotLog] = "NOT LOGGED: " + s.LogErr.Error() + "; the run goes on"
	case p.moved != "":
		is[slotLog] = "LOG VANISHED: the whole session goes on in " + p.moved
	}
	switch {
	case s.Unwritten:
		is[slotDisk] = "NOT YET ON DISK: the disk takes nothing"
	case s.DiskBehind >= time.Second:
		is[slotDisk] = "DISK BEHIND: events are written and not yet safe from a power cut"
	}
	is[slotStops] = p.stopLine()
	is[slotClose] = p.tooClose
	if s.Over {
		is[slotOver] = "OVER: " + p.keyName("quit") + " shows the debrief, the score last"
	}
	is[slotOutput] = p.outputLine()
	if s.Listening != "" {
		is[slotListening] = "NOT THE MUSIC: " + s.Listening
	}
	is[slotCalls] = p.callsOff()
	if state == show.Armed || state == show.Held {
		is[slotDue] = p.together()
	}
	if s.Underruns > 0 {
		is[slotDry] = "RAN DRY " + words.Times(s.Underruns) + ": the clock waited for the sound device"
	}
	if p.Lock != nil && (state == show.Safe || state == show.Armed) {
		is[slotLock] = "Lock: " + p.Lock()
	}
	if p.snap.Ready != nil && state == show.Safe {
		is[slotReady] = "GO OR NO-GO: " + p.snap.Ready.Count()
		if i := p.snap.Ready.Next(); i >= 0 && p.readyUp() {
			who := p.snap.Ready.Lines()[i].Who
			is[slotReady] += ". Next: " + who
			if crew, _ := p.crewReady(who); crew != "" {
				is[slotReady] += ". " + crew
			}
		}
	}
	is[slotLoaded] = p.loadedLine()
	is[slotWait], is[slotIn] = p.safeLines()
	if f := p.follows(); f != nil {
		is[slotFollow] = codeState(f)
	}
	if p.boardUp() {
		is[slotBoard] = "FIELD: " + p.answering()
	}
	if p.drift.any() && state != show.Safe {
		text, _ := p.drift.short(s.Transport.Asked())
		is[slotTaps] = "Taps: " + text
	}
	return is
}

// loadedLine says, once a run has been re-entered, what is still loaded.
func (p *Spoken) loadedLine() string {
	t := &p.snap.Transport
	if !t.Reentered() {
		return ""
	}
	list := t.Loaded(nil)
	if len(list) == 0 {
		return ""
	}
	return p.loadedText(list, spokenRoom)
}

// spokenRoom is how long a line may be that names cues, in columns.
const spokenRoom = 78

// outputLine says what the run sounds on; nothing while there is none.
func (p *Spoken) outputLine() string {
	switch s := p.snap; {
	case s.Lost:
		return ""
	case s.Follow != nil:
		return "No sound here: " + s.Follow.Name
	case s.Silent:
		return "SILENT CLOCK: no sound device"
	case s.Soundless:
		return "SILENT, as asked for"
	default:
		return "Sound: " + s.Output
	}
}

// A callMark is a moment at which a position that a person calls is to be warned.
type callMark struct {
	at   time.Duration // of the soundtrack
	post string
	cues []string
	lead time.Duration // to the first word
}

// callMarks are the warnings of the call plan that no track speaks, by position.
func callMarks(s *show.Show) (marks []callMark) {
	for _, post := range callplan.Posts(s) {
		if post.Track != "" {
			continue
		}
		for _, series := range post.Plan {
			if series.Ahead == 0 {
				continue
			}
			m := callMark{at: series.Begin(), post: post.Position, lead: series.Ahead}
			for _, c := range series.Cues() {
				m.cues = append(m.cues, c.ID)
			}
			marks = append(marks, m)
		}
	}
	return marks
}

// callsIn says which calls are due from one moment of the music to another. A person
// who calls follows the nudge.
func (p *Spoken) callsIn(from, to time.Duration) (lines []string) {
	nudge := p.snap.Transport.Asked()
	for _, m := range p.marks {
		if at := m.at - nudge; at <= from || at > to || p.positionDown(m.post) {
			continue
		}
		lines = append(lines, fmt.Sprintf("STAND BY %s: %s in %.0f s", m.post, words.Range("cue", len(m.cues), m.cues[0], m.cues[len(m.cues)-1]), m.lead.Seconds()))
	}
	return lines
}

// positionDown reports whether a position is stood down.
func (p *Spoken) positionDown(name string) bool {
	g := p.Plan.Group(show.Group{By: show.LanesByPosition, Name: name})
	return g >= 0 && p.snap.Transport.GroupDown(g)
}

// withoutStop takes the full stop from the end of a text, so that another may follow.
func withoutStop(s string) string { return strings.TrimSuffix(strings.TrimSpace(s), ".") }
