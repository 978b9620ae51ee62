package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"drylane/playback"
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

// source opens the copy of what is heard, for a member that has joined; nil where nothing
// is.
func (f hearFlags) source(ctx context.Context, m *crew.Member, r roles.Role) (*earpiece.Source, error) {
	h := f.what(r)
	if h == earpiece.Nothing {
		return nil, nil
	}
	s, err := earpiece.Open(ctx, f.Show, h, r, m.View().Welcome.Copy)
	if err != nil {
		return nil, fmt.Errorf("--show: %w, or --hear nothing", err)
	}
	return s, nil
}

// start plays a copy along, and has the machine's log told. The copy is closed with what
// is returned, or where that fails.
func (f hearFlags) start(m *crew.Member, s *earpiece.Source, log *crew.Diary) (*ear, error) {
	if s == nil {
		return nil, nil
	}
	out, err := sink.Place{Where: f.Out, Speed: "1", Latency: f.Latency}.Sink(s.Rate, output.DefaultBuffer)
	if err == nil && out.Now == nil {
		out.Finish(false)
		err = fmt.Errorf("--out: found %q; wanted auto, device, device:NAME or silent", f.Out)
	}
	var device playback.Output
	if err == nil {
		device, err = out.Open()
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	report := func(words string) {
		v := m.View()
		log.Report(crew.Report{At: v.Lead(), Bound: v.Clock.Bound, Kind: "sound", Text: words})
	}
	return &ear{earpiece.Start(earpiece.Setup{Link: m, Name: s.Name, Stream: s.Stream, Rate: s.Rate, Calls: s.Calls, Output: device, Open: out.Open, Report: report}), s}, nil
}

// status is how it stands; nil where nothing is heard.
func (e *ear) status() *earpiece.Status {
	if e == nil {
		return nil
	}
	s := e.Status()
	return &s
}

// close falls silent.
func (e *ear) close() {
	if e == nil {
		return
	}
	e.Close()
	e.source.Close()
}
