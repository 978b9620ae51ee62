package playback

import "errors"

// An OpenError tells in one sentence why a file cannot be the soundtrack.
type OpenError struct {
	Name  string // the file
	Found string // what was found, as the rest of a sentence: "is a folder"
	Want  string // what is wanted, as a sentence of its own; may be empty
	Err   error  // the cause, if the system or a decoder gave one
}

func (e *OpenError) Error() string {
	s := e.Name + " " + e.Found
	if e.Want != "" {
		s += "; " + e.Want
	}
	if e.Err != nil && e.Want == "" {
		s += ": " + e.Err.Error()
	}
	return s
}

func (e *OpenError) Unwrap() error { return e.Err }

// WantRate is what an OpenError wants where a file has another rate.
const WantRate = "22050 to 96000 Hz is wanted"

const (
	wantFormat   = "an MP3, WAV, FLAC or Ogg Vorbis file is wanted"
	wantChannels = "a stereo or mono file is wanted"
	wantWhole    = "a whole file is wanted: copy or export it again"
)

// refuse makes an OpenError that Open puts the file's name to.
func refuse(found, want string) error { return &OpenError{Found: found, Want: want} }

// unreadable makes an OpenError of an error met while reading.
func unreadable(err error) error { return &OpenError{Found: "cannot be read", Err: err} }

// named puts the file's name to err.
func named(name string, err error) error {
	var e *OpenError
	if !errors.As(err, &e) {
		e = &OpenError{Found: "cannot be used", Err: err}
	}
	whole := *e // e may be one of several files'
	whole.Name = name
	return &whole
}
