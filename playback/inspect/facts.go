// Package inspect gathers what the checks need to know of a show folder: its
// files, its sound, its lock, and the medium that it goes out on.
package inspect

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"time"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/loudness"
	"drylane/show"
	"drylane/show/check"
	"drylane/show/check/tone"
	"drylane/show/timebase"
)

// Everything looks at all there is in a show folder: it decodes the whole
// soundtrack and hashes every file. path is what the folder is called. The error
// is that of ctx alone; what is wrong with the folder is in the facts.
func Everything(ctx context.Context, path string, files fs.FS, progress func(done float64)) (*check.Facts, error) {
	s, problems := show.Read(files)
	if s == nil {
		s = &show.Show{}
	}
	folder.Name(s, path)
	f := &check.Facts{Show: s, Problems: problems}
	f.Music = soundFacts(files, s.Soundtrack.File)
	if f.Music.File != "" && !f.Music.Missing {
		f.Music.SHA256, _ = folder.Hash(ctx, files, f.Music.File)
		if f.Music.Open == "" {
			hearMusic(ctx, files, f, progress)
		}
	}
	for _, name := range folder.Companions(s) {
		f.Companions = append(f.Companions, soundFacts(files, name))
	}
	f.Lock = fullLock(ctx, files, s)
	return f, ctx.Err()
}

// AtHand are the facts of an opened show that cost next to nothing to have: quick
// enough for the start of a console.
func AtHand(l *folder.Folder) *check.Facts {
	s := l.Show
	f := &check.Facts{Show: s, Music: soundInfo(s.Soundtrack.File, l.Music.Info())}
	f.Music.SHA256 = l.SHA256
	for _, name := range folder.Companions(s) {
		f.Companions = append(f.Companions, soundFacts(l.Files, name))
	}
	f.Lock = Lock(l)
	return f
}

// Stops returns what forbids arming a show that has been opened, a line each.
func Stops(l *folder.Folder) []string {
	var lines []string
	for _, f := range check.Run(AtHand(l)).Stops() {
		lines = append(lines, f.String())
	}
	return lines
}

// soundFacts opens a sound file, reads its headers and closes it.
func soundFacts(files fs.FS, name string) check.Audio {
	if name == "" {
		return check.Audio{}
	}
	s, err := folder.Sound(files, name)
	if err != nil {
		return check.Audio{File: name, Missing: errors.Is(err, fs.ErrNotExist), Open: err.Error()}
	}
	defer s.Close()
	return soundInfo(name, s.Info())
}

func soundInfo(name string, i playback.Info) check.Audio {
	return check.Audio{
		File: name, Rate: i.Rate, Channels: i.Channels, Length: i.Duration(),
		Cut: i.Truncated, Unstated: i.Unstated, Odd: i.Odd, CutOff: i.CutOff(), StartUncertain: i.StartUncertain.At(i.Rate),
	}
}

// A listener takes in a whole soundtrack: its levels, and the stretch in which
// the witness tone should begin.
type listener struct {
	meter    *loudness.Meter
	from, to timebase.Frame // of the stretch
	stretch  [][2]float64
	total    timebase.Frame
	progress func(float64)
}

// What is kept on either side of the reach of the witness: enough before to
// know what the music was without it, and after it to follow the tone.
const (
	keptBefore = 300 * time.Millisecond
	keptAfter  = 400 * time.Millisecond
)

func (l *listener) take(at timebase.Frame, frames [][2]float64) error {
	l.meter.Write(frames)
	end := at + timebase.Frame(len(frames))
	if from, to := max(at, l.from), min(end, l.to); from < to {
		l.stretch = append(l.stretch, frames[from-at:to-at]...)
	}
	l.progress(float64(end) / float64(max(1, l.total)))
	return nil
}

// hearMusic decodes the soundtrack and completes what the facts say of it.
func hearMusic(ctx context.Context, files fs.FS, f *check.Facts, progress func(float64)) {
	m := &f.Music
	meter, err := loudness.New(m.Rate, m.Channels, loudness.Options{CutOff: m.CutOff})
	if err != nil {
		m.Open = err.Error()
		return
	}
	l := &listener{meter: meter, total: timebase.FrameAt(m.Length, m.Rate), progress: progress}
	if w := f.Show.Witness; w != nil {
		l.from = timebase.FrameAt(max(0, w.At-check.Reach-keptBefore), m.Rate)
		l.to = timebase.FrameAt(w.At+check.Reach+keptAfter, m.Rate)
	}
	info, err := passOver(ctx, files, m.File, l.take)
	if err != nil {
		m.Open = fmt.Sprintf("it breaks off while being read: %v", err)
		return
	}
	m.Level = levelOf(meter.Result(), info)
	if f.Show.Witness != nil {
		f.Tone = l.tone(m.Rate, f.Show.Witness.At)
	}
}

// passOver reads a whole sound file. The Info is that of a reader that has met all
// its damage.
func passOver(ctx context.Context, files fs.FS, name string, fn func(timebase.Frame, [][2]float64) error) (playback.Info, error) {
	s, err := folder.Sound(files, name)
	if err != nil {
		return playback.Info{}, err
	}
	defer s.Close()
	err = s.Pass(ctx, opener(files, name), fn)
	return s.Info(), err
}

// opener opens a file of a folder, any number of times.
func opener(files fs.FS, name string) playback.Opener {
	return func() (io.ReadSeekCloser, error) { return folder.File(files, name) }
}

// levelOf sums up a measurement.
func levelOf(r loudness.Result, info playback.Info) *check.Level {
	l := &check.Level{
		Correlation: r.Correlation, AtLeast: r.AtLeast, Altered: info.Altered, Damaged: len(info.Damage),
		Integrated: float64(r.Integrated), TruePeak: float64(r.TruePeak),
	}
	if l.Damaged > 0 {
		l.FirstDamage = info.Damage[0].At.At(info.Rate)
	} else if r.Broken > 0 {
		l.Damaged = 1
	}
	for i, c := range r.Channel {
		l.Clips += c.ClippedRuns
		l.LongestClip = max(l.LongestClip, c.LongestClip)
		l.Silent[i] = c.Silent
	}
	if len(r.FirstClips) > 0 {
		l.FirstClip = timebase.Frame(r.FirstClips[0].Frame).At(r.Rate)
	}
	return l
}

// tone listens for the witness near at: in the middle of the stereo picture,
// then on either side alone.
func (l *listener) tone(rate int, at time.Duration) *check.Tone {
	mono := make([]float64, len(l.stretch))
	for _, mix := range [][2]float64{{0.5, 0.5}, {1, 0}, {0, 1}} {
		for i, s := range l.stretch {
			mono[i] = mix[0]*s[0] + mix[1]*s[1]
		}
		t := tone.Find(mono, rate)
		if t == nil {
			continue
		}
		if begins := t.At + l.from.At(rate); (begins - at).Abs() <= check.Reach {
			return &check.Tone{Found: true, At: begins, Hz: t.Hz, For: t.For}
		}
	}
	return &check.Tone{}
}
