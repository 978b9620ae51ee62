package console

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// View implements tea.Model: it draws the latest snapshot.
func (m *Screen) View() string {
	return m.canvas.Picture(m.Look, m.draw, m.drawTooSmall)
}

func (m *Screen) draw(c *screen.Canvas) {
	m.arrangeFace()
	m.lookUp()
	m.drawBar(c)
	m.drawTime(c)
	m.drawFacts(c)
	switch {
	case m.boardUp():
		m.drawBoard(c)
	case m.readyUp():
		m.drawReady(c)
	case m.searchUp():
		m.drawSearch(c)
	default:
		m.drawLanes(c)
		m.drawCall(c)
	}
	m.drawPanels(c)
	m.drawMessage(c)
	m.drawKeys(c)
	switch m.mode {
	case helpMode:
		m.drawHelp(c)
	case quitMode:
		m.drawQuit(c)
	case firstMode:
		m.drawFirst(c)
	case briefMode:
		m.drawBriefing(c)
	case linkMode:
		m.drawLinks(c)
	case faultMode:
		m.drawFaults(c)
	case placeMode:
		m.drawPlaces(c)
	case seenMode:
		m.drawSeen(c)
	case noGoMode:
		m.drawReasons(c)
	case peopleMode:
		m.drawPeople(c)
	}
}

// lookUp takes what is up by the list now.
func (m *Screen) lookUp() {
	stopped := m.snap.Stopped(m.now)
	m.up, m.unknown = m.snap.Transport.StillUp(stopped, m.up[:0]), m.snap.Transport.Unknown(stopped)
}

func (m *Screen) drawBar(c *screen.Canvas) {
	t := &m.snap.Transport
	look := screen.StateLookOf(t.State())
	c.Fill(m.lay.bar, ' ', look.Bar)
	x := c.Text(1, 0, 40, fmt.Sprintf("%s %s  for %s", look.Mark, look.Word, screen.ClockText(m.now.Sub(m.snap.Since))), look.Bar)
	if m.snap.Unwritten {
		x = c.Text(x+2, 0, 15, "NOT YET ON DISK", look.Bar)
	}
	left := max(0, m.Plan.Length-m.heard()).At(m.Plan.Rate)
	end := fmt.Sprintf("%s left of %s ", screen.ClockText(left), screen.ClockText(m.Plan.Length.At(m.Plan.Rate)))
	right := c.W - len(end)
	c.Right(c.W, 0, end, look.Bar)
	if code := m.codeText(); code != "" {
		right -= len(code) + 2
		c.Right(right+len(code), 0, code, look.Bar)
	}
	if m.tooClose != "" { // for as long as it is so
		x = c.Text(x+3, 0, right-x-6, m.tooClose, screen.Alarm)
	}
	if room := right - x - 6; room > 8 {
		c.Text(x+3, 0, room, m.Show.Title, look.Bar)
	}
}

// fact draws a fact's label and returns where the fact stands: from x up to end.
func (m *Screen) fact(c *screen.Canvas, i int, label string) (x, y, end int) {
	r := m.lay.facts[i]
	c.Text(r.X, r.Y, 6, label, screen.Quiet)
	return r.X + 7, r.Y, r.X + r.W
}

func (m *Screen) drawFacts(c *screen.Canvas) {
	draw := [factCount]func(*screen.Canvas){m.factNext, m.factSky, m.factNudge, m.factSound, m.factDrift, m.factOutput, m.factLog}
	if m.follows() != nil {
		draw[factSound] = m.factCode
	}
	for i := range m.lay.facts {
		if i != factNudge {
			draw[i](c)
		}
	}
	m.factNudge(c)
}

// wide reports whether there are lines for the output and the log.
func (m *Screen) wide() bool { return len(m.lay.facts) > factOutput }

