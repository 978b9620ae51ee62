package calls

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strconv"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/resample"

	"github.com/faiface/beep"
)

// ErrNoVoice is returned by NewVoice where no speech program is installed.
var ErrNoVoice = errors.New("the speech program espeak-ng is not installed")

// A Voice speaks by the program espeak-ng. It keeps what it has said, so that
// each phrase is made once. It belongs to one goroutine.
type Voice struct {
	ctx  context.Context
	path string
	name string // of the voice
	rate int
	said map[said]Sound
}

// said is a text at a speed.
type said struct {
	text  string
	speed int
}

const (
	voiceLevel = 0.5 // peak, -6 dBFS
	// What a phrase may take: it is a dozen words at most.
	voicePatience = 20 * time.Second
	voiceSeconds  = 30
)

// voiceSpeeds are in words a minute: the first is spoken at, and each next one
// only where a phrase is not over in its room.
var voiceSpeeds = [...]int{165, 200, 240, 300}

// English is the voice of English, as NewVoice takes it.
const English = "en"

// NewVoice looks for the program. The voice, which has a name such as de or fr-fr,
// gives sounds at rate, and stops speaking when ctx ends.
func NewVoice(ctx context.Context, name string, rate int) (*Voice, error) {
	path, err := exec.LookPath("espeak-ng")
	if err != nil {
		return nil, ErrNoVoice
	}
	return &Voice{ctx: ctx, path: path, name: name, rate: rate, said: map[said]Sound{}}, nil
}

// Say implements Speaker.
func (v *Voice) Say(p Phrase) (Sound, error) {
	var s Sound
	for _, speed := range voiceSpeeds {
		var err error
		if s, err = v.sayAt(cmp.Or(p.Spoken, p.Text), speed); err != nil {
			return Sound{}, fmt.Errorf("%q cannot be spoken: %w", p.Text, err)
		}
		if p.Room == 0 || len(s.Samples)-s.Onset <= frames(p.Room, v.rate) {
			break
		}
	}
	return s, nil
}

// sayAt speaks a text at a speed, or recalls how it did.
func (v *Voice) sayAt(text string, speed int) (Sound, error) {
	key := said{text, speed}
	if s, ok := v.said[key]; ok {
		return s, nil
	}
	wav, err := v.speak(text, speed)
	if err != nil {
		return Sound{}, err
	}
	s, err := FromWAV(wav, v.rate)
	if err != nil {
		return Sound{}, err
	}
	v.said[key] = s
	return s, nil
}

// speak returns text as a WAV file. The text goes in as a file would, so that
// none of it is taken for an option.
func (v *Voice) speak(text string, speed int) ([]byte, error) {
	ctx, cancel := context.WithTimeout(v.ctx, voicePatience)
	defer cancel()
	cmd := exec.CommandContext(ctx, v.path, "-v", v.name, "-s", strconv.Itoa(speed), "--stdin", "--stdout")
	cmd.Stdin = strings.NewReader(text + "\n")
	var wav, complaint bytes.Buffer
	cmd.Stdout, cmd.Stderr = &wav, &complaint
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		first, _, _ := strings.Cut(strings.TrimSpace(complaint.String()), "\n")
		return nil, fmt.Errorf("espeak-ng: %w %s", err, first)
	}
	return wav.Bytes(), nil
}

// FromWAV makes a sound at rate of a phrase that is recorded in a file, of which
// the left side counts: without the silence at its ends, at the level of a voice.
func FromWAV(wav []byte, rate int) (Sound, error) {
	samples, err := atRate(wav, rate)
	if err != nil {
		return Sound{}, err
	}
	s, ok := tidy(samples, rate, voiceLevel)
	if !ok {
		return Sound{}, errors.New("found silence; wanted a phrase")
	}
	return s, nil
}

// memoryFile is a file held in memory.
type memoryFile struct{ *bytes.Reader }

func (memoryFile) Close() error { return nil }

// atRate decodes the left side of a WAV file and brings it to rate.
func atRate(wav []byte, rate int) ([]float64, error) {
	s, err := playback.Open("the speech", memoryFile{bytes.NewReader(wav)})
	if err != nil {
		return nil, err
	}
	defer s.Close()
	r, err := resample.New(s.Rate(), rate)
	if err != nil {
		return nil, err
	}
	in := make([][2]float64, min(s.Len(), voiceSeconds*s.Rate()))
	n, err := readFull(s, in)
	if err != nil {
		return nil, err
	}
	r.Write(in[:n])
	out := make([][2]float64, r.Ratio().Out(int64(n))+int64(r.Lead()))
	got := r.Read(out)
	got += r.Drain(out[got:])
	mono := make([]float64, got)
	for i, f := range out[:got] {
		mono[i] = f[0]
	}
	return mono, nil
}

// readFull fills frames from s as far as it goes.
func readFull(s beep.StreamSeeker, frames [][2]float64) (n int, err error) {
	for n < len(frames) {
		k, ok := s.Stream(frames[n:])
		if !ok {
			break
		}
		n += k
	}
	if n == 0 && s.Err() == nil {
		return 0, io.ErrUnexpectedEOF
	}
	return n, s.Err()
}
