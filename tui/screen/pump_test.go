package screen

import (
	"io"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// A keyTaker is a screen that hands on each key as soon as it arrives.
type keyTaker struct {
	tea.Model
	keys chan string
	at   chan time.Time
}

func newKeyTaker() *keyTaker {
	return &keyTaker{keys: make(chan string, 100), at: make(chan time.Time, 100)}
}

func (k *keyTaker) Arrived(in Input, at time.Time) tea.Msg {
	k.keys <- in.Key
	k.at <- at
	return in.Msg(at)
}

// TestBurst: keys that arrive at once are each of them, at one moment but for
// their order, and go to the screen in it; pasted text is no key, and the end is
// told.
func TestBurst(t *testing.T) {
	t.Parallel()
	m := newKeyTaker()
	sent := make(chan tea.Msg, 100)
	pump(strings.NewReader("jjj e\x1b[200~a\x1b[201~\x1b[D"), m.Arrived, func(msg tea.Msg) { sent <- msg })
	at := <-m.at
	key := func(name string, after time.Duration) tea.Msg { return KeyMsg{Key: name, At: at.Add(after)} }
	for _, want := range []tea.Msg{key("j", 0), key("j", 1), key("j", 2), key("space", 3), key("e", 4), PasteMsg("a"), key("left", 6), GoneMsg{}} {
		if got := <-sent; got != want {
			t.Errorf("sent %v, want %v", got, want)
		}
	}
}

// TestKeysDoNotWaitForTheScreen: keys arrive although the screen takes not one
// message.
func TestKeysDoNotWaitForTheScreen(t *testing.T) {
	t.Parallel()
	m := newKeyTaker()
	r, w := io.Pipe()
	blocked, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		pump(r, m.Arrived, func(tea.Msg) { <-blocked })
	}()
	for i := range 3000 { // more than any key that is held down
		if i%100 == 0 {
			io.WriteString(w, strings.Repeat("x", 100))
		}
		<-m.keys
		<-m.at
	}
	for keys, want := range map[string]string{"j": "j", "\x1b[D": "left", " ": "space", "\x7f": "backspace"} {
		if _, err := io.WriteString(w, keys); err != nil {
			t.Fatal(err)
		}
		select {
		case got := <-m.keys:
			if got != want {
				t.Errorf("%q arrived as %s, want %s", keys, got, want)
			}
		case <-time.After(20 * time.Second):
			t.Fatalf("%q did not arrive while the screen was blocked", keys)
		}
	}
	w.Close()
	close(blocked)
	<-done
}