// factNudge says the nudge in words: in force, and asked for while it differs.
func (m *Screen) factNudge(c *screen.Canvas) {
	t := &m.snap.Transport
	x, y, end := m.fact(c, factNudge, "NUDGE")
	in, after := t.InForce()
	style := screen.Strong
	if in != 0 {
		style = screen.NudgeOn
	}
	x = c.Text(x, y, end-x, words.Nudge(in), style)
	then := m.together()
	if after >= 0 {
		then = fmt.Sprintf("then %s after cue %s", words.Nudge(t.Asked()), m.cue(after).ID)
	}
	if then == "" {
		return
	}
	if r := m.lay.facts[factSound]; r.Y == y { // it is over what is beside it, for as long as it is so
		end = r.X + r.W
		c.Fill(screen.Rect(x, y, end-x, 1), ' ', screen.Normal)
	}
	c.Text(x+2, y, end-x-2, then, screen.Caution)
}

// together says how many cues a nudge has made due at once: those that are being
// spread or, while the run stands still, those that will come when it goes on.
func (m *Screen) together() string {
	t := &m.snap.Transport
	var s show.Salvo
	switch t.State() {
	case show.Running:
		if s = t.Spreading(); s.Cues > 0 {
			return fmt.Sprintf("%d being spread", s.Cues)
		}
	case show.Armed:
		s = t.Salvo(show.Command{Action: show.Start})
	case show.Held:
		s = t.Salvo(show.Command{Action: show.Resume})
	}
	if s.Cues == 0 {
		return ""
	}
	return fmt.Sprintf("%d due at once", s.Cues)
}

func (m *Screen) cue(i int) show.Cue { return m.Show.Cues[m.Plan.Cues[i].List] }

// factNext says what fires next, where, in how many tenths, and when that is seen.
func (m *Screen) factNext(c *screen.Canvas) {
	t := &m.snap.Transport
	x, y, end := m.fact(c, factNext, "NEXT")
	i := m.nextFiring()
	switch {
	case i < 0:
		c.Text(x, y, end-x, "no more cues", screen.Quiet)
		return
	case m.cutShort():
		c.Text(x, y, end-x, "cut before cue "+m.cue(i).ID, screen.Quiet)
		return
	}
	cue := m.cue(i)
	c.Text(x, y, end-x, screen.Next(m.toGo(t.FiresAt(i)), m.toGo(t.EffectAt(i)), m.Shown(cue.ID), m.Shown(cue.Position), end-x), screen.Strong)
}

// cutShort reports whether the run was cut: nothing that is left of it is due.
func (m *Screen) cutShort() bool {
	t := &m.snap.Transport
	return t.State() == show.Safe && t.Heard() > 0
}

// toGo is how long it is until a frame is heard, 0 once it has been.
func (m *Screen) toGo(f timebase.Frame) time.Duration { return max(0, f-m.heard()).At(m.Plan.Rate) }

// nextFiring returns the next cue that is not stood down, or -1.
func (m *Screen) nextFiring() int {
	t := &m.snap.Transport
	for i := t.Next(); i < len(m.Plan.Cues); i++ {
		if !t.Down(i) {
			return i
		}
	}
	return -1
}

// countdown is a time to go, such as "in 3.4 s" or "in 2:05".
func countdown(f timebase.Frame, rate int) string { return screen.ToGo(max(0, f).At(rate)) }

func (m *Screen) factDrift(c *screen.Canvas) {
	if s := m.snap.Transport.State(); m.Lock != nil && (s == show.Safe || s == show.Armed) {
		x, y, end := m.fact(c, factDrift, "LOCK")
		c.Text(x, y, end-x, m.Lock(), screen.Normal)
		return
	}
	if due := m.dueAtStop(); due != "" && m.lay.large.W > 0 && m.snap.Transport.State() == show.Held {
		x, y, end := m.fact(c, factDrift, "DUE")
		c.Text(x, y, end-x, due, screen.Alarm)
		return
	}
	if m.factLoaded(c) {
		return
	}
	x, y, end := m.fact(c, factDrift, "TAPS")
	text, style := m.drift.short(m.snap.Transport.Asked())
	c.Text(x, y, end-x, text, style)
}

// factSky says what is still up.
func (m *Screen) factSky(c *screen.Canvas) {
	x, y, end := m.fact(c, factSky, "SKY")
	style := screen.Normal
	switch {
	case len(m.up) == 0 && m.unknown == 0:
		style = screen.Quiet
	case m.snap.Transport.State() == show.Held:
		style = screen.Alarm
	}
	c.Text(x, y, end-x, m.skyText(), style)
}

