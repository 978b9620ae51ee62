package probe

import (
	"context"
	"io"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// A fake is a terminal that answers, as far as it knows how to.
type fake struct {
	keys io.Writer // to the program
	// wide says how many columns a character takes; nil for one each.
	wide     func(r rune) int
	mute     bool // answers nothing
	releases bool
	column   int
	drawn    strings.Builder
}

func (f *fake) Write(p []byte) (int, error) {
	f.drawn.Write(p)
	for s := string(p); s != ""; {
		switch {
		case strings.HasPrefix(s, "\x1b"):
			i := strings.IndexFunc(s[2:], func(r rune) bool { return r >= '@' && r <= '~' })
			f.asked(s[:i+3])
			s = s[i+3:]
			continue
		case s[0] == '\r':
			f.column = 0
		case s[0] >= ' ':
			r, _ := utf8.DecodeRuneInString(s)
			f.column++
			if f.wide != nil {
				f.column += f.wide(r) - 1
			}
		}
		_, n := utf8.DecodeRuneInString(s)
		s = s[n:]
	}
	return len(p), nil
}

func (f *fake) asked(what string) {
	if f.mute {
		return
	}
	switch what {
	case askCursor:
		io.WriteString(f.keys, "\x1b[1;"+string(rune('1'+f.column%9))+"R")
	case askWhat:
		io.WriteString(f.keys, "\x1b[?62;c")
	case askKeys:
		if f.releases {
			io.WriteString(f.keys, "\x1b[?0u")
		}
	}
}

// open is a terminal of 20x4 that the fake stands for.
func open(f *fake) *Terminal {
	in, out := io.Pipe()
	lines := make(chan string, 1000)
	go func() {
		for s := range lines {
			io.WriteString(out, s)
		}
	}()
	f.keys = queue(lines)
	t := New(in, f)
	t.Columns, t.Rows, t.Colours, t.Characters = 20, 4, 256, []rune("▌░▸│")
	return t
}

// queue takes what is written without waiting for whoever reads it.
type queue chan<- string

func (q queue) Write(p []byte) (int, error) { q <- string(p); return len(p), nil }

// TestAsk: what a terminal answers is what it is said to be, and the screen is given
// back as it was.
func TestAsk(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name     string
		fake     *fake
		wrong    string
		releases bool
	}{
		{"plain", &fake{}, "", false},
		{"tells of keys", &fake{releases: true}, "", true},
		{"wide", &fake{wide: func(r rune) int {
			if r == '▸' {
				return 2
			}
			return 1
		}}, "▸", false},
		{"bytes for characters", &fake{wide: utf8.RuneLen}, "▌░▸│", false},
	}
	for _, tt := range tests {
		f, err := open(tt.fake).Ask(t.Context())
		if err != nil || !f.Answers || f.Wrong != tt.wrong || f.Releases != tt.releases || f.Asked != 4 || f.Redraw <= 0 || f.Slow < f.Redraw {
			t.Errorf("%s: %+v, %v; wanted %q to be wrong, releases %v", tt.name, f, err, tt.wrong, tt.releases)
		}
		if d := tt.fake.drawn.String(); !strings.HasPrefix(d, enter) || !strings.HasSuffix(d, leave) {
			t.Errorf("%s: the screen is not given back: %q", tt.name, d[len(d)-20:])
		}
	}
}

// TestMute: a terminal that answers nothing is waited for once.
func TestMute(t *testing.T) {
	t.Parallel()
	f := &fake{mute: true}
	began := time.Now()
	got, err := open(f).Ask(t.Context())
	if err != nil || got.Answers || got.Asked != 0 || got.Columns != 20 {
		t.Errorf("got %+v, %v", got, err)
	}
	if took := time.Since(began); took < patience {
		t.Errorf("it was given up after %v; wanted %v", took, patience)
	}
	if !strings.HasSuffix(f.drawn.String(), leave) {
		t.Errorf("the screen is not given back: %q", f.drawn.String())
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := open(&fake{mute: true}).Ask(ctx); err != context.Canceled {
		t.Errorf("stopped: got %v", err)
	}
}

// TestRepeat: the first pause and the others of a key that is held down.
func TestRepeat(t *testing.T) {
	t.Parallel()
	began := time.Now()
	at := func(ms int, keys string) chunk { return chunk{began.Add(time.Duration(ms) * time.Millisecond), keys} }
	tests := []struct {
		name         string
		keys         []chunk
		came         int // 0 for nothing
		after, every time.Duration
	}{
		{"held", []chunk{at(0, "j"), at(500, "j"), at(533, "j"), at(560, "j"), at(600, "j")}, 5, 500 * time.Millisecond, 100 * time.Millisecond / 3},
		{"once", []chunk{at(0, "j")}, 1, 0, 0},
		{"another follows", []chunk{at(0, "j"), at(400, "\r")}, 1, 0, 0},
		{"passed over", []chunk{at(0, "\r")}, 0, 0, 0},
		{"gone", nil, 0, 0, 0},
	}
	for _, tt := range tests {
		chunks := make(chan chunk, 10)
		for _, c := range tt.keys {
			chunks <- c
		}
		close(chunks) // nobody is at the keys any more
		r := (&Terminal{chunks: chunks}).Repeat(t.Context())
		switch {
		case (r != nil) != (tt.came > 0):
			t.Errorf("%s: got %+v", tt.name, r)
		case r != nil && (r.Keys != tt.came || time.Duration(r.After) != tt.after || time.Duration(r.Every).Round(time.Microsecond) != tt.every.Round(time.Microsecond)):
			t.Errorf("%s: got %+v; wanted %d keys, %v and %v", tt.name, r, tt.came, tt.after, tt.every)
		}
	}
}
