package main

import (
	"fmt"
	"path/filepath"
	"strconv"
	"time"

	"drylane/playback/codefile"
	"drylane/playback/ltc"
	"drylane/show"
	"drylane/show/timebase"
)

type timecodeCmd struct {
	Write timecodeWriteCmd `cmd:"" help:"Write a WAV file of linear timecode."`
	Read  timecodeReadCmd  `cmd:"" help:"Tell what linear timecode a sound file carries and whether it runs on."`
}

func (timecodeCmd) Help() string {
	return "Linear timecode of SMPTE ST 12-1 as sound: what a wired system in the field follows.\n\nExamples:\n\n  drylane timecode write code.wav --rate 25 --start 01:00:00:00 --length 10m\n  drylane timecode read code.wav"
}

type timecodeWriteCmd struct {
	Out string `arg:"" placeholder:"OUT.wav" help:"The file to write."`
	replaceFlag
	Rate       string        `required:"" placeholder:"25" help:"Frames a second: 23.976, 24, 25, 29.97, '29.97 drop' or 30."`
	Start      string        `default:"00:00:00:00" placeholder:"LABEL" help:"Label of the first frame, hh:mm:ss:ff, or hh:mm:ss;ff in drop frame (00:00:00:00)."`
	Length     time.Duration `required:"" placeholder:"10m" help:"How long, such as 10m or 1h30m; made up to a whole frame."`
	Level      float64       `default:"-18" placeholder:"DB" help:"Level in dBFS, -60 to below 0 (-18)."`
	SampleRate int           `default:"48000" placeholder:"HZ" help:"Samples a second, 22050 to 96000 (48000)."`
	User       string        `placeholder:"BITS" help:"User bits: eight hex digits, group 8 first, or the word date for today's."`
}

func (timecodeWriteCmd) Help() string {
	return "Linear timecode of SMPTE ST 12-1, one channel of 16 bits, read back before the file gets its name.\n\nExample:\n\n  drylane timecode write code.wav --rate 25 --start 01:00:00:00 --length 10m --level -12"
}

// longestTimecode is how much of it is written: labels come again after a day.
const longestTimecode = 24*time.Hour - time.Second

func (c timecodeWriteCmd) Run(e *env) error {
	config, err := c.config(time.Now())
	if err != nil {
		return err
	}
	out, err := c.quietWriter(e).Take("timecode write", c.Out)
	if err != nil {
		return err
	}
	p := e.progress("")
	r, err := codefile.Write(e.ctx, out, config, p.tell)
	p.end()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(e.out, "%s: timecode at %s frames a second, %s to %s, %d frames, %s at %d Hz, %g dBFS; read back without a fault\n",
		show.Clean(c.Out), config.Rate, r.First.Timecode, r.Last.Timecode, r.Frames,
		timebase.ClockMillis(timebase.Frame(config.Length).At(config.SampleRate)), config.SampleRate, config.Level)
	return err
}

// config is what the flags ask for; a length between two frames goes up.
func (c timecodeWriteCmd) config(now time.Time) (ltc.Config, error) {
	rate, err := timebase.ParseRate(c.Rate)
	if err != nil {
		return ltc.Config{}, err
	}
	rate, start, err := timebase.ParseLabel(rate, c.Start)
	if err != nil {
		return ltc.Config{}, err
	}
	extras, err := userBits(c.User, now)
	switch {
	case err != nil:
		return ltc.Config{}, err
	case filepath.Ext(c.Out) != ".wav":
		return ltc.Config{}, fmt.Errorf("found %s; wanted a file name that ends in .wav", c.Out)
	case c.Length <= 0 || c.Length > longestTimecode:
		return ltc.Config{}, fmt.Errorf("found a length of %s; wanted more than 0 and less than 24 hours", c.Length)
	case c.SampleRate < 22050 || c.SampleRate > 96000:
		return ltc.Config{}, fmt.Errorf("found a sample rate of %d Hz; wanted 22050 to 96000", c.SampleRate)
	case !(c.Level >= -60 && c.Level < 0):
		return ltc.Config{}, fmt.Errorf("found a level of %g dBFS; wanted -60 to below 0", c.Level)
	}
	samples := int64(timebase.FrameAt(c.Length, c.SampleRate))
	frames := rate.FrameAt(max(samples, 1)-1, c.SampleRate) + 1
	return ltc.Config{
		Rate: rate, SampleRate: c.SampleRate, Start: start, Level: float64(c.Level), Extras: extras,
		Length: int(rate.Sample(frames, c.SampleRate)),
	}, nil
}

// userBits reads --user.
func userBits(s string, now time.Time) (ltc.Extras, error) {
	switch s {
	case "":
		return ltc.Extras{}, nil
	case "date":
		return ltc.Extras{User: ltc.DateBits(now), Groups: ltc.BGF2}, nil
	}
	n, err := strconv.ParseUint(s, 16, 32)
	if err != nil || len(s) != 8 {
		return ltc.Extras{}, fmt.Errorf("found %q as user bits; wanted eight hex digits, group 8 first, or the word date", s)
	}
	return ltc.Extras{User: ltc.UserBits(n)}, nil
}