// skyText says what is up, as far as the list tells.
func (m *Screen) skyText() string {
	var last time.Duration
	if len(m.up) > 0 {
		last = m.up[0].Clear.At(m.Plan.Rate)
	}
	return screen.StillUp(len(m.up), last, m.unknown)
}

// factSound shows the level of what is heard.
func (m *Screen) factSound(c *screen.Canvas) {
	x, y, end := m.fact(c, factSound, "SOUND")
	if m.snap.Lost {
		text := "DEVICE LOST"
		if name := screen.DeviceName(m.snap.Output); name != "" {
			text = "LOST: " + name
		}
		c.Text(x, y, end-x, text, screen.Alarm)
		return
	}
	if x = m.factHeard(c, x, y, end); end-x < 20 {
		return
	}
	if m.snap.Silent {
		c.Text(x, y, end-x, "no sound device: silent clock", screen.Caution)
		return
	}
	if m.snap.Soundless {
		c.Text(x, y, end-x, "none: silent, as asked for", screen.Caution)
		return
	}
	room := (end - x - 2) / 2
	if !m.wide() { // there is no line of its own for the output
		late := fmt.Sprintf(" %d ms", m.snap.Latency.Milliseconds())
		c.Right(end, y, late, screen.Quiet)
		room = max(6, (end-x)/5)
		from := x + 2*room + 2
		text, style := m.deviceText()
		c.Text(from, y, end-len(late)-from, text, style)
	}
	for ch, name := range []string{"L", "R"} {
		c.Set(x, y, rune(name[0]), screen.Quiet)
		c.Meter(x+1, y, room-1, m.snap.Level[ch])
		x += room + 1
	}
}

func (m *Screen) factOutput(c *screen.Canvas) {
	s, label, style := m.snap, "OUT", screen.Normal
	text := fmt.Sprintf("%s, %d ms late", s.Output, s.Latency.Milliseconds())
	if f := m.follows(); f != nil { // it puts nothing out
		label, text = "HEARS", f.Name
		if !f.Now.Music {
			label = "READS"
		}
	}
	x, y, end := m.fact(c, factOutput, label)
	if s.Underruns > 0 {
		text += ", ran dry " + words.Times(s.Underruns)
		style = screen.Caution
	}
	x = c.Text(x, y, end-x, text, style)
	if s.Second != nil {
		text, style = besideText(s.Second)
		c.Text(x, y, end-x, text, style)
	}
}

func (m *Screen) factLog(c *screen.Canvas) {
	x, y, end := m.fact(c, factLog, "LOG")
	if m.snap.LogErr != nil {
		c.Text(x, y, end-x, "NOT written: "+m.snap.LogErr.Error(), screen.Alarm)
		return
	}
	if m.moved != "" {
		c.Text(x, y, end-x, "VANISHED, goes on in "+show.Clean(m.moved), screen.Alarm)
		return
	}
	text, style := fmt.Sprintf("%d events on disk", m.snap.Logged), screen.Normal
	switch behind := m.snap.DiskBehind; {
	case m.snap.Unwritten:
		text, style = text+", what came after NOT YET", screen.Alarm
	case behind >= time.Second:
		text, style = fmt.Sprintf("%d events written, the disk is %d s behind", m.snap.Logged, int(behind.Seconds())), screen.Caution
	}
	c.Text(x, y, end-x, text, style)
}

// drawMessage draws what is wrong, or the last thing there was to say. A question that
// takes more than the line lies over the panels for as long as it stands.
func (m *Screen) drawMessage(c *screen.Canvas) {
	r := m.lay.message
	text, style := m.messageText()
	rows := []string{text}
	if question := m.askedOnce(); question != "" && text == question {
		rows = m.questionRows(text)
		rows = rows[:min(len(rows), m.mostRows())]
	}
	r.Y -= len(rows) - 1
	for _, row := range rows {
		c.Fill(r, ' ', screen.Normal)
		c.Text(r.X+1, r.Y, r.W-2, row, style)
		r.Y++
	}
}

