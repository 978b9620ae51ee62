package tui

import (
	"fmt"
	"math"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"

	"github.com/rivo/uniseg"
)

// draw draws the whole screen from the snapshot.
func (m *Console) draw() {
	c := &m.canvas
	c.ascii = m.ASCII
	c.reset(m.width, m.height)
	if m.width == 0 || m.height == 0 {
		return
	}
	if m.lay.tooSmall {
		m.drawTooSmall(c)
		return
	}
	m.drawBar(c)
	m.drawTime(c)
	m.drawFacts(c)
	m.drawLanes(c)
	m.drawPanels(c)
	m.drawMessage(c)
	m.drawKeys(c)
	switch m.overlay {
	case helpOverlay:
		m.drawHelp(c)
	case quitOverlay:
		m.drawQuit(c)
	case firstOverlay:
		m.drawFirst(c)
	case briefOverlay:
		m.drawBriefing(c)
	}
}

// stateLook is how a state is shown: by word, by mark and by colour.
var stateLook = map[show.State]struct {
	word, mark string
	bar, clock Style
}{
	show.Safe:    {"SAFE", "○", BarSafe, ClockOff},
	show.Armed:   {"ARMED", "◆", BarArmed, ClockOff},
	show.Running: {"RUNNING", "▸", BarRun, ClockRun},
	show.Held:    {"HELD", "■", BarHeld, ClockHeld},
	show.Ended:   {"ENDED", "□", BarEnded, ClockOff},
}

func (m *Console) drawBar(c *canvas) {
	t := &m.snap.Transport
	look := stateLook[t.State()]
	c.fill(m.lay.bar, ' ', look.bar)
	x := c.text(1, 0, 40, fmt.Sprintf("%s %s  for %s", look.mark, look.word, clockText(m.now.Sub(m.snap.Since))), look.bar)
	left := max(0, m.Plan.Length-m.heard()).At(m.Plan.Rate)
	end := fmt.Sprintf("%s left of %s ", clockText(left), clockText(m.Plan.Length.At(m.Plan.Rate)))
	right := c.w - len(end)
	c.right(c.w, 0, end, look.bar)
	if m.Timecode != nil {
		code := m.Timecode(m.heard())
		right -= len(code) + 2
		c.right(right+len(code), 0, code, look.bar)
	}
	if room := right - x - 6; room > 8 {
		c.text(x+3, 0, room, m.Show.Title, look.bar)
	}
}

