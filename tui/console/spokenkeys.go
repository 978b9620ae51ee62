package console

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// answer is what is said to a key. What a key does to the run is said when it has
// happened, and not here.
func (p *Spoken) answer(key pressed) []string {
	switch {
	case key.to == leftMode, key.suspends():
		return nil
	case key.to != key.from:
		return p.turned(key)
	case key.from == quitMode:
		return p.quitLines()
	case key.from == typeMode:
		return nil
	case key.from == placeMode:
		return p.placeAnswer(key)
	case key.from == seenMode:
		return p.seenAnswer(key)
	case key.from == faultMode:
		return p.picked(p.faultLines(), 0)
	case key.from == noGoMode:
		return p.picked(p.reasonLines(), 0)
	case key.from == peopleMode:
		return p.picked(p.peopleLines(), 1)
	case key.act == "":
		return []string{fmt.Sprintf("%s does nothing. %s tells the keys.", spokenKey(key.key), p.keyName(screen.ActHelp))}
	}
	if p.boardUp() {
		if lines := p.boardAnswer(key.act); lines != nil {
			return lines
		}
	}
	if p.readyUp() {
		switch key.act {
		case actLaneUp, actLaneDown, actField, actPanel:
			return []string{p.readyLine()}
		}
	}
	return p.onRequest(key.act)
}

// turned is what is said when keys are for something else.
func (p *Spoken) turned(key pressed) []string {
	switch key.to {
	case typeMode:
		return []string{fmt.Sprintf("FIND cues: type letters. enter or tab ends, esc drops it, %s holds.", p.keyName(actHold))}
	case quitMode:
		return p.quitLines()
	case briefMode:
		return p.briefLines()
	case faultMode:
		return p.faultLines()
	case noGoMode:
		return p.reasonLines()
	case peopleMode:
		return p.peopleLines()
	case placeMode:
		return p.placesLines()
	case seenMode:
		return p.seenLines()
	}
	switch key.from {
	case typeMode:
		return p.found()
	case quitMode:
		return []string{"Not quit"}
	case placeMode:
		if key.act != actArm {
			return []string{"No place is armed"}
		}
	case firstMode, briefMode:
		return p.openingLines()
	}
	return nil
}

func (p *Spoken) quitLines() []string {
	left := p.leftBehind(spokenRoom)
	if left != "" {
		left += ". "
	}
	return []string{fmt.Sprintf("QUIT? The show is %s. %sy or delete quits, n or esc goes back, %s holds, %s cuts.",
		screen.StateLookOf(p.snap.Transport.State()).Word, left, p.keyName(actHold), p.keyName(actCut))}
}

// onRequest is what is said to a key that asks for something to be told. Keys that
// change a picture tell what it would have shown.
func (p *Spoken) onRequest(a screen.Act) []string {
	switch a {
	case actFollow:
		return []string{p.nextLine()}
	case actScrollOn:
		return p.aheadLines()
	case actScrollBack:
		return p.last
	case actZoomAll:
		if stop := p.stopLine(); stop != "" {
			return append(p.openingLines(), stop)
		}
		return p.openingLines()
	case actPanel:
		return p.panelLine()
	case actCuePrev, actCueNext, actDoubt:
		return p.cursorLines()
	case actLaneUp, actLaneDown, actGroup:
		return []string{p.laneLine()}
	case screen.ActHelp:
		return p.helpLines()
	case actBangs:
		return []string{"Bangs: " + bangModes[p.bangs].name}
	case actListen:
		if len(p.Show.Tracks) == 0 {
			return []string{"No companion tracks"}
		}
	case actLinks:
		return p.linkLines()
	case actBriefing:
		if p.Brief == nil {
			return []string{"No briefing: this is no drill"}
		}
	case actField:
		return p.fieldLines()
	case actSearch:
		return p.searchLines()
	case actPlaces:
		return []string{"No places: after a cut, this tells from where the show can start again"}
	case ActCheck, ActCalibrate:
		return []string{"Not in line mode: leave, and run drylane soundcheck or drylane calibrate"}
	case actZoomIn, actZoomOut, actFold, screen.ActTheme, actStopReading:
		return []string{"No picture: " + notSpoken}
	}
	return nil
}

// openingLines say what is to be known at the start of it all.
func (p *Spoken) openingLines() []string {
	t := &p.snap.Transport
	length := timebase.Clock(p.Plan.Length.At(p.Plan.Rate))
	lines := []string{fmt.Sprintf("%s. %s, %s, %s.", screen.StateLookOf(t.State()).Word, p.Show.Title, length, words.Count(len(p.Plan.Cues), "cue"))}
	if t.State() != show.Safe {
		lines = append(lines, fmt.Sprintf("%s heard, %s left.", timebase.ClockTenths(p.heard().At(p.Plan.Rate)), timebase.Clock(max(0, p.Plan.Length-p.heard()).At(p.Plan.Rate))), p.nextLine())
	}
	if p.boardUp() {
		lines = append(lines, p.fieldLines()...)
	}
	return append(lines, p.hint(), fmt.Sprintf("%s tells the keys, %s the next cue.", p.keyName(screen.ActHelp), p.keyName(actFollow)))
}

// firstLines are what a shooter is told once.
func (p *Spoken) firstLines() []string {
	return append(paragraphs(firstWords), "any key goes on")
}

// briefLines are a drill's briefing.
func (p *Spoken) briefLines() []string {
	return append(append([]string{"DRILL"}, paragraphs(p.Brief.Text)...), p.Brief.Foot, "any key goes on; "+p.keyName(actBriefing)+" tells this again")
}