func (m *Screen) messageText() (string, screen.Style) {
	s, question := m.snap, m.askedOnce()
	switch {
	case m.trouble != "":
		return m.trouble, screen.Alarm
	case m.mode == typeMode:
		return fmt.Sprintf("show only cues with: %s_   (enter keeps it, esc shows all; %s is hold)", m.filter.Text, m.Keys.Name(actHold)), screen.Dialog
	case question != "":
		return question, screen.Dialog
	case m.counting() > 0:
		return fmt.Sprintf("RESUMES IN %d   %s keeps the hold, %s resumes now", m.counting(), m.Keys.Name(actHold), m.Keys.Name(actGo)), screen.Dialog
	case s.LogErr != nil:
		return "the session log cannot be written: " + s.LogErr.Error() + " - the run goes on", screen.Alarm
	case len(s.Stops) > 0 && s.Transport.State() == show.Safe:
		return deck.CannotArm(s.Stops), screen.Alarm
	case s.Lost:
		return m.lostText(), screen.Alarm
	case m.crewAlarm() != "":
		return m.crewAlarm(), screen.Alarm
	case m.said() && s.Message.Urgency == deck.Alarm && m.now.Sub(s.Message.At) < m.alarmFor():
		return m.alarmText(), screen.Alarm
	case m.moved != "" && m.now.Sub(m.gone) < 4*screen.MessageFor:
		return "THE SESSION LOG VANISHED: the whole session goes on in " + show.Clean(m.moved), screen.Alarm
	case s.Over:
		return fmt.Sprintf("the drill is over: %s shows the debrief, the score last", m.Keys.Name(screen.ActQuit)), screen.Strong
	case m.now.Sub(m.dryAt) < screen.MessageFor && !m.wide() && !m.Day:
		if s.Soundless {
			return "this computer was too busy " + words.Times(s.Underruns) + ": the clock waited for it", screen.Caution
		}
		return "the sound device ran dry " + words.Times(s.Underruns) + ": the clock waited for it", screen.Caution
	case m.said() && m.now.Sub(s.Message.At) < screen.MessageFor:
		return s.Message.Text, screen.Normal
	case m.crewNews() != "":
		return m.crewNews(), screen.Caution
	case m.moved != "":
		return "the session log vanished; the session is in " + show.Clean(m.moved), screen.Caution
	case m.callsOff() != "":
		return m.callsOff(), screen.Caution
	case m.Day && m.filter.Text == "":
		return m.dayHint(), screen.Strong
	case m.filter.Text != "":
		return fmt.Sprintf("only cues with %q are shown (%s changes it)", m.filter.Text, m.Keys.Name(actFilter)), screen.Caution
	}
	if m.Overview != nil {
		if done, left := m.Overview(); done < 1 {
			return m.withReading(done, left), screen.Quiet
		}
	}
	return m.hint(), screen.Quiet
}

// said reports whether the deck has said something in the state that the run is in: a
// message goes with its state.
func (m *Screen) said() bool {
	return m.snap.Message.Text != "" && !m.snap.Message.At.Before(m.snap.Since)
}

// lostText says what can be done without the sound device, in 78 columns.
func (m *Screen) lostText() string {
	k, verb := m.Keys.Name, "tries to start"
	switch m.snap.Transport.State() {
	case show.Held:
		verb = "tries to resume"
	case show.Safe, show.Ended:
		return "DEVICE LOST: it is tried again at the next start"
	}
	return fmt.Sprintf("DEVICE LOST: %s %s, %s goes on silent, %s cuts", k(actGo), verb, k(actSilent), k(actCut))
}

// callsOff says where companion tracks call off the nudge; empty when nowhere.
func (m *Screen) callsOff() string {
	t := &m.snap.Transport
	if off := m.calls.Off(t); len(off) > 0 && t.State() != show.Safe && t.State() != show.Ended {
		return callplan.OffWords(t.Asked(), off)
	}
	return ""
}

// withReading is the hint, or its first sentence or clause where there is no room for
// more, and how far the music has been read; that gives way to a hint that is neither.
func (m *Screen) withReading(done float64, left time.Duration) string {
	hint := m.hint()
	reading := fmt.Sprintf("Reading music: %d %%, %d s; %s stops it", int(done*100), int(left.Seconds()+0.5), m.Keys.Name(actStopReading))
	if hint == "" {
		return reading
	}
	with := func(end string) string {
		first, _, _ := strings.Cut(hint, end)
		return strings.TrimSuffix(first, ".") + ". " + reading
	}
	return m.firstFit(m.lay.message.W-2, hint+" "+reading, with(". "), with("; "), hint)
}

