package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/report"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A printer writes the events of a scripted run as they are logged.
type printer struct {
	w      io.Writer
	json   bool
	rate   int
	length timebase.Frame // of the soundtrack
}

func newPrinter(w io.Writer, asJSON bool, music *playback.Soundtrack) *printer {
	return &printer{w, asJSON, music.Rate(), timebase.Frame(music.Len())}
}

// entry prints one event; it is called from the log's goroutine.
func (p *printer) entry(e session.Entry) {
	if p.json {
		p.line(struct {
			Event session.Entry `json:"event"`
		}{e})
		return
	}
	at := timebase.ClockMillis(timebase.Frame(e.Heard).At(p.rate))
	fmt.Fprintf(p.w, "%12s  %-12s %s\n", at, e.Kind, p.details(e))
}

// details is what an event has to say, in words.
func (p *printer) details(e session.Entry) string {
	d := e.Data
	var said []string
	add := func(format string, a ...any) { said = append(said, fmt.Sprintf(format, a...)) }
	if d.Cue != "" {
		add("cue %s", d.Cue)
	}
	if d.LateFr != nil {
		late := timebase.Frame(*d.LateFr).At(p.rate).Round(time.Millisecond)
		switch {
		case late > 0:
			add("%d ms late", late.Milliseconds())
		case late < 0:
			add("%d ms early", -late.Milliseconds())
		default:
			add("on it")
		}
	} else if e.Kind == session.KindTap {
		add("no cue near")
	}
	if d.HeldNS > 0 {
		add("after %.1f s", time.Duration(d.HeldNS).Seconds())
	}
	if d.NudgeMS != nil {
		add("%s", words.Nudge(d.Nudge()))
	}
	says := e.Words(p.rate, p.length)
	if e.Kind == session.KindDrill {
		says = d.Text
	}
	for _, s := range []string{d.Call, d.GroupBy, d.Name, says} {
		if s != "" {
			add("%s", s)
		}
	}
	if e.Kind == session.KindDrill {
		said = append([]string{d.Do}, said...)
		if drill.Deed(d.Do).TakesGroup() && d.Name == "" {
			add("all cues")
		}
		if d.From != "" {
			add("from %s", d.From)
		}
		if d.Member != "" {
			add("by %s", d.Member)
		}
		if n := len(d.Late); n > 0 {
			add("%s", show.Clean(words.Range("cue", n, d.Late[0], d.Late[n-1])))
		}
	}
	if d.Count > 0 && e.Kind != session.KindBoard {
		add("%d", d.Count)
	}
	return strings.Join(said, "  ")
}

func (p *printer) summary(s report.Summary, log string) error {
	if p.json {
		return p.line(struct {
			Summary report.Summary `json:"summary"`
			Log     string         `json:"log"`
		}{s, log})
	}
	_, err := fmt.Fprintf(p.w, "\n%ssession log: %s\n", s.Text(), show.Clean(log))
	return err
}

func (p *printer) line(v any) error {
	b, err := json.Marshal(v)
	if err == nil {
		_, err = fmt.Fprintf(p.w, "%s\n", b)
	}
	return err
}

// inset is a file's format as it stands in a help text, whose first line is set in by
// the text itself.
func inset(format string) string {
	return strings.TrimSpace(strings.ReplaceAll(format, "\n", "\n    "))
}
