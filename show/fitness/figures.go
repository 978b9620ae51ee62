// Package fitness judges from what was measured on a computer whether it is fit to
// rehearse on, and says what to change. It measures nothing itself.
package fitness

import (
	"strconv"
	"time"
)

// Figures are what was measured. A part that could not be tried is nil, and Untried
// says why. As JSON they go to whoever helps: nothing in it names a person, a
// computer or a folder.
type Figures struct {
	Program  string          `json:"program"` // name and version
	System   string          `json:"system"`  // such as linux/amd64
	CPUs     int             `json:"cpus"`
	Sound    *Sound          `json:"sound,omitempty"`
	Loop     *Loop           `json:"loop,omitempty"`
	Timer    *Timer          `json:"timer,omitempty"`
	Disk     *Disk           `json:"disk,omitempty"`
	Clock    *Clock          `json:"clock,omitempty"`
	Terminal *Terminal       `json:"terminal,omitempty"`
	Untried  map[Part]string `json:"untried,omitempty"`
}

// A Part is what is tried on its own.
type Part string

// The parts, in the order in which they are told.
const (
	PartSound    Part = "sound"
	PartLoop     Part = "loopback"
	PartTimer    Part = "timer"
	PartDisk     Part = "disk"
	PartClock    Part = "clock"
	PartTerminal Part = "terminal"
	PartKeys     Part = "keys"
)

// Parts are all of them.
var Parts = []Part{PartSound, PartLoop, PartTimer, PartDisk, PartClock, PartTerminal, PartKeys}

// Sound is what the output told while it played.
type Sound struct {
	Name      string       `json:"-"` // of the device, which may hold that of a person
	Server    string       `json:"server"`
	Rate      int          `json:"rate_hz"` // of what was played
	Played    Milliseconds `json:"played_ms"`
	Latency   Milliseconds `json:"latency_told_ms"` // of the device alone, as it tells
	Underruns int          `json:"underruns"`
}

// Loop is what became of clicks that were played and taken in again.
type Loop struct {
	By    By  `json:"by"`
	Sent  int `json:"clicks_sent"`
	Found int `json:"clicks_found"`
	// Late is how much later than the output told a click came, in the middle, and
	// Spread how far from that at most, of 99 clicks in 100.
	Late   Milliseconds `json:"late_ms"`
	Spread Milliseconds `json:"spread_ms"`
}

// By is what the clicks were taken in by.
type By string

// Monitor is what the sound server hands to the device, Microphone what is heard of it
// in the room, which comes 3 ms later for each metre.
const (
	Monitor    By = "monitor"
	Microphone By = "microphone"
)

// Timer is how late a task comes that wants to run every 5 ms, as the sound's does.
type Timer struct {
	Ticks  int          `json:"ticks"`
	Late99 Milliseconds `json:"late_99_in_100_ms"` // 99 in 100 are no later
	Worst  Milliseconds `json:"worst_ms"`
}

// Disk is how long the session log's folder takes to have a line safe on disk.
type Disk struct {
	Syncs  int          `json:"syncs"`
	Median Milliseconds `json:"median_ms"`
	Worst  Milliseconds `json:"worst_ms"`
}

// Clock is how the time of day went beside a clock that nobody sets.
type Clock struct {
	Watched Milliseconds `json:"watched_ms"`
	Step    Milliseconds `json:"step_ms"` // the largest within a second; positive: put forward
}

// Terminal is what the terminal told.
type Terminal struct {
	Columns int  `json:"columns"`
	Rows    int  `json:"rows"`
	Colours int  `json:"colours"` // 0, 16, 256 or 1<<24, as its environment tells
	Answers bool `json:"answers"` // where its cursor is; the rest is unknown without
	// Asked is how many characters were drawn to see how wide they come out, and Wrong
	// those that took another width than one column.
	Asked  int          `json:"characters_asked"`
	Wrong  string       `json:"characters_wrong"`
	Redraw Milliseconds `json:"redraw_ms"` // of a whole screen, median
	Slow   Milliseconds `json:"redraw_worst_ms"`
	// Releases says that it can tell of keys that are let go.
	Releases bool    `json:"key_releases"`
	Repeat   *Repeat `json:"key_repeat,omitempty"` // nil: no key was held down
}

// Repeat is how a key that is held down comes again.
type Repeat struct {
	Keys  int          `json:"keys"` // how many came; 1 for a key that does not repeat
	After Milliseconds `json:"after_ms"`
	Every Milliseconds `json:"every_ms"`
}

// Milliseconds is a time that JSON has as a number of milliseconds.
type Milliseconds time.Duration

// MarshalJSON implements json.Marshaler.
func (m Milliseconds) MarshalJSON() ([]byte, error) {
	return strconv.AppendFloat(nil, float64(m)/float64(time.Millisecond), 'f', 3, 64), nil
}

// String writes it for a person: in tenths of a millisecond, from 10 ms on in whole
// ones, and from a second on in hundredths of one.
func (m Milliseconds) String() string {
	switch d := time.Duration(m).Abs(); {
	case d >= time.Second:
		return strconv.FormatFloat(time.Duration(m).Seconds(), 'f', 2, 64) + " s"
	case d >= 10*time.Millisecond:
		return strconv.FormatInt(time.Duration(m).Round(time.Millisecond).Milliseconds(), 10) + " ms"
	}
	return strconv.FormatFloat(float64(m)/float64(time.Millisecond), 'f', 1, 64) + " ms"
}

func (m Milliseconds) abs() time.Duration { return time.Duration(m).Abs() }
