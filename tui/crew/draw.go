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
	facts := m.facts(c.W - 2)
	m.lay = arrange(c.W, c.H, len(facts))
	m.drawBar(c)
	heard, _ := m.view.Heard()
	c.Time(m.lay.Band, heard.At(max(1, m.view.Welcome.Rate)), screen.StateLookOf(m.state()).Clock)
	m.drawLarge(c)
	for i, f := range facts {
		c.Text(m.lay.facts.X, m.lay.facts.Y+i, labelWide, f.label, screen.Quiet)
		c.Text(m.lay.facts.X+labelWide+1, m.lay.facts.Y+i, m.lay.facts.W-labelWide-1, f.text, f.style)
	}
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
	case m.wasCut() && !v.Over:
		state = fmt.Sprintf("%s CUT  for %s", look.Mark, screen.ClockText(v.State.For+m.since()))
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
	case m.wasCut():
		word = "CUT"
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
	case v.Out != "":
		return "you are not in the crew: HOLD by radio or by voice, and join again", screen.Alarm
	case m.saysAnswer():
		return m.answerText()
	case m.struck():
		return m.struckText(), screen.Alarm
	case m.awaited():
		return "HELD: " + k(actAcknowledge) + " acknowledges; held is not safe to enter", screen.Alarm
	case !m.calledAt.IsZero() && m.running() && m.now.Sub(m.calledAt) < 2*time.Second:
		return "HOLD called", screen.Alarm
	case m.answerAt.IsZero() || m.now.Sub(m.answerAt) > screen.MessageFor:
	case v.Answer.Deed == crew.Hold && m.state() != show.Running && m.state() != show.Held:
		return "the show is " + m.state().String() + ": nothing to hold", screen.Caution
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
	crew.Note: "noted", crew.Rename: "renamed",
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
		case b.Act == actStandDown && m.asks():
			label = "ask no more"
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
	if at := m.view.Welcome.Place; at != "" {
		p.Write("You stand at: "+at, screen.Normal)
	} else {
		p.Write("No place was told, so your taps are not joined with those of others: join with --place NAME.", screen.Quiet)
	}
}

// drawCrew lists who is there, with what must be seen first at the top.
func (m *Screen) drawCrew(c *screen.Canvas, r screen.Rectangle) {
	r = c.Heading(r, fmt.Sprintf("crew: %d", len(m.view.Crew)))
	DrawLines(c, r, m.view.Crew, m.view.State.Hold > 0)
}

// DrawLines lists members: who, role, link, clock, ready, acknowledged. Those who are
// lost or awaited stand first.
func DrawLines(c *screen.Canvas, r screen.Rectangle, lines []link.Line, held bool) {
	lines = slices.Clone(lines)
	slices.SortStableFunc(lines, func(a, b link.Line) int { return urgency(b) - urgency(a) })
	spare := r.H - len(lines)
	for i, l := range lines {
		switch {
		case r.H <= 0:
			return
		case r.H == 1 && i < len(lines)-1:
			c.Text(r.X, r.Y, r.W, fmt.Sprintf("and %d more", len(lines)-i), screen.Quiet)
			return
		}
		rows := min(lineRows(c, r.W, l, held), 1+max(0, spare))
		spare -= rows - 1
		drawLine(c, screen.Rect(r.X, r.Y, r.W, rows), l, held)
		r.Y, r.H = r.Y+rows, r.H-rows
	}
}

// lineColumns are how many columns a name and a role have in a row of w.
func lineColumns(w int) (name, what int) {
	if w >= 50 {
		return crew.MaxName * 2 / 3, 12
	}
	return 10, 8
}

// roleWords are a member's role, in words.
func roleWords(l link.Line) string {
	role, _ := crew.ParseRole(l.Role)
	return role.Words()
}

// lineRows is how many rows of w columns a member needs: one, or two or three where the
// name or the role is long.
func lineRows(c *screen.Canvas, w int, l link.Line, held bool) int {
	name, what := lineColumns(w)
	text, _ := lineText(l, held, w-name-what-2)
	switch role := c.Width(roleWords(l)); {
	case c.Width(l.Name) <= name && role <= what:
		return 1
	case 2+role+c.Width(text) <= w:
		return 2
	}
	return 3
}

// drawLine draws a member in one row, or in the two or three of r: the name above, and the
// role and how they stand below it.
func drawLine(c *screen.Canvas, r screen.Rectangle, l link.Line, held bool) {
	name, what := lineColumns(r.W)
	text, style := lineText(l, held, r.W-name-what-2)
	x, y := r.X+name+1, r.Y
	if r.H == 3 {
		c.Text(r.X+1, r.Y+2, r.W-1, text, style)
		text, x, y, name, what = "", r.X+1, r.Y+1, r.W, r.W-2
	} else if r.H == 2 {
		x, y, name, what = r.X+1, r.Y+1, r.W, max(what, min(c.Width(roleWords(l)), r.W-2-c.Width(text)))
	}
	c.Text(r.X, r.Y, name, l.Name, style)
	c.Text(x, y, what, roleWords(l), screen.Quiet)
	c.Text(x+what+1, y, r.X+r.W-x-what-1, text, style)
}

// urgency is how much a line must be seen.
func urgency(l link.Line) int {
	switch {
	case l.Objects != "":
		return 3
	case l.Lost > 0 && !l.Struck, l.Asks:
		return 2
	case l.Answer == crew.NotTold || l.Answer == crew.Awaited:
		return 1
	}
	return 0
}

// asksText is how somebody stands who asks to have their position stood down: with how
// they stand besides where there is room for it.
func asksText(l link.Line, held bool, room int) string {
	text, short := "ASKS TO STAND DOWN", "ASKS DOWN"
	switch {
	case l.Lost > 0:
		text, short = "ASKS DOWN, LOST "+screen.ClockText(l.Lost), "LOST, ASKS DOWN"
	case held && l.Answer == crew.NotTold:
		text = "ASKS DOWN, NOT TOLD"
	case held && l.Answer == crew.Awaited:
		text = "ASKS DOWN, no answer"
	case held && l.Answer == crew.Answered:
		text = "ASKS DOWN, answered"
	}
	if screen.Width(text) > room {
		return short
	}
	return text
}

// lineText says how a member stands, in room columns.
func lineText(l link.Line, held bool, room int) (string, screen.Style) {
	switch {
	case l.Objects != "":
		return "REFUSES A RESUME", screen.Alarm
	case l.Asks:
		return asksText(l, held, room), screen.Alarm
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
	case l.Struck:
		return "struck off", screen.Quiet
	case l.Ready:
		ready = "ready, "
	case role.Kind.Answers():
		ready = "not ready, "
	}
	if l.Bound == 0 {
		return "no clock yet", screen.Caution
	}
	clock := spanMS(l.Bound)
	for _, what := range []string{"clock within ", "clock ", "±"} {
		if text := ready + what + clock; screen.Width(text) <= room {
			return text, screen.Normal
		}
	}
	return ready + clock, screen.Normal
}
