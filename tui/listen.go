package tui

import (
	"fmt"
	"time"

	"drylane/playback/deck"
)

// listenOn goes through what can be heard on the first output: the music, the
// first companion track, the next, and the music again.
func (m *Console) listenOn() {
	if n := len(m.Show.Tracks); n > 0 {
		m.Run.Listen((m.snap.Source + 1) % (n + 1))
	}
}

// factHeard says that it is not the music that is heard, and returns the column
// behind that; x when it is the music.
func (m *Console) factHeard(c *canvas, x, y, end int) int {
	if m.snap.Listening == "" {
		return x
	}
	return c.text(x, y, end-x, "NOT THE MUSIC: "+m.snap.Listening, Caution) + 1
}

// deviceText names the device, and what plays beside the music, in few words.
func (m *Console) deviceText() (string, Style) {
	b := m.snap.Second
	switch {
	case b == nil:
		return deviceName(m.snap.Output), Quiet
	case b.Lost:
		return "LOST: " + b.Name, Alarm
	}
	return deviceName(m.snap.Output) + " + " + b.Name, Quiet
}

// besideText says what plays beside the music, where, and how far from it.
func besideText(b *deck.SecondNow) (string, Style) {
	if b.Lost {
		return "; beside it " + b.Name + " is LOST", Alarm
	}
	text := "; beside it " + b.Name + " on " + deviceName(b.Output)
	if off := b.Off.Abs(); off >= 50*time.Microsecond {
		word := "ahead"
		if b.Off < 0 {
			word = "behind"
		}
		text += fmt.Sprintf(", %.1f ms %s", off.Seconds()*1000, word)
	}
	return text, Normal
}