// hint says what can be done now.
func (m *Screen) hint() string {
	k := m.Keys.Name
	switch {
	case m.Day:
		return m.dayHint()
	case m.boardUp():
		return m.boardHint()
	case m.readyUp():
		return m.readyHint()
	case m.madeSafe():
		return m.safeHint()
	}
	if hint := m.followHint(); hint != "" {
		return hint
	}
	switch m.snap.Transport.State() {
	case show.Safe:
		switch {
		case m.snap.Ready != nil && m.snap.Ready.Next() >= 0:
			return fmt.Sprintf("%s shows who is asked before the arming: %s. %s arms.", k(actField), m.snap.Ready.Count(), k(actArm))
		case m.Brief != nil:
			return fmt.Sprintf("%s arms when the field is ready; %s: briefing, %s: leave the drill", k(actArm), k(actBriefing), k(screen.ActQuit))
		case m.Uncalibrated != "":
			text := fmt.Sprintf("%s calibrates, %s arms: %s is not calibrated", k(ActCalibrate), k(actArm), m.Uncalibrated)
			return m.firstFit(m.lay.message.W-2, text+", taps count as they are", text)
		}
		if m.ran() {
			return m.afterHint()
		}
		return fmt.Sprintf("%s arms the show. Nothing is fired: this is a rehearsal.", k(actArm))
	case show.Armed:
		if m.snap.Transport.Reentered() {
			return fmt.Sprintf("%s starts the music at %s. %s makes it safe again.", k(actGo), timebase.ClockMillis(m.snap.Transport.Heard().At(m.Plan.Rate)), k(actCut))
		}
		return fmt.Sprintf("%s starts the music and the cues. %s makes it safe again.", k(actGo), k(actCut))
	case show.Held:
		return fmt.Sprintf("held: %s resumes from %s, %s cuts", k(actGo), timebase.ClockMillis(m.snap.Transport.Heard().At(m.Plan.Rate)), k(actCut))
	case show.Ended:
		return m.afterHint()
	}
	return ""
}

// footKeys are the keys for the bottom line: those of the state, with those before
// the others that the message line asks for.
func (m *Screen) footKeys() []bottomKey {
	state := m.snap.Transport.State()
	keys := m.followKeys(bottomLine[state])
	switch {
	case m.snap.Over:
		keys = overLine
	case m.boardUp():
		keys = m.withList(boardKeys)
	case m.readyUp():
		keys = readyKeys
	case state == show.Safe && (m.madeSafe() || m.ran()):
		keys = m.afterKeys()
	case state == show.Safe:
		keys = m.withList(keys)
	}
	if m.snap.Lost && (state == show.Armed || state == show.Held) {
		keys = slices.Insert(slices.Clone(keys), 2, bottomKey{actSilent, "SILENT"})
	}
	return keys
}

// drawKeys draws the keys that matter in this state.
func (m *Screen) drawKeys(c *screen.Canvas) {
	var keys []screen.Hint
	for _, h := range m.footKeys() {
		keys = append(keys, screen.Hint{Key: m.Keys.Name(h.act), Label: h.label})
	}
	if len(m.Show.Tracks) > 0 {
		keys = append(keys, screen.Hint{Key: m.Keys.Name(actListen), Label: "listen"})
	}
	c.KeyLine(m.lay.keys, keys)
}

func (m *Screen) drawTooSmall(c *screen.Canvas) {
	t := &m.snap.Transport
	known := []string{
		screen.StateLookOf(t.State()).Word + "  " + timebase.ClockTenths(m.heard().At(m.Plan.Rate)),
		words.Nudge(t.Asked()),
	}
	if radio, isNew := m.newRadio(); isNew {
		known = append(m.Wrap("RADIO "+radioText(radio), c.W), known...)
	}
	c.TooSmall("console", "The run and its keys go on.", known...)
}
