package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"drylane/playback/crew"
	"drylane/playback/earpiece"
	"drylane/playback/output"
	"drylane/playback/sink"
	roles "drylane/show/crew"
)

// hearFlags are the flags of what is heard at a joined machine.
type hearFlags struct {
	Show    string        `placeholder:"DIR" help:"This machine's own copy of the lead's show folder, to hear music or calls from. Without it nothing is heard here."`
	Hear    string        `default:"" enum:",music,calls,nothing" help:"What is heard here: music, calls (of one's own position) or nothing; default: calls for a position, music for a listener, nothing for others."`
	Out     string        `default:"auto" placeholder:"WHERE" help:"Where the sound goes: auto, device, device:NAME (Linux) or silent."`
	Latency time.Duration `placeholder:"TIME" help:"What the device does not tell of its latency, such as 180ms for a wireless speaker."`
}

// hearHelp tells what is heard at a joined machine.
const hearHelp = "With --show DIR a position hears its calls and a listener the music, in step with the lead, from a copy of the lead's show folder on this machine. " +
	"A copy with another soundtrack, or for calls with other cues, is refused: what is heard would not be what is played.\n\n"

// what is to be heard by somebody of that role.
func (f hearFlags) what(r roles.Role) earpiece.Hear {
	if f.Hear == "" && f.Show == "" {
		return earpiece.Nothing
	}
	return cmp.Or(earpiece.Hear(f.Hear), earpiece.ForRole(r))
}

// check refuses what cannot be heard, before anybody is asked.
func (f hearFlags) check(r roles.Role) error {
	h := f.what(r)
	if err := h.Check(r); err != nil {
		return fmt.Errorf("--hear: %w", err)
	}
	switch {
	case h == earpiece.Nothing:
		return nil
	case f.Show == "":
		return errors.New("--hear: found no copy of the show to hear it from; wanted --show DIR")
	case f.Latency < sink.LeastLatency || f.Latency > sink.MostLatency:
		return fmt.Errorf("--latency: found %v; wanted -2s to 5s", f.Latency)
	}
	return nil
}

// An ear is what is heard at a joined machine; nil where nothing is.
type ear struct {
	*earpiece.Earpiece
	source *earpiece.Source
}

// open opens what is heard, for a member that has joined.
func (f hearFlags) open(ctx context.Context, m *crew.Member, r roles.Role) (*ear, error) {
	h := f.what(r)
	if h == earpiece.Nothing {
		return nil, nil
	}
	source, err := earpiece.Open(ctx, f.Show, h, r, m.View().Welcome.Copy)
	if err != nil {
		return nil, fmt.Errorf("--show: %w, or --hear nothing", err)
	}
	out, err := sink.Place{Where: f.Out, Speed: "1", Latency: f.Latency}.Sink(source.Rate, output.DefaultBuffer)
	if err == nil && out.Now == nil {
		err = fmt.Errorf("--out: found %q; wanted auto, device, device:NAME or silent", f.Out)
		out.Finish(false)
	}
	if err != nil {
		source.Close()
		return nil, err
	}
	device, err := out.Open()
	if err != nil {
		source.Close()
		return nil, fmt.Errorf("--out: %w", err)
	}
	return &ear{earpiece.Start(earpiece.Setup{Link: m, Name: source.Name, Stream: source.Stream, Rate: source.Rate, Output: device, Open: out.Open}), source}, nil
}

// status is how it stands; nil where nothing is heard.
func (e *ear) status() *earpiece.Status {
	if e == nil {
		return nil
	}
	s := e.Status()
	return &s
}

// report is a line of the machine's log: what is heard, and how well it kept step.
func (e *ear) report(m *crew.Member) crew.Report {
	v := m.View()
	return crew.Report{At: v.Lead(), Bound: v.Clock.Bound, Kind: "sound", Text: e.status().Words()}
}

// close falls silent.
func (e *ear) close() {
	if e == nil {
		return
	}
	e.Close()
	e.source.Close()
}
