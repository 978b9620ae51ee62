package output

import (
	"io"
	"time"

	"drylane/playback"
)

// wav puts what plays into a file.
type wav struct {
	opts    Options
	file    *playback.WAVWriter
	playing bool
	heard   int64
	queue   [][2]float64 // before Start
	err     error
	closed  bool
}

// WAV returns an output that writes a WAVE file to w, which it does not close.
// Frames are heard as soon as they are written, once started; a hold leaves no
// trace in the file, which is cut there, not faded.
func WAV(o Options, w io.WriteSeeker, enc playback.WAVEncoding) (playback.Output, error) {
	o, err := o.checked()
	if err != nil {
		return nil, err
	}
	file, err := playback.NewWAVWriter(w, o.Rate, 2, enc)
	if err != nil {
		return nil, err
	}
	return &wav{opts: o, file: file}, nil
}

func (w *wav) Name() string           { return "WAV file" }
func (w *wav) Latency() time.Duration { return 0 }
func (w *wav) Underruns() int         { return 0 }

func (w *wav) failed() error {
	if w.closed {
		return errClosed
	}
	return w.err
}

func (w *wav) Space() int {
	if w.failed() != nil {
		return 0
	}
	return int(w.opts.space()) - len(w.queue)
}

func (w *wav) Write(frames [][2]float64) error {
	if err := w.failed(); err != nil {
		return err
	}
	if space := w.Space(); len(frames) > space {
		return tooMany(len(frames), space)
	}
	if !w.playing {
		w.queue = append(w.queue, frames...)
		return nil
	}
	return w.play(frames)
}

func (w *wav) play(frames [][2]float64) error {
	if w.err = w.file.Write(frames); w.err == nil {
		w.heard += int64(len(frames))
	}
	return w.err
}

func (w *wav) Start() error {
	if err := w.failed(); err != nil || w.playing {
		return err
	}
	w.playing = true
	err := w.play(w.queue)
	w.queue = w.queue[:0]
	return err
}

func (w *wav) Heard() (int64, error) { return w.heard, w.failed() }

func (w *wav) Hold() (int64, error) {
	w.playing, w.queue = false, w.queue[:0]
	return w.heard, w.failed()
}

func (w *wav) Close() error {
	if w.closed {
		return nil
	}
	w.closed = true
	return w.file.Close()
}
