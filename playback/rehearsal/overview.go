package rehearsal

import (
	"context"
	"time"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/listen"
	"drylane/show/timebase"
)

// An Overview is the waveform, made in the background from a second handle on
// the soundtrack.
type Overview struct {
	f     *folder.Folder
	o     *playback.Overview
	began time.Time
}

// NewOverview returns one that is still to be built.
func NewOverview(f *folder.Folder) *Overview {
	return &Overview{f, playback.NewOverview(f.Music.Rate(), f.Music.Info().Frames), time.Now()}
}

// Build reads the soundtrack, until ctx ends, or takes what was kept of it; also are
// granted in the same pass.
func (v *Overview) Build(ctx context.Context, also ...listen.Wish) {
	// An error here is the music's, and the run comes upon it by itself; the
	// waveform then stays empty from there on.
	listen.To(ctx, v.f.Listened(), func(string, float64) {}, append([]listen.Wish{listen.Wave{Overview: v.o}}, also...)...)
}

// Wave returns peak and RMS of the frames from from up to to, on each side; ok is
// false where they have not been read yet. Safe to call while it is built.
func (v *Overview) Wave(from, to timebase.Frame) (peak, rms [2]float32, ok bool) {
	return v.o.Column(from, to)
}

// Progress returns how much has been read and how long the rest will take.
func (v *Overview) Progress() (float64, time.Duration) {
	total := float64(v.o.Len())
	if total == 0 {
		return 1, 0
	}
	done := float64(v.o.Built()) / total
	if done == 0 {
		return 0, 0
	}
	spent := time.Since(v.began)
	return done, time.Duration(float64(spent) * (1 - done) / done)
}