// cueLine is a cue in one line: when it is lit comes first.
func (p *Spoken) cueLine(i int) string {
	t, cue := &p.snap.Transport, p.cue(i)
	when := "In " + strings.TrimPrefix(screen.ToGo(p.toGo(t.FiresAt(i))), "in ")
	switch {
	case t.Down(i):
		when = "STOOD DOWN"
	case p.cutShort():
		when = "STILL LOADED"
	}
	line := fmt.Sprintf("%s: cue %s, %s, %s", when, cue.ID, cue.Position, effectText(cue))
	if later := p.toGo(t.EffectAt(i)) - p.toGo(t.FiresAt(i)); later >= 100*time.Millisecond {
		line += fmt.Sprintf(", effect %s s later", screen.TenthsText(later))
	}
	return line
}

func (p *Spoken) nextLine() string {
	i := p.nextFiring()
	switch {
	case i < 0:
		return "NO MORE CUES"
	case p.cutShort():
		return fmt.Sprintf("CUT before cue %s. %s arms from the top, %s from a place.", p.cue(i).ID, p.keyName(actArm), p.keyName(actPlaces))
	}
	return p.cueLine(i)
}

// aheadLines are the next cues, a few.
func (p *Spoken) aheadLines() (lines []string) {
	for i := p.snap.Transport.Next(); i < len(p.Plan.Cues) && len(lines) < 5; i++ {
		lines = append(lines, p.cueLine(i))
	}
	if len(lines) == 0 {
		return []string{"NO MORE CUES"}
	}
	return lines
}

// panelLine says one thing after another: the sky, the taps, the sound, the nudge and
// the log.
func (p *Spoken) panelLine() []string {
	s := p.snap
	lines := []func() string{
		p.skyText,
		func() string { text, _ := p.drift.short(s.Transport.Asked()); return "Taps: " + text },
		func() string { return fmt.Sprintf("%s, %d ms late", p.outputLine(), s.Latency.Milliseconds()) },
		func() string { return words.Nudge(s.Transport.Asked()) },
		func() string { return fmt.Sprintf("%d events on disk", s.Logged) },
	}
	line := lines[p.page%len(lines)]()
	p.page++
	return []string{line}
}

func (p *Spoken) cursorLines() []string {
	if p.cursor < 0 {
		return []string{"No such cue"}
	}
	return p.cueLines(p.cursor)
}

// laneLine says which lane is marked, and what is to come in it.
func (p *Spoken) laneLine() string {
	set, t := p.lanes(), &p.snap.Transport
	next, left := -1, 0
	for i := t.Next(); i < len(set.of); i++ {
		if int(set.of[i]) == p.lane {
			if left++; next < 0 {
				next = i
			}
		}
	}
	line := fmt.Sprintf("%s, by %s: %s to come", set.names[p.lane], set.by, words.Count(left, "cue"))
	if g := p.groupOf(p.set, p.lane); g >= 0 && t.GroupDown(g) {
		line = set.names[p.lane] + " is STOOD DOWN: " + words.Count(left, "cue") + " to come"
	}
	if next >= 0 {
		line += ". " + p.cueLine(next)
	}
	return line
}

// found says which cues have the letters that were typed.
func (p *Spoken) found() []string {
	if p.match == nil {
		return []string{"All cues"}
	}
	const most = 8
	var lines []string
	n := 0
	for i, is := range p.match {
		if !is {
			continue
		}
		if n++; n <= most {
			cue := p.cue(i)
			lines = append(lines, fmt.Sprintf("%s: cue %s, %s, %s", timebase.ClockTenths(p.snap.Transport.EffectAt(i).At(p.Plan.Rate)), cue.ID, cue.Position, effectText(cue)))
		}
	}
	head := fmt.Sprintf("%s with %q", words.Count(n, "cue"), p.filter.Text)
	if n > most {
		head += fmt.Sprintf(", the first %d", most)
	}
	return append([]string{head}, lines...)
}

// helpLines are the keys of this moment; asked for again at once, all of them.
func (p *Spoken) helpLines() (lines []string) {
	if p.before != screen.ActHelp {
		for _, k := range p.footKeys() {
			if help, other := spokenHelp[k.act]; !other {
				lines = append(lines, p.keyName(k.act)+": "+k.label)
			} else if help != notSpoken {
				lines = append(lines, p.keyName(k.act)+": "+help)
			}
		}
		lines = append(lines, p.keyName(actFollow)+": next cue")
		return append(lines, p.keyName(screen.ActHelp)+" again: all keys")
	}
	for _, b := range p.Keys.Bindings {
		var keys []string
		for _, k := range b.Keys {
			keys = append(keys, spokenKey(k))
		}
		help := b.Help
		if other, ok := spokenHelp[b.Act]; ok {
			help = other
		}
		lines = append(lines, strings.Join(keys, " or ")+": "+help)
	}
	return lines
}

// notSpoken is what keys do that have a picture alone to change.
const notSpoken = "nothing in line mode"

// spokenHelp is what keys do that are for the picture where there is one.
var spokenHelp = map[screen.Act]string{
	actFollow: "say the next cue", actScrollOn: "say the next five cues", actScrollBack: "say again what was said last",
	actZoomAll: "say the state, the time and what is left", actPanel: "say the sky, then the taps, the sound, the nudge, the log",
	actSearch: "after a run: say what was commanded and what is still loaded",
	actFilter: "find cues whose text has these letters", actZoomIn: notSpoken, actZoomOut: notSpoken,
	actFold: notSpoken, screen.ActTheme: notSpoken, actStopReading: notSpoken, screen.ActHelp: "the keys of now; again: all keys",
	ActCheck: notSpoken, ActCalibrate: notSpoken,
}
