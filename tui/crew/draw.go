package crew

import (
	"fmt"
	"slices"
	"strings"
	"time"

	link "drylane/playback/crew"
	"drylane/show"
	"drylane/show/crew"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// View implements tea.Model: it draws what is known of the run.
func (m *Screen) View() string { return m.canvas.Picture(m.Look, m.draw, m.drawTooSmall) }

func (m *Screen) draw(c *screen.Canvas) {
	m.drawBar(c)
	heard, _ := m.view.Heard()
	c.Time(m.lay.Band, heard.At(max(1, m.view.Welcome.Rate)), screen.StateLookOf(m.state()).Clock)
	m.drawLarge(c)
	m.drawFacts(c)
	m.drawBody(c)
	text, style := m.message()
	c.Text(m.lay.message.X+1, m.lay.message.Y, m.lay.message.W-2, text, style)
	m.drawKeys(c)
	switch m.overlay {
	case refuseMenu:
		m.drawReasons(c)
	case keysMenu:
		m.helpTop = c.KeyTable(m.keys.Bindings, nil, "keys", m.helpTop, c.H-2, "any other key goes back")
	}
}

// drawBar says the state of the run, who sits here, and how the link is.
func (m *Screen) drawBar(c *screen.Canvas) {
	v, look := &m.view, screen.StateLookOf(m.state())
	state := fmt.Sprintf("%s %s  for %s", look.Mark, look.Word, screen.ClockText(v.State.For+m.since()))
	switch {
	case v.Over:
		look, state = screen.StateLookOf(show.Ended), "□ THE LEAD HAS ENDED THE RUN"
	case v.Lost:
		state = fmt.Sprintf("× LINK LOST  for %s: held here", screen.ClockText(v.Silent))
	case !v.Came:
		state = "… waiting for the lead"
	}
	c.Fill(m.lay.bar, ' ', look.Bar)
	x := c.Text(1, 0, c.W-2, state, look.Bar)
	who := v.Welcome.Name + ", " + m.Role.Words() + " "
	c.Right(c.W, 0, who, look.Bar)
	if room := c.W - x - screen.Width(who) - 4; room >= screen.Width(v.Welcome.Title) {
		c.Text(x+3, 0, room, v.Welcome.Title, look.Bar)
	}
}

// since is how long ago the state was told, while the link is there.
func (m *Screen) since() time.Duration {
	if m.view.Lost || m.view.Over {
		return 0
	}
	return max(0, m.view.Silent)
}

// drawLarge shows what must be read from a few steps away: the link that is lost, the
// hold, or the countdown to the next cue.
func (m *Screen) drawLarge(c *screen.Canvas) {
	r, word, style := m.lay.large, "", screen.ClockHeld
	switch {
	case m.view.Over:
		word, style = "OVER", screen.ClockOff
	case m.view.Lost:
		word = "LINK LOST"
	case m.state() == show.Held:
		word = "HELD"
	case m.running():
		if cue := m.next(); cue != nil {
			if d := m.view.Until(cue.Lit); d < 100*time.Second {
				c.LargeTime(r, m.lay.Digit, screen.TenthsText(d), screen.ClockRun)
				c.Text(r.X+screen.TimeWidth("00.0", m.lay.Digit)+2, r.Y+r.H-1, r.W-screen.TimeWidth("00.0", m.lay.Digit)-2, "s to cue "+cue.ID, screen.Strong)
				return
			}
		}
		word, style = "RUNS", screen.ClockRun
	default:
		word, style = screen.StateLookOf(m.state()).Word, screen.ClockOff
	}
	for stroke := 3; stroke > 0; stroke-- {
		if screen.LargeWidth(word, stroke) <= r.W || stroke == 1 {
			c.Large(r.X, r.Y, stroke, r.H, word, style)
			return
		}
	}
}

// next is the next cue that this role is told of; nil when there is none.
func (m *Screen) next() *link.Cue {
	for i := range m.view.Cues.List {
		if c := &m.view.Cues.List[i]; !c.Fired && !c.Down {
			return c
		}
	}
	return nil
}

func (m *Screen) drawFacts(c *screen.Canvas) {
	for row, fact := range []func() (string, string, screen.Style){m.factNext, m.factHold, m.factLink} {
		label, text, style := fact()
		r := m.lay.facts
		c.Text(r.X, r.Y+row, 6, label, screen.Quiet)
		c.Text(r.X+7, r.Y+row, r.W-7, text, style)
	}
}

func (m *Screen) factNext() (string, string, screen.Style) {
	switch cue := m.next(); {
	case m.view.Lost:
		return "NEXT", "not known while the link is lost", screen.Alarm
	case !m.Role.Kind.Sees(crew.SeesOwn) && !m.Role.Kind.Sees(crew.SeesAll):
		return "NUDGE", words.Nudge(m.view.State.Nudge), screen.Normal
	case cue == nil:
		return "NEXT", "no more cues", screen.Quiet
	default:
		return "NEXT", screen.Next(max(0, m.view.Until(cue.Lit)), max(0, m.view.Until(cue.Seen)), cue.ID, cue.Position, m.lay.facts.W-7), screen.Strong
	}
}

// factHold says why the run is held and who is awaited, or what is still up.
func (m *Screen) factHold() (string, string, screen.Style) {
	s := &m.view.State
	switch {
	case m.view.Lost:
		return "HOLD", "held here; treat everything as live", screen.Alarm
	case s.Hold > 0 && s.Forbids != "":
		return "RESUME", "refused by " + Refused(s.Forbids), screen.Alarm
	case s.Hold > 0:
		return "HOLD", strings.TrimPrefix(s.Why, "HELD: "), screen.Alarm
	case s.Forbids != "":
		return "RESUME", "refused by " + Refused(s.Forbids), screen.Alarm
	}
	return "SKY", screen.StillUp(s.Up-s.Unknown, s.Clear, s.Unknown), screen.Normal
}

// Refused says who refuses a resume and why, behind a label that says the rest.
func Refused(forbids string) string { return strings.ReplaceAll(forbids, " refuses it", "") }

// factLink says how old the latest word of the lead is, and how well its clock is
// known.
func (m *Screen) factLink() (string, string, screen.Style) {
	v := &m.view
	switch {
	case v.Lost:
		return "LINK", fmt.Sprintf("LOST: nothing heard for %s; it comes back by itself", screen.SpanUp(v.Silent)), screen.Alarm
	case !v.Clocked:
		return "LINK", "there; the lead's clock is not known yet", screen.Caution
	}
	text := "clock " + Within(v.Clock.Bound) + ", round trip " + spanMS(v.Clock.Delay)
	if v.Clock.Bound > 50*time.Millisecond {
		return "LINK", text, screen.Caution
	}
	return "LINK", text, screen.Normal
}

// Within says how well a clock is known, rounded up: within 3 ms.
func Within(d time.Duration) string { return "within " + spanMS(d) }

// spanMS is a short span, rounded up: it is a bound.
func spanMS(d time.Duration) string {
	if d < time.Millisecond {
		return fmt.Sprintf("0.%d ms", min(9, (d+99*time.Microsecond)/(100*time.Microsecond)))
	}
	return fmt.Sprintf("%d ms", (d+time.Millisecond-1)/time.Millisecond)
}

// message says what to do, what was answered, or what is wrong.
func (m *Screen) message() (string, screen.Style) {
	v, k := &m.view, m.keys.Name
	switch {
	case v.Over:
		return "the run is over; " + k(screen.ActQuit) + " leaves", screen.Strong
	case m.overlay == refuseMenu:
		return "why is a resume refused? a digit says so, any other key goes back", screen.Dialog
	case v.Lost:
		return "nothing is heard of the lead; HOLD by radio or by voice", screen.Alarm
	case m.awaited():
		return "HELD: " + k(actAcknowledge) + " acknowledges; held is not safe to enter", screen.Alarm
	case !m.calledAt.IsZero() && m.running() && m.now.Sub(m.calledAt) < 2*time.Second:
		return "HOLD called", screen.Alarm
	case m.answerAt.IsZero() || m.now.Sub(m.answerAt) > screen.MessageFor:
	case v.Answer.Refused != "":
		return "not done: " + v.Answer.Refused, screen.Alarm
	case v.Answer.Deed == crew.StandDown:
		return "asked the shooter to stand the position down", screen.Good
	case v.Answer.Deed != crew.Tap:
		return "done: " + doneWords[v.Answer.Deed], screen.Good
	}
	if v.State.Hold > 0 && len(v.State.Waits) > 0 {
		return "not yet acknowledged: " + names(v.State.Waits), screen.Caution
	}
	return k(actHold) + " calls HOLD at any time. Nothing is fired: this is a rehearsal.", screen.Quiet
}

// doneWords say what was done.
var doneWords = map[crew.Deed]string{
	crew.Hold: "HOLD called", crew.Acknowledge: "the hold is acknowledged", crew.Ready: "told as ready", crew.Unready: "told as not ready",
	crew.Seen: "told as seen", crew.Missing: "told as not gone", crew.Object: "a resume is refused", crew.Allow: "a resume is allowed",
	crew.Note: "noted", crew.Rename: "renamed", crew.Radio: "said", crew.Fault: "done in the drill",
}

// names are a few names and how many more there are.
func names(list []string) string {
	if len(list) > 4 {
		return strings.Join(list[:3], ", ") + fmt.Sprintf(" and %d more", len(list)-3)
	}
	return words.List(list)
}

func (m *Screen) drawKeys(c *screen.Canvas) {
	var hints []screen.Hint
	for _, b := range m.keys.Bindings {
		label := b.Label
		switch {
		case b.Act == actReady && m.ready():
			label = "not ready"
		case b.Act == actRefuse && m.objects() != "":
			label = "allow resume"
		case b.Act == actUp:
			continue // said once, with the other
		case b.Act == actAcknowledge && m.view.State.Hold == 0:
			continue
		}
		hints = append(hints, screen.Hint{Key: screen.KeyLabel(b.Keys[0]), Label: label})
	}
	c.KeyLine(m.lay.keys, hints)
}

func (m *Screen) drawReasons(c *screen.Canvas) {
	r := c.Box(50, len(reasons)+3, "a resume is refused because")
	for i, s := range reasons {
		c.Text(r.X, r.Y+i, 2, fmt.Sprint(i+1), screen.KeyName)
		c.Text(r.X+3, r.Y+i, r.W-3, s, screen.Normal)
	}
}

func (m *Screen) drawTooSmall(c *screen.Canvas) {
	heard, _ := m.view.Heard()
	state := screen.StateLookOf(m.state()).Word
	if m.view.Lost {
		state = "LINK LOST, HELD"
	}
	c.TooSmall("screen", "The run and its keys go on.", state+"  "+timebase.ClockTenths(heard.At(max(1, m.view.Welcome.Rate))))
}

// drawBody draws what the role sees.
func (m *Screen) drawBody(c *screen.Canvas) {
	l := &m.lay
	switch k := m.Role.Kind; {
	case k.Sees(crew.SeesCrew):
		m.drawCues(c, l.left)
		m.drawCrew(c, l.right)
		m.drawEvents(c, l.events)
	case k.Sees(crew.SeesOwn):
		m.drawCues(c, screen.Rect(l.left.X, l.left.Y, l.left.W+l.right.W, l.left.H+l.events.H))
	default:
		m.drawTaps(c, screen.Rect(l.left.X, l.left.Y, l.left.W+l.right.W, l.left.H+l.events.H))
	}
}

func (m *Screen) drawTaps(c *screen.Canvas, r screen.Rectangle) {
	r = c.Heading(r, fmt.Sprintf("taps: %d", m.taps))
	p := c.Paragraph(r)
	p.Write("Tap with "+m.keys.Name(actTap)+" on each accent as you hear it out here. Each tap goes to the lead with its time by the shared clock.", screen.Normal)
}

// drawCues lists the few cues before now and those to come.
func (m *Screen) drawCues(c *screen.Canvas, r screen.Rectangle) {
	r = c.Heading(r, fmt.Sprintf("cues: %d to come", m.view.Cues.Left))
	hand := m.cueInHand()
	list := m.view.Cues.List
	for len(list) > r.H && list[0].Fired && list[0].ID != hand {
		list = list[1:]
	}
	for _, cue := range list[:min(len(list), max(0, r.H))] {
		when, style := screen.ToGo(max(0, m.view.Until(cue.Lit))), screen.Normal
		switch {
		case m.view.Lost && !cue.Fired:
			when, style = "not known", screen.Caution
		case cue.Down:
			when, style = "down", screen.DownMark
		case cue.Fired:
			when, style = "commanded", screen.Quiet
			if said := saidOf[m.told[cue.ID]]; said != "" {
				when = said
			}
		case cue.Committed:
			style = screen.Strong
		}
		mark := " "
		if cue.ID == hand && m.Role.Kind.May(crew.Seen) {
			mark = "▸"
		}
		c.Text(r.X, r.Y, 2, mark, screen.Strong)
		c.Text(r.X+2, r.Y, 11, when, style)
		x := c.Text(r.X+13, r.Y, 8, cue.ID, style)
		if x = max(x, r.X+18); m.Role.Kind.Sees(crew.SeesAll) {
			x = max(c.Text(x+1, r.Y, 12, cue.Position, style), x+9)
		}
		c.Text(x+1, r.Y, r.X+r.W-x-1, cue.Effect, style)
		r.Y++
	}
	if len(list) == 0 {
		c.Text(r.X, r.Y, r.W, "no cues to tell of", screen.Quiet)
	}
}

var saidOf = map[crew.Deed]string{crew.Seen: "seen", crew.Missing: "did not go"}

// drawCrew lists who is there, with what must be seen first at the top.
func (m *Screen) drawCrew(c *screen.Canvas, r screen.Rectangle) {
	r = c.Heading(r, fmt.Sprintf("crew: %d, clock within", len(m.view.Crew)))
	DrawLines(c, r, m.view.Crew, m.view.State.Hold > 0)
}

// DrawLines lists members: who, role, link, clock, ready, acknowledged. Those who are
// lost or awaited stand first.
func DrawLines(c *screen.Canvas, r screen.Rectangle, lines []link.Line, held bool) {
	lines = slices.Clone(lines)
	slices.SortStableFunc(lines, func(a, b link.Line) int { return urgency(b) - urgency(a) })
	for i, l := range lines {
		if i >= r.H {
			return
		}
		if i == r.H-1 && len(lines) > r.H {
			c.Text(r.X, r.Y+i, r.W, fmt.Sprintf("and %d more", len(lines)-i), screen.Quiet)
			return
		}
		text, style := lineText(l, held)
		end := r.X + r.W
		role, _ := crew.ParseRole(l.Role)
		name, what := 10, 8
		if r.W >= 50 {
			name, what = crew.MaxName*2/3, 12
		}
		c.Text(r.X, r.Y+i, name, l.Name, style)
		c.Text(r.X+name+1, r.Y+i, what, role.Words(), screen.Quiet)
		x := r.X + name + what + 2
		c.Text(x, r.Y+i, end-x, text, style)
	}
}

// urgency is how much a line must be seen.
func urgency(l link.Line) int {
	switch {
	case l.Objects != "":
		return 3
	case l.Lost > 0 && !l.Struck:
		return 2
	case l.Answer == crew.NotTold || l.Answer == crew.Awaited:
		return 1
	}
	return 0
}

// lineText says how a member stands.
func lineText(l link.Line, held bool) (string, screen.Style) {
	switch {
	case l.Objects != "":
		return "REFUSES A RESUME", screen.Alarm
	case l.Lost > 0 && l.Struck:
		return "lost, struck off", screen.Quiet
	case l.Lost > 0:
		return "LOST for " + screen.ClockText(l.Lost), screen.Alarm
	case held && l.Answer == crew.NotTold:
		return "NOT TOLD yet", screen.Alarm
	case held && l.Answer == crew.Awaited:
		return "no answer yet", screen.Caution
	case held && l.Answer == crew.Answered:
		return fmt.Sprintf("answered, %.1f s", l.After.Seconds()), screen.Good
	case held && l.Answer == crew.Struck:
		return "struck off", screen.Quiet
	}
	role, _ := crew.ParseRole(l.Role)
	ready := ""
	switch {
	case l.Ready:
		ready = "ready, "
	case role.Kind.Answers():
		ready = "not ready, "
	}
	if l.Bound == 0 {
		return "no clock yet", screen.Caution
	}
	return ready + spanMS(l.Bound), screen.Normal
}

// drawEvents lists what happened, the latest first.
func (m *Screen) drawEvents(c *screen.Canvas, r screen.Rectangle) {
	if r.H < 2 {
		return
	}
	r = c.Heading(r, "latest events")
	rate, length := m.view.Welcome.Rate, m.view.Welcome.Length
	for _, e := range slices.Backward(m.view.Events) {
		if r.H == 0 {
			return
		}
		text := e.Words(max(1, rate), timebase.FrameAt(length, max(1, rate)))
		if e.Kind != "crew" {
			text = strings.TrimSuffix(e.Kind+": "+text, ": ")
		}
		c.Text(r.X, r.Y, 9, timebase.ClockTenths(timebase.Frame(e.Heard).At(max(1, rate))), screen.Quiet)
		c.Text(r.X+9, r.Y, r.W-9, text, screen.Normal)
		r.Y, r.H = r.Y+1, r.H-1
	}
}
