// Package inspect gathers what the checks need to know of a show folder: its
// files, its sound, its lock, and the medium that it goes out on.
package inspect

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/listen"
	"drylane/playback/loudness"
	"drylane/show"
	"drylane/show/check"
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
		file := listenedIn(files, f.Music.File)
		file.Changed = watch(files, f.Music.File)
		f.Music.SHA256, _ = folder.Hash(ctx, files, f.Music.File)
		if file.SHA256 = f.Music.SHA256; f.Music.Open == "" {
			hearMusic(ctx, file, f, progress)
		}
	}
	for _, name := range folder.Companions(s) {
		f.Companions = append(f.Companions, soundFacts(files, name))
	}
	f.Lock = fullLock(ctx, files, s)
	return f, ctx.Err()
}

// Stops looks at an opened show as far as that costs next to nothing, and finds out
// what forbids arming it, a line each. music is what is known of the soundtrack: that
// is not touched, and may be played meanwhile.
func Stops(l *folder.Folder, music playback.Info) []string {
	s := l.Show
	f := &check.Facts{Show: s, Music: soundInfo(s.Soundtrack.File, music)}
	f.Music.SHA256 = l.SHA256
	for _, name := range folder.Companions(s) {
		f.Companions = append(f.Companions, soundFacts(l.Files, name))
	}
	f.Lock = Lock(l)
	var lines []string
	for _, found := range check.Run(f).Stops() {
		lines = append(lines, found.String())
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

// hearMusic listens to the soundtrack and completes what the facts say of it.
func hearMusic(ctx context.Context, file listen.File, f *check.Facts, progress func(float64)) {
	m := &f.Music
	var levels listen.Loudness
	var flaws listen.Flaws
	wave := listen.Wave{Overview: playback.NewOverview(m.Rate, timebase.FrameAt(m.Length, m.Rate))} // the console will want it
	wishes := []listen.Wish{&levels, &flaws, wave}
	var w *witness
	if f.Show.Witness != nil {
		w = &witness{at: f.Show.Witness.At}
		wishes = append(wishes, w)
	}
	if err := listen.To(ctx, file, func(_ string, part float64) { progress(part) }, wishes...); err != nil {
		m.Open = fmt.Sprintf("it breaks off while being read: %v", err)
		return
	}
	m.Level = levelOf(levels.Result, flaws, m.Rate)
	if w != nil {
		f.Tone = w.Tone
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
	err = s.Pass(ctx, listenedIn(files, name).Open, fn)
	return s.Info(), err
}

// listenedIn is a file of a folder for those who listen to all of it.
func listenedIn(files fs.FS, name string) listen.File {
	return listen.File{Name: name, Open: func() (io.ReadSeekCloser, error) { return folder.File(files, name) }}
}

// watch watches a file of a folder from now on, for listen.File.Changed.
func watch(files fs.FS, name string) func() error {
	return listen.Watch(func() (fs.FileInfo, error) { return fs.Stat(files, name) })
}

// levelOf sums up a measurement.
func levelOf(r loudness.Result, flaws listen.Flaws, rate int) *check.Level {
	l := &check.Level{
		Correlation: r.Correlation, AtLeast: r.AtLeast, Altered: flaws.Altered, Damaged: len(flaws.Damage),
		Integrated: float64(r.Integrated), TruePeak: float64(r.TruePeak),
	}
	if l.Damaged > 0 {
		l.FirstDamage = flaws.Damage[0].At.At(rate)
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
