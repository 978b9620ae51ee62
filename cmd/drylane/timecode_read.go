package main

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"text/tabwriter"

	"drylane/playback/codefile"
	"drylane/playback/ltc"
	"drylane/show"
	"drylane/show/timebase"
)

type timecodeReadCmd struct {
	File    string `arg:"" placeholder:"FILE" help:"The sound file."`
	Channel string `enum:"left,right,either" default:"either" placeholder:"SIDE" help:"left or right; without it the left, and the right when the left has no timecode."`
	JSON    bool   `help:"Print JSON."`
}

func (timecodeReadCmd) Help() string {
	return "Rate, first and last frame, where the timecode lies against the start of the file, and every place where it does not run on. Exit code 1 when there is none or it has faults.\n\nExample:\n\n  drylane timecode read code.wav --channel right"
}

// A codeReport is what timecode a channel of a file carries.
type codeReport struct {
	codefile.Report
	channel string
}

func (c timecodeReadCmd) Run(e *env) error {
	sides := []string{c.Channel}
	if c.Channel == "either" {
		sides = []string{"left", "right"}
	}
	var r codeReport
	var err error
	for _, side := range sides {
		p := e.progress("reading timecode")
		r.channel = side
		r.Report, err = codefile.Read(e.ctx, c.File, side, p.done)
		p.end()
		if !errors.Is(err, ltc.ErrNoTimecode) {
			break
		}
	}
	if errors.Is(err, ltc.ErrNoTimecode) && len(sides) > 1 {
		err = errors.New("no timecode found on either channel")
	}
	if err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(c.File), err)
	}
	if c.JSON {
		err = printJSON(e.out, r.json(c.File))
	} else {
		err = r.print(e, filepath.Base(c.File))
	}
	if err == nil && r.FaultCount > 0 {
		return errSilent
	}
	return err
}

// zeroMs is how many milliseconds after the start of the file the frame Zero
// starts.
func (r codeReport) zeroMs() float64 { return 1000 * r.ZeroOffset / float64(r.SampleRate) }

// zeroWords says where Zero starts; half a sample is nothing.
func (r codeReport) zeroWords() string {
	switch ms := r.zeroMs(); {
	case math.Abs(r.ZeroOffset) < 0.5:
		return "with the file"
	case ms < 0:
		return fmt.Sprintf("%.2f ms before the file", -ms)
	default:
		return fmt.Sprintf("%.2f ms after the start of the file", ms)
	}
}

func (r codeReport) print(e *env, name string) error {
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	row := func(label, format string, args ...any) { fmt.Fprintf(w, label+"\t"+format+"\n", args...) }
	at := func(f ltc.Frame) string { return timebase.ClockMillis(r.Time(f.Sample())) }
	row("file", "%s, %s channel, %s", show.Clean(name), r.channel, timebase.ClockMillis(r.Length))
	row("rate", "%s frames a second (measured %.4f, %+.1f ppm)", r.Rate, r.FPS, math.Round(10*r.PPM)/10+0)
	row("first frame", "%s at %s", r.First.Timecode, at(r.First))
	row("last frame", "%s at %s", r.Last.Timecode, at(r.Last))
	row("frames", "%d", r.Frames)
	row("against the file", "%s starts %s", r.Zero, r.zeroWords())
	row("level", "%.1f to %.1f dBFS", r.Quietest, r.Loudest)
	row("user bits", "%s", r.user())
	for _, f := range r.Faults {
		row("FAULT", "%s: %s", timebase.ClockMillis(r.Time(f.Sample)), f)
	}
	if more := r.FaultCount - len(r.Faults); more > 0 {
		row("FAULT", "%d more are not listed", more)
	}
	if r.FaultCount == 0 {
		row("continuity", "every frame follows the one before it")
	}
	return w.Flush()
}

// user tells the user bits of the first frame.
func (r codeReport) user() string {
	x := r.First.Word.Extras(r.Rate)
	s := fmt.Sprintf("%08X", uint32(x.User))
	if x.Groups&ltc.BGF2 != 0 {
		if year, month, day, ok := x.User.Date(); ok {
			s += fmt.Sprintf(" (date %04d-%02d-%02d)", year, month, day)
		}
	}
	return s
}

// A codeFault is one place where timecode does not run on, for JSON.
type codeFault struct {
	Seconds float64 `json:"seconds"`
	Sample  int64   `json:"sample"`
	What    string  `json:"what"`
}

// json is the report as it is printed with --json.
func (r codeReport) json(file string) any {
	faults := []codeFault{}
	for _, f := range r.Faults {
		faults = append(faults, codeFault{r.Time(f.Sample).Seconds(), f.Sample, f.String()})
	}
	return struct {
		File        string      `json:"file"`
		Channel     string      `json:"channel"`
		SampleRate  int         `json:"sample_rate"`
		Rate        string      `json:"rate"`
		MeasuredFPS float64     `json:"measured_fps"`
		PPM         float64     `json:"ppm"`
		Frames      int64       `json:"frames"`
		First       string      `json:"first"`
		FirstSample int64       `json:"first_sample"`
		Last        string      `json:"last"`
		LastSample  int64       `json:"last_sample"`
		Zero        string      `json:"zero"`
		ZeroMs      float64     `json:"zero_offset_ms"`
		Quietest    float64     `json:"quietest_dbfs"`
		Loudest     float64     `json:"loudest_dbfs"`
		UserBits    string      `json:"user_bits"`
		FaultCount  int         `json:"fault_count"`
		Faults      []codeFault `json:"faults"`
	}{
		file, r.channel, r.SampleRate, r.Rate.String(), r.FPS, r.PPM, r.Frames,
		r.First.Timecode.String(), r.First.Sample(), r.Last.Timecode.String(), r.Last.Sample(),
		r.Zero.String(), r.zeroMs(), r.Quietest, r.Loudest, fmt.Sprintf("%08X", uint32(r.First.Word.Extras(r.Rate).User)), r.FaultCount, faults,
	}
}
