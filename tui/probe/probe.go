// Package probe asks the user's terminal what it can do: how wide it draws the
// characters of the screens, how fast, and what it tells of keys.
package probe

import (
	"context"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"drylane/show/fitness"
)

// A Terminal is asked over a line: what is written goes to it, and what is read, key
// by key, comes from it.
type Terminal struct {
	Columns, Rows int
	Colours       int // 0, 16, 256 or 1<<24
	Characters    []rune

	out    io.Writer
	chunks chan chunk
	text   string // what has come and was not made use of
}

// chunk is what one read gave, and when.
type chunk struct {
	at   time.Time
	text string
}

// New takes a line in raw mode. It reads until the program ends: nothing else may.
func New(in io.Reader, out io.Writer) *Terminal {
	t := &Terminal{out: out, chunks: make(chan chunk, 256)}
	go func() {
		defer close(t.chunks)
		buf := make([]byte, 4096)
		for {
			n, err := in.Read(buf)
			if n > 0 {
				t.chunks <- chunk{time.Now(), string(buf[:n])}
			}
			if err != nil {
				return
			}
		}
	}()
	return t
}

// What is asked, by ECMA-48 but for the last two: where the cursor is (DSR 6, answered
// by CPR), what the terminal is (DA), and which of the keyboard modes of the terminal
// kitty are on, which no other terminal answers.
const (
	askCursor = "\x1b[6n"
	askWhat   = "\x1b[c"
	askKeys   = "\x1b[?u"
	enter     = "\x1b[?1049h\x1b[?25l\x1b[H\x1b[2J"
	leave     = "\x1b[0m\x1b[?25h\x1b[?1049l"
)

var (
	cursorIs = regexp.MustCompile(`\x1b\[(\d+);(\d+)R`)
	whatIs   = regexp.MustCompile(`\x1b\[\?[\d;]*c`)
	keysAre  = regexp.MustCompile(`\x1b\[\?\d+u`)
)

// patience is how long an answer may take: over a slow network, too.
const patience = 2 * time.Second

// Ask asks all that needs nobody at the keys.
func (t *Terminal) Ask(ctx context.Context) (*fitness.Terminal, error) {
	f := &fitness.Terminal{Columns: t.Columns, Rows: t.Rows, Colours: t.Colours}
	if _, err := io.WriteString(t.out, enter); err != nil {
		return nil, err
	}
	defer io.WriteString(t.out, leave)
	if f.Answers = t.cursor(ctx, 1) != nil; !f.Answers {
		return f, ctx.Err()
	}
	f.Releases = t.tellsOfKeys(ctx)
	f.Asked = len(t.Characters)
	f.Wrong = t.wrong(ctx)
	f.Redraw, f.Slow = t.redraw(ctx)
	return f, ctx.Err()
}

// cursor asks for the cursor and waits for n answers to that question; it returns the
// columns, from 1, or nil if not all came.
func (t *Terminal) cursor(ctx context.Context, n int) []int {
	if _, err := io.WriteString(t.out, askCursor); err != nil {
		return nil
	}
	var columns []int
	for len(columns) < n {
		m := t.await(ctx, cursorIs)
		if m == nil {
			return nil
		}
		column, _ := strconv.Atoi(m[2])
		columns = append(columns, column)
	}
	return columns
}

// tellsOfKeys reports whether the terminal knows the keyboard modes. Every terminal
// answers the second question, so that the first one need not be waited for.
func (t *Terminal) tellsOfKeys(ctx context.Context) bool {
	if _, err := io.WriteString(t.out, askKeys+askWhat); err != nil {
		return false
	}
	text := t.text
	for whatIs.FindString(text) == "" {
		c, ok := t.next(ctx, patience)
		if !ok {
			break
		}
		text += c.text
	}
	t.text = ""
	return keysAre.MatchString(text)
}

// await waits for a text of a pattern, and drops what comes before it.
func (t *Terminal) await(ctx context.Context, pattern *regexp.Regexp) []string {
	for {
		if at := pattern.FindStringSubmatchIndex(t.text); at != nil {
			m := pattern.FindStringSubmatch(t.text)
			t.text = t.text[at[1]:]
			return m
		}
		c, ok := t.next(ctx, patience)
		if !ok {
			return nil
		}
		t.text += c.text
	}
}

// next is what comes in within a time.
func (t *Terminal) next(ctx context.Context, within time.Duration) (chunk, bool) {
	timer := time.NewTimer(within)
	defer timer.Stop()
	select {
	case c, ok := <-t.chunks:
		return c, ok
	case <-timer.C:
	case <-ctx.Done():
	}
	return chunk{}, false
}

// wrong draws every character at the left edge and returns those after which the
// cursor is not in the second column.
func (t *Terminal) wrong(ctx context.Context) string {
	var wrong []rune
	for some := range slices.Chunk(t.Characters, 32) {
		var b strings.Builder
		for i, r := range some {
			b.WriteString("\r\x1b[K" + string(r))
			if i < len(some)-1 {
				b.WriteString(askCursor)
			}
		}
		if _, err := io.WriteString(t.out, b.String()); err != nil {
			return string(wrong)
		}
		for i, column := range t.cursor(ctx, len(some)) {
			if column != 2 {
				wrong = append(wrong, some[i])
			}
		}
	}
	return string(wrong)
}

// redraws is how often a whole screen is drawn.
const redraws = 15

// redraw draws whole screens, of which no two neighbours are alike, and takes the time
// until the terminal has come to the end of each.
func (t *Terminal) redraw(ctx context.Context) (median, worst fitness.Milliseconds) {
	var took []time.Duration
	for n := range redraws {
		began := time.Now()
		if _, err := io.WriteString(t.out, picture(t.Columns, t.Rows, n)); err != nil || t.cursor(ctx, 1) == nil {
			break
		}
		took = append(took, time.Since(began))
	}
	if len(took) == 0 {
		return 0, 0
	}
	slices.Sort(took)
	return fitness.Milliseconds(took[len(took)/2]), fitness.Milliseconds(took[len(took)-1])
}

// picture is a screen full of what the console is made of, with a change of colour
// every few cells, as lanes have.
func picture(columns, rows, n int) string {
	cells := []rune("▌░░░░·▸───▐⣿⣽⣖  a1")
	var b strings.Builder
	b.WriteString("\x1b[H")
	for y := range rows {
		for x := range columns {
			if (x+n)%6 == 0 {
				b.WriteString("\x1b[" + strconv.Itoa(31+(x+y+n)%6) + "m")
			}
			b.WriteRune(cells[(x+3*y+n)%len(cells)])
		}
		if y < rows-1 {
			b.WriteString("\r\n")
		}
	}
	return b.String()
}
