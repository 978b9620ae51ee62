package companion

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"drylane/playback/calls"
	"drylane/playback/disk"
	"drylane/show"
)

// speakers keeps the voice of a run, so that each phrase is spoken once.
type speakers struct {
	ctx    context.Context // ends the speaking
	words  show.CallWords  // whose voice it is
	files  fs.FS           // of the show, which may have recordings
	pips   bool            // in place of calls
	note   func(string)    // hears that there is no voice
	voice  calls.Speaker
	silent bool // there is none, and that has been said
}

// get returns a voice, or pips where they are wanted or there is no voice.
func (s *speakers) get(pips bool, rate int) (calls.Speaker, error) {
	if pips || s.pips || s.silent {
		return calls.Pips{Rate: rate}, nil
	}
	if s.voice != nil {
		return s.voice, nil
	}
	voice, err := calls.NewVoice(s.ctx, s.words.VoiceName(), rate)
	switch {
	case errors.Is(err, calls.ErrNoVoice):
		s.silent = true
		s.note(err.Error() + ": calls are made as pips")
		return calls.Pips{Rate: rate}, nil
	case err != nil:
		return nil, err
	}
	s.voice = &recordings{words: s.words, files: s.files, rate: rate, voice: voice}
	return s.voice, nil
}

// recordings say what is recorded in the show folder, and a voice the rest.
type recordings struct {
	words show.CallWords
	files fs.FS
	rate  int
	voice calls.Speaker
}

// maxRecording bounds the file of a recorded phrase, in bytes.
const maxRecording = 16 << 20

// Say implements calls.Speaker.
func (r *recordings) Say(p calls.Phrase) (calls.Sound, error) {
	name := r.words.Recorded[p.Text]
	if name == "" {
		return r.voice.Say(p)
	}
	fail := func(err error) (calls.Sound, error) {
		return calls.Sound{}, fmt.Errorf("%s, the recording of %q: %w", show.Clean(name), p.Text, disk.Plain(err))
	}
	f, err := r.files.Open(name)
	if err != nil {
		return fail(err)
	}
	defer f.Close()
	wav, err := io.ReadAll(io.LimitReader(f, maxRecording))
	if err != nil {
		return fail(err)
	}
	s, err := calls.FromWAV(wav, r.rate)
	if err != nil {
		return fail(err)
	}
	return s, nil
}
