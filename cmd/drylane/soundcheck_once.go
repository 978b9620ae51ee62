package main

import (
	"context"
	"fmt"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"drylane/playback"
	"drylane/playback/desk"
	"drylane/playback/loudness"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/timebase"
)

// signalTime is how long a test signal plays unless --for says otherwise.
const signalTime = 10 * time.Second

// playOnce plays one source without a person and says what it did.
func playOnce(e *env, l *desk.Library, what string, length time.Duration, s desk.Sound) error {
	if length < 0 || length > 24*time.Hour {
		return fmt.Errorf("--for: found %v; wanted up to 24h", length)
	}
	i, err := l.Find(what)
	if err != nil {
		return err
	}
	src := l.Sources[i]
	if src.Endless() && length == 0 {
		length = signalTime
	}
	rate := l.Rate()
	if src.File != nil && src.File.Problem == "" {
		rate = src.File.Info.Rate
	}
	out, err := desk.NewOutputs(s, rate)
	if err != nil {
		return err
	}
	defer out.Close()
	if out.NoDevice() {
		fmt.Fprintln(e.errOut, sink.NoDevice)
	}
	d := l.Desk([]desk.Source{src}, out)
	err = d.PlayOnce(e.ctx, 0, length)
	if e := out.Finish(err == nil); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	end := d.Snapshot()
	fmt.Fprintf(e.out, "played %s for %s at %d Hz: %s\n", src.Title(), end.Position.Round(time.Millisecond), rate, levels(src, end))
	return nil
}

// levels says how loud a source was played.
func levels(src desk.Source, s *desk.Snapshot) string {
	text := fmt.Sprintf("left %s dB, right %s dB", s.Gain[0], s.Gain[1])
	if src.File == nil {
		text = fmt.Sprintf("%s dBFS, %s", src.Signal.Level(s.Level), text)
	}
	if s.Overs > 0 {
		text += fmt.Sprintf("; CLIPPED: %d samples over 0 dBFS", s.Overs)
	}
	return text
}

// listLibrary prints every sound file of the show and measures it. A file that
// cannot be played as it should makes it fail.
func listLibrary(e *env, l *desk.Library) error {
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "file\tformat\trate\tchannels\tlength\tLUFS\tdBTP\tused as")
	var wrong []string
	for _, f := range l.Files {
		name, uses := show.Clean(f.Name), strings.Join(f.Uses, "; ")
		if f.Problem != "" {
			fmt.Fprintf(w, "%s\t-\t-\t-\t-\t-\t-\t%s\n", name, uses)
			wrong = append(wrong, f.Problem)
			continue
		}
		r, info, err := measure(e.ctx, l, f.Name)
		if err != nil {
			wrong = append(wrong, name+": "+show.Clean(err.Error()))
		}
		if f.Caution != "" {
			wrong = append(wrong, f.Caution)
		}
		if n := len(info.Damage); n > 0 {
			wrong = append(wrong, fmt.Sprintf("%s: %d damaged places, the first at %s", name, n, timebase.ClockMillis(info.Damage[0].At.At(info.Rate))))
		}
		fmt.Fprintf(w, "%s\t%s\t%d\t%d\t%s\t%s\t%s\t%s\n", name, f.Info.Format, f.Info.Rate, f.Info.Channels,
			timebase.ClockMillis(f.Info.Duration()), level(r, r.Integrated), level(r, r.TruePeak), uses)
	}
	w.Flush()
	for _, s := range append(l.Warnings, wrong...) {
		fmt.Fprintln(e.errOut, s)
	}
	if len(wrong) > 0 {
		return errSilent
	}
	return nil
}

// measure reads a whole file. A mono file counts as what a pair of
// loudspeakers makes of it.
func measure(ctx context.Context, l *desk.Library, name string) (loudness.Result, playback.Info, error) {
	m, err := l.Open(name)
	if err != nil {
		return loudness.Result{}, playback.Info{}, err
	}
	defer m.Close()
	r, err := loudness.Measure(ctx, m, m.Rate(), m.Channels(), loudness.Options{DualMono: true, CutOff: m.Info().CutOff()})
	return r, m.Info(), err
}

// level is a level of r for a table; silence is said in words.
func level(r loudness.Result, v loudness.Level) string {
	if math.IsInf(float64(v), -1) {
		return "silent"
	}
	if r.AtLeast {
		return "at least " + v.String()
	}
	return v.String()
}
