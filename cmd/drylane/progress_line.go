package main

import (
	"fmt"
	"time"

	"github.com/charmbracelet/x/term"
)

// A progressLine tells on a terminal how much of a long pass is done and how long
// the rest will take; anywhere else it says nothing.
type progressLine struct {
	w     term.File
	what  string
	began time.Time // what is done now
	first time.Time // when anything was
	last  time.Time
}

// quickly is how long work may take without a word on how long it will.
const quickly = time.Second / 2

// progress starts a progress line on standard error; what may be told later.
func (e *env) progress(what string) *progressLine {
	now := time.Now()
	p := &progressLine{what: what, began: now, first: now}
	if f, ok := e.errOut.(term.File); ok && term.IsTerminal(f.Fd()) {
		p.w = f
	}
	return p
}

// tell says what is being done, and that this part of it, 0 to 1, is over.
func (p *progressLine) tell(what string, part float64) {
	now := time.Now()
	if what != p.what {
		p.what, p.began = what, now
	}
	if p.w == nil || part <= 0 || now.Sub(p.first) < quickly || now.Sub(p.last) < 200*time.Millisecond {
		return
	}
	p.last = now
	left := time.Duration(float64(now.Sub(p.began)) * (1 - part) / part)
	fmt.Fprintf(p.w, "\r%s: %3.0f %%, %d s left \x1b[K", p.what, 100*part, int(left.Seconds()+0.5))
}

// done is tell for a pass that does one thing.
func (p *progressLine) done(part float64) { p.tell(p.what, part) }

// end takes the line away: before anything else is written.
func (p *progressLine) end() {
	if p.w != nil && !p.last.IsZero() {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.last = time.Time{}
	}
}