// clockText is m:ss, or h:mm:ss from an hour on, cut to whole seconds.
func clockText(d time.Duration) string {
	s := int64(max(0, d) / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// drawTime draws the clock: how much of the music has been heard.
func (m *Console) drawTime(c *canvas) {
	drawTime(c, m.lay.clock, m.lay.digit, m.heard().At(m.Plan.Rate), stateLook[m.snap.Transport.State()].clock)
}

// fact draws a label and returns the column behind it.
func (m *Console) fact(c *canvas, row int, label string) int {
	r := m.lay.facts
	c.text(r.x, r.y+row, 6, label, Quiet)
	return r.x + 7
}

func (m *Console) drawFacts(c *canvas) {
	r := m.lay.facts
	lines := []func(*canvas, int, int){m.factNudge, m.factNext, m.factDrift, m.factSky, m.factSound}
	if r.h >= 7 {
		lines = append(lines, m.factOutput, m.factLog)
	}
	for row, draw := range lines {
		draw(c, row, r.x+r.w)
	}
}

// factNudge says the nudge in words: in force, and asked for while it differs.
func (m *Console) factNudge(c *canvas, row, end int) {
	t := &m.snap.Transport
	x, y := m.fact(c, row, "NUDGE"), m.lay.facts.y+row
	in, after := t.InForce()
	style := Strong
	if in != 0 {
		style = NudgeOn
	}
	x = c.text(x, y, end-x, show.NudgeWords(in), style)
	if after >= 0 {
		words := fmt.Sprintf("  then %s after cue %s", show.NudgeWords(t.Asked()), m.cue(after).ID)
		c.text(x, y, end-x, words, Caution)
	}
}

func (m *Console) cue(i int) show.Cue { return m.Show.Cues[m.Plan.Cues[i].List] }

// factNext says what fires next, where, and in how many tenths.
func (m *Console) factNext(c *canvas, row, end int) {
	t := &m.snap.Transport
	x, y := m.fact(c, row, "NEXT"), m.lay.facts.y+row
	i := m.nextFiring()
	switch {
	case i < 0:
		c.text(x, y, end-x, "no more cues", Quiet)
		return
	case t.State() == show.Safe && t.Heard() > 0:
		c.text(x, y, end-x, fmt.Sprintf("cut before cue %s; a new run starts at the top", m.cue(i).ID), Quiet)
		return
	}
	cue := m.cue(i)
	x = c.text(x, y, end-x, countdown(t.FiresAt(i)-m.heard(), m.Plan.Rate), Strong)
	c.text(x+1, y, end-x-1, fmt.Sprintf("cue %s %s", cue.ID, cue.Position), Normal)
}

// nextFiring returns the next cue that is not stood down, or -1.
func (m *Console) nextFiring() int {
	t := &m.snap.Transport
	for i := t.Next(); i < len(m.Plan.Cues); i++ {
		if !t.Down(i) {
			return i
		}
	}
	return -1
}

// countdown is a time to go, such as "in 3.4 s" or "in 2:05".
func countdown(f timebase.Frame, rate int) string { return toGo(max(0, f).At(rate)) }

// toGo is countdown of a duration.
func toGo(d time.Duration) string {
	if d >= 100*time.Second {
		return "in " + clockText(d)
	}
	s, t := tenths(d)
	return fmt.Sprintf("in %d.%d s", s, t)
}

// countdownUp is countdown rounded up, for what is safe only once it is over.
func countdownUp(f timebase.Frame, rate int) string {
	return countdown(f+timebase.FrameAt(100*time.Millisecond, rate)-1, rate)
}

// toGoUp is countdownUp of a duration.
func toGoUp(d time.Duration) string { return toGo(d + 100*time.Millisecond - 1) }

func (m *Console) factDrift(c *canvas, row, end int) {
	x, y := m.fact(c, row, "DRIFT"), m.lay.facts.y+row
	text, style := m.drift.short(m.snap.Transport.Asked())
	c.text(x, y, end-x, text, style)
}

// factSky says what is still up.
func (m *Console) factSky(c *canvas, row, end int) {
	x, y := m.fact(c, row, "SKY"), m.lay.facts.y+row
	m.up = m.snap.Transport.StillUp(m.snap.Stopped(m.now), m.up[:0])
	if len(m.up) == 0 {
		c.text(x, y, end-x, "clear", Quiet)
		return
	}
	style := Normal
	if m.snap.Transport.State() == show.Held {
		style = Alarm
	}
	c.text(x, y, end-x, fmt.Sprintf("%d still up, clear %s", len(m.up), countdownUp(m.up[0].Clear, m.Plan.Rate)), style)
}

// factSound shows the level of what is heard.
func (m *Console) factSound(c *canvas, row, end int) {
	x, y := m.fact(c, row, "SOUND"), m.lay.facts.y+row
	if m.snap.Lost {
		c.text(x, y, end-x, fmt.Sprintf("device lost: %s retries, %s goes on silent", m.Keys.Name(ActGo), m.Keys.Name(ActSilent)), Alarm)
		return
	}
	if x = m.factHeard(c, x, y, end); end-x < 20 {
		return
	}
	if m.snap.Silent {
		c.text(x, y, end-x, "no sound device: silent clock", Caution)
		return
	}
	if m.snap.Soundless {
		c.text(x, y, end-x, "none: silent, as asked for", Caution)
		return
	}
	room := (end - x - 2) / 2
	if m.lay.facts.h < 7 { // there is no line of its own for the output
		late := fmt.Sprintf(" %d ms", m.snap.Latency.Milliseconds())
		c.right(end, y, late, Quiet)
		room = max(6, (end-x)/5)
		from := x + 2*room + 2
		text, style := m.deviceText()
		c.text(from, y, end-len(late)-from, text, style)
	}
	for ch, name := range []string{"L", "R"} {
		c.set(x, y, rune(name[0]), Quiet)
		drawMeter(c, x+1, y, room-1, m.snap.Level[ch])
		x += room + 1
	}
}

// deviceName is the part of an output's name that tells it from others of its
// kind: the device behind the sound system's name.
func deviceName(output string) string {
	if _, device, ok := strings.Cut(output, ", "); ok {
		return device
	}
	return output
}

// meterFloor is the level at the left end of a meter, in dBFS.
const meterFloor = -48

// drawMeter draws a peak level from meterFloor to 0 dBFS over w columns.
func drawMeter(c *canvas, x, y, w int, peak float64) {
	db := 20 * math.Log10(max(peak, 1e-9))
	lit := int(float64(w)*(db-meterFloor)/-meterFloor + 0.5)
	for k := range w {
		style, ch := MeterLow, '▮'
		switch {
		case k >= lit:
			style, ch = Faint, '▯'
		case k >= w*(-meterFloor-3)/-meterFloor: // the last 3 dB
			style = MeterHot
		}
		c.set(x+k, y, ch, style)
	}
}

func (m *Console) factOutput(c *canvas, row, end int) {
	x, y := m.fact(c, row, "OUT"), m.lay.facts.y+row
	s := m.snap
	text := fmt.Sprintf("%s, %d ms late", s.Output, s.Latency.Milliseconds())
	style := Normal
	if s.Underruns > 0 {
		text += ", ran dry " + times(s.Underruns)
		style = Caution
	}
	x = c.text(x, y, end-x, text, style)
	if s.Second != nil {
		text, style = besideText(s.Second)
		c.text(x, y, end-x, text, style)
	}
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func (m *Console) factLog(c *canvas, row, end int) {
	x, y := m.fact(c, row, "LOG"), m.lay.facts.y+row
	if m.snap.LogErr != nil {
		c.text(x, y, end-x, "NOT written: "+m.snap.LogErr.Error(), Alarm)
		return
	}
	c.text(x, y, end-x, fmt.Sprintf("%d events on disk", m.snap.Logged), Normal)
}

// drawMessage draws what is wrong, or the last thing there was to say.
func (m *Console) drawMessage(c *canvas) {
	r := m.lay.message
	text, style := m.messageText()
	c.text(r.x+1, r.y, r.w-2, text, style)
}

// messageFor is how long a plain message stays.
const messageFor = 6 * time.Second

func (m *Console) messageText() (string, Style) {
	s := m.snap
	radio, isNew := m.newRadio()
	switch {
	case m.typing:
		return fmt.Sprintf("show only cues with: %s_   (enter keeps it, esc shows all; %s still holds)", m.filter, m.Keys.Name(ActHold)), Dialog
	case m.counting() > 0:
		return fmt.Sprintf("RESUMES IN %d   %s keeps the hold, %s resumes now", m.counting(), m.Keys.Name(ActHold), m.Keys.Name(ActGo)), Dialog
	case s.LogErr != nil:
		return "the session log cannot be written: " + s.LogErr.Error() + " - the run goes on", Alarm
	case len(s.Stops) > 0 && s.Transport.State() == show.Safe:
		return deck.CannotArm(s.Stops), Alarm
	case s.Message.Text != "" && s.Message.Urgency == deck.Alarm && !s.Message.At.Before(s.Since) && (s.Lost || m.now.Sub(s.Message.At) < 4*messageFor):
		return s.Message.Text, Alarm
	case isNew:
		return "RADIO " + radioText(radio), Caution
	case s.Over:
		return fmt.Sprintf("the drill is over: %s leaves it and tells the score", m.Keys.Name(ActQuit)), Strong
	case m.now.Sub(m.dryAt) < messageFor && m.lay.facts.h < 7:
		if s.Soundless {
			return "this computer was too busy " + times(s.Underruns) + ": the clock waited for it", Caution
		}
		return "the sound device ran dry " + times(s.Underruns) + ": the clock waited for it", Caution
	case s.Message.Text != "" && m.now.Sub(s.Message.At) < messageFor:
		return s.Message.Text, Normal
	case m.filter != "":
		return fmt.Sprintf("only cues with %q are shown (%s changes it)", m.filter, m.Keys.Name(ActFilter)), Caution
	}
	if m.Overview != nil {
		if done, left := m.Overview(); done < 1 {
			return fmt.Sprintf("reading the music: %d %%, %d s left; %s stops that. %s", int(done*100), int(left.Seconds()+0.5), m.Keys.Name(ActStop), m.hint()), Quiet
		}
	}
	return m.hint(), Quiet
}

// hint says what can be done now.
func (m *Console) hint() string {
	k := m.Keys.Name
	switch m.snap.Transport.State() {
	case show.Safe:
		switch {
		case m.Brief != nil:
			return fmt.Sprintf("%s arms the show; %s shows the briefing, %s leaves the drill", k(ActArm), k(ActBriefing), k(ActQuit))
		case m.Lock != "":
			return fmt.Sprintf("%s arms the show (%s). Nothing is fired.", k(ActArm), m.Lock)
		}
		return fmt.Sprintf("%s arms the show. Nothing is fired: this is a rehearsal.", k(ActArm))
	case show.Armed:
		return fmt.Sprintf("%s starts the music and the cues. %s makes it safe again.", k(ActGo), k(ActCut))
	case show.Held:
		return fmt.Sprintf("held: %s resumes from %s, %s cuts", k(ActGo), show.FormatTime(m.snap.Transport.Heard().At(m.Plan.Rate)), k(ActCut))
	case show.Ended:
		return fmt.Sprintf("%s makes the show safe for another run", k(ActGo))
	}
	return ""
}

// drawKeys draws the keys that matter in this state.
func (m *Console) drawKeys(c *canvas) {
	var keys []keyHint
	for _, h := range bottomLine[m.snap.Transport.State()] {
		keys = append(keys, keyHint{m.Keys.Name(h.act), h.label})
	}
	if len(m.Show.Tracks) > 0 {
		keys = append(keys, keyHint{m.Keys.Name(ActListen), "listen"})
	}
	drawKeyLine(c, m.lay.keys, keys)
}

// A keyHint is a key and what it does.
type keyHint struct{ key, label string }

// drawKeyLine draws keys, as many as there is room for.
func drawKeyLine(c *canvas, r rect, keys []keyHint) {
	x, y := r.x+1, r.y
	for _, k := range keys {
		w := uniseg.StringWidth(k.key) + 1 + len(k.label) + 2
		if x+w > r.x+r.w {
			if y++; y >= r.y+r.h {
				return
			}
			x = r.x + 1
		}
		x = c.text(x, y, w, k.key, KeyName)
		x = c.text(x+1, y, w, k.label, KeyText) + 2
	}
}

func (m *Console) drawTooSmall(c *canvas) {
	t := &m.snap.Transport
	s, d := tenths(m.heard().At(m.Plan.Rate))
	lines := []string{
		fmt.Sprintf("%s  %d:%02d.%d", stateLook[t.State()].word, s/60, s%60, d),
		show.NudgeWords(t.Asked()),
		"",
		"This window is too small:",
		fmt.Sprintf("%d x %d, and the console", m.width, m.height),
		fmt.Sprintf("needs %d x %d.", minWidth, minHeight),
		"The run and its keys go on.",
	}
	if radio, isNew := m.newRadio(); isNew {
		lines = append(wrap("RADIO "+radioText(radio), c.w), lines...)
	}
	for y, line := range lines {
		c.text(0, y, c.w, line, Normal)
	}
}
