package console

import (
	"fmt"
	"strings"

	"drylane/show/board"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// fieldLines say what the field board counts, and of the chosen device.
func (p *Spoken) fieldLines() []string {
	f := p.snap.Field
	switch {
	case f == nil && p.snap.Ready == nil:
		return []string{"No field board, and nobody to ask"}
	case !p.boardUp():
		return []string{"LANES"}
	}
	lines := []string{"FIELD BOARD. " + p.answering()}
	if out := p.fieldOut(); len(out) > 0 {
		lines = append(lines, fmt.Sprintf("OUT: %d, the last back in %s", len(out), timebase.ClockUp(out[len(out)-1].Back-p.now.Sub(f.Opened))))
	}
	return lines
}

// answering says how many of those that the field board expects answer.
func (p *Spoken) answering() string {
	p.field.look(p.snap.Field, p.now)
	return board.CountOf(p.field.rows).String()
}

// boardAnswer is what is said to a key that is for the field board; nil for others.
func (p *Spoken) boardAnswer(a screen.Act) []string {
	p.field.look(p.snap.Field, p.now)
	if len(p.field.rows) == 0 {
		return nil
	}
	switch a {
	case actLaneUp, actLaneDown:
		return p.deviceLine()
	case actPanel:
		row := p.field.rows[p.chosen()]
		return p.deviceLines(&row)
	}
	return nil
}

// deviceLine is all that the board has of the chosen device: its figures, and nothing
// of what they mean.
func (p *Spoken) deviceLine() []string {
	row := p.field.rows[p.chosen()]
	wide := p.columns(screen.Rect(0, 0, 200, 1))
	texts := p.texts(&row, wide)
	var parts []string
	for i, col := range wide.list[1:] {
		if text := texts[i+1]; text != "" {
			parts = append(parts, col.name+" "+text)
		}
	}
	return []string{row.Kind.String() + " " + row.Name + ": " + strings.Join(parts, ", ")}
}

// faultLines ask what is wrong with the chosen device.
func (p *Spoken) faultLines() []string {
	lines := []string{"WHAT IS WRONG with " + p.device + "? " + p.chooseSpoken()}
	if p.snap.Field == nil {
		return lines
	}
	for i, f := range faultsOf(p.snap.Field, p.device, p.now) {
		word := f.Word()
		if f == board.NoFault {
			word = "nothing: it takes a mark back"
		}
		lines = append(lines, fmt.Sprintf("%d: %s", i, word))
	}
	return lines
}
