package board

import (
	"fmt"
	"strings"

	"drylane/show/timebase"
	"drylane/show/words"
)

// Words tell the account, a line each; armed says that the show was armed, and the
// account is of that moment. A device's name is as the show has it, not made fit for
// a terminal.
func (a Account) Words(armed bool) []string {
	lines := []string{a.heading()}
	var open []string
	for _, f := range a.Found {
		lines = append(lines, f.String())
		if f.Open {
			open = append(open, f.Device)
		}
	}
	for _, x := range []struct {
		what string
		list []string
	}{
		{"marked though nothing was wrong", a.False},
		{"somebody was sent though nothing was wrong", a.Needless},
	} {
		if len(x.list) > 0 {
			lines = append(lines, x.what+": "+strings.Join(x.list, ", "))
		}
	}
	switch {
	case !armed:
		lines = append(lines, "the show was not armed")
	case len(open) > 0:
		lines = append(lines, "armed with these still wrong: "+strings.Join(open, ", "))
	case len(a.Found) > 0:
		lines = append(lines, "armed with all of it put right")
	}
	return lines
}

func (a Account) heading() string {
	var found, right int
	for _, f := range a.Found {
		if f.Marked {
			found++
		}
		if f.Marked && f.Right {
			right++
		}
	}
	if len(a.Found) == 0 {
		return "Field board: nothing was wrong"
	}
	return fmt.Sprintf("Field board: %s, %d found, %d named rightly", words.Count(len(a.Found), "fault"), found, right)
}

// String tells what became of the fault.
func (f Found) String() string {
	said := "not found"
	switch {
	case f.Marked && f.Right:
		said = "named rightly after " + timebase.ClockTenths(f.At)
	case f.Marked:
		said = "marked after " + timebase.ClockTenths(f.At) + ", named wrongly"
	case f.Right:
		said = "not marked, and well by itself"
	}
	if f.Mended {
		said += ", put right"
	} else if f.Open {
		said += ", still wrong"
	}
	return fmt.Sprintf("%s, %s: %s", f.Device, f.Fault, said)
}
