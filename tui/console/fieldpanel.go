package console

import (
	"fmt"

	"drylane/show/board"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// panelDevice is the panel of the device chosen on the field board; the panel key does
// not come to it.
const panelDevice = -1

// drawDevice shows all that is known of the chosen device.
func (m *Screen) drawDevice(c *screen.Canvas, r screen.Rectangle) {
	if len(m.field.rows) == 0 {
		c.Heading(r, "device")
		return
	}
	row := m.field.rows[m.chosen()]
	r = c.Heading(r, row.Kind.String()+" "+row.Name)
	panelLines(c, r, m.deviceLines(&row))
}

// deviceLines are what is known of a device, first what may not fit in its row.
func (m *Screen) deviceLines(r *board.Row) []string {
	lines := []string{m.holds(r, 1000)}
	if r.Kind == board.Player {
		lines = []string{"wanted " + hash8(r.Want.SHA256) + " " + r.Want.File, "has    -"}
		if r.Heard {
			lines[1] = "has    " + hash8(r.Reading.SHA256) + " " + r.Reading.File
		}
	}
	if r.Marked != board.NoFault {
		mark := "marked " + string(r.Marked) + " at " + timebase.Clock(r.MarkedAt)
		if r.PutRight {
			mark += ", " + putRight
		}
		lines = append(lines, mark)
	}
	if r.Out {
		lines = append(lines, m.outText(r)+" to go")
	}
	if r.Heard {
		lines = append(lines, fmt.Sprintf("%.1f dB over what its receiver needs", r.SignalDB))
		charge := "charge " + percent(r.Charge)
		if r.Planned {
			charge += ", to last it needs " + percent(r.Needs)
		}
		lines = append(lines, charge)
	}
	return lines
}

// drawFaults asks what is wrong with the chosen device.
func (m *Screen) drawFaults(c *screen.Canvas) {
	if m.snap.Field == nil {
		return
	}
	list := faultsOf(m.snap.Field, m.device, m.now)
	r := c.Box(74, len(list)+3, "what is wrong with "+m.device+"?")
	for i, f := range list {
		help := f.Help()
		if f == board.NoFault {
			help = "nothing: it takes a mark back"
		}
		m.drawPick(c, r.X-1, r.Y+i, i)
		c.Text(r.X, r.Y+i, 2, fmt.Sprint(i), screen.KeyName)
		c.Text(r.X+3, r.Y+i, 14, f.Word(), screen.Strong)
		c.Text(r.X+18, r.Y+i, r.W-18, help, screen.Normal)
	}
	c.Text(r.X, r.Y+r.H-1, r.W, m.chooseHint(), screen.Quiet)
}

// boardKeys are the keys of the bottom line while the field board stands there.
var boardKeys = []bottomKey{{actArm, "ARM"}, {actLaneDown, "next"}, {actGo, "name a fault"}, {actRepair, "send somebody"},
	{screen.ActHelp, "help"}, {screen.ActQuit, "quit"}, {actField, "lanes"}}

// boardHint says what the board is for.
func (m *Screen) boardHint() string {
	k := m.Keys.Name
	return fmt.Sprintf("What is wrong out there? %s names it, %s has it put right, %s arms.", k(actGo), k(actRepair), k(actArm))
}
