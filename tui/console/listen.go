package console

import (
	"fmt"
	"time"

	"drylane/playback/deck"
	"drylane/tui/screen"
)

// listenOn goes through what can be heard on the first output: the music, the
// first companion track, the next, and the music again.
func (m *Screen) listenOn() {
	if n := len(m.Show.Tracks); n > 0 {
		m.Run.Listen((m.snap.Source + 1) % (n + 1))
	}
}

// factHeard says that it is not the music that is heard, and returns the column
// behind that; x when it is the music.
func (m *Screen) factHeard(c *screen.Canvas, x, y, end int) int {
	if m.snap.Listening == "" {
		return x
	}
	return c.Text(x, y, end-x, "NOT THE MUSIC: "+m.snap.Listening, screen.Caution) + 1
}

// deviceText names the device, and what plays beside the music, in few words.
func (m *Screen) deviceText() (string, screen.Style) {
	b := m.snap.Second
	switch {
	case b == nil:
		return screen.DeviceName(m.snap.Output), screen.Quiet
	case b.Lost:
		return "LOST: " + b.Name, screen.Alarm
	case b.Silent:
		return "SILENT: " + b.Name, screen.Alarm
	}
	return screen.DeviceName(m.snap.Output) + " + " + b.Name, screen.Quiet
}

// besideText says what plays beside the music, where, and how far from it.
func besideText(b *deck.SecondNow) (string, screen.Style) {
	if b.Lost {
		return "; beside it " + b.Name + " is LOST", screen.Alarm
	}
	if b.Silent {
		return "; beside it " + b.Name + " is SILENT", screen.Alarm
	}
	text := "; beside it " + b.Name + " on " + screen.DeviceName(b.Output)
	if off := b.Off.Abs(); off >= 50*time.Microsecond {
		word := "ahead"
		if b.Off < 0 {
			word = "behind"
		}
		text += fmt.Sprintf(", %.1f ms %s", off.Seconds()*1000, word)
	}
	return text, screen.Normal
}
