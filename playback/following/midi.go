package following

import (
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"drylane/playback/disk"
	"drylane/playback/follow"
	"drylane/show"
	"drylane/show/timebase"
)

// microseconds count the moments of MIDI bytes.
const microseconds = 1_000_000

// midiPort is timecode that comes from a MIDI device, or through a pipe.
type midiPort struct {
	name string
	file *os.File
	code *follow.MTC
	now  func() time.Time
	zero time.Time

	mu   sync.Mutex
	came []arrival // not looked at yet
	err  error
	took []arrival // what Look works on; the two take turns
}

// An arrival is bytes with the moment at which they came.
type arrival struct {
	n     int
	bytes [64]byte
	at    time.Time
}

// mostArrivals bounds what is kept of a device that sends faster than is looked at.
const mostArrivals = 4096

func newPort(name string, f *os.File, cfg follow.Config, now func() time.Time) *midiPort {
	cfg.SampleRate = microseconds
	p := &midiPort{name: name, file: f, code: follow.NewMTC(cfg), now: now, zero: now(),
		came: make([]arrival, 0, mostArrivals), took: make([]arrival, 0, mostArrivals)}
	go p.read()
	return p
}

// read takes in bytes until the device is gone or closed.
func (p *midiPort) read() {
	for {
		var a arrival
		n, err := p.file.Read(a.bytes[:])
		a.n, a.at = n, p.now()
		p.mu.Lock()
		if n > 0 && len(p.came) < mostArrivals {
			p.came = append(p.came, a)
		}
		if err != nil {
			p.err = disk.Plain(err)
		}
		p.mu.Unlock()
		if err != nil {
			return
		}
	}
}

func (p *midiPort) Look(now time.Time) (follow.Now, error) {
	p.mu.Lock()
	p.took, p.came = p.came, p.took[:0]
	err := p.err
	p.mu.Unlock()
	for i := range p.took {
		a := &p.took[i]
		p.code.Write(a.bytes[:a.n], p.moment(a.at))
	}
	p.code.Pass(p.moment(now))
	return p.code.At(p.moment(now)), err
}

func (p *midiPort) moment(t time.Time) float64 {
	return t.Sub(p.zero).Seconds() * microseconds
}

// Step is for runs by the clock alone: nothing of a device comes faster.
func (p *midiPort) Step() (time.Duration, bool) { return fastStep, false }
func (p *midiPort) Waits() bool                 { return false }
func (p *midiPort) Name() string                { return "timecode on " + p.name }
func (p *midiPort) Close() error                { return p.file.Close() }

// midiFile is timecode in a file of raw MIDI bytes, which comes at its own pace: its
// quarter frames are all that tells of time.
type midiFile struct {
	name  string
	bytes []byte
	code  *follow.MTC
	pace  timebase.Rate
	fast  bool
	began time.Time
	at    float64 // the moment that has been read up to
}

// mostMIDI is the largest file of MIDI bytes that is followed: a day of quarter frames
// has 21 MB.
const mostMIDI = 64 << 20

func newMIDIFile(name string, f *os.File, cfg follow.Config, fast bool) (Source, error) {
	defer f.Close()
	bytes, err := io.ReadAll(io.LimitReader(f, mostMIDI+1))
	if err != nil {
		return nil, fmt.Errorf("%s: the MIDI bytes cannot be read: %w", name, disk.Plain(err))
	}
	pace := follow.Pace(bytes)
	switch {
	case len(bytes) > mostMIDI:
		return nil, fmt.Errorf("%s: found more than %d MB; wanted raw MIDI bytes of a day at most", name, mostMIDI>>20)
	case pace == 0:
		return nil, fmt.Errorf("%s: found no MIDI timecode; wanted raw MIDI bytes with quarter frames or a full frame", name)
	}
	if cfg.Rate != 0 {
		pace = cfg.Rate
	}
	cfg.SampleRate = microseconds
	return &midiFile{name: name, bytes: bytes, code: follow.NewMTC(cfg), pace: pace, fast: fast}, nil
}

func (m *midiFile) Look(now time.Time) (follow.Now, error) {
	switch {
	case m.fast:
		m.at += fastStep.Seconds() * microseconds
	case m.began.IsZero():
		m.began = now
	default:
		m.at = now.Sub(m.began).Seconds() * microseconds
	}
	for len(m.bytes) > 0 && m.code.Paced() <= m.at {
		m.code.WritePaced(m.bytes[:1], m.pace)
		m.bytes = m.bytes[1:]
	}
	if len(m.bytes) == 0 {
		m.code.Pass(m.at)
	}
	return m.code.At(m.at), m.over()
}

// over is io.EOF once the silence after the end is over, too.
func (m *midiFile) over() error {
	if len(m.bytes) == 0 && m.at-m.code.Paced() > afterEnd.Seconds()*microseconds {
		return io.EOF
	}
	return nil
}

func (m *midiFile) Step() (time.Duration, bool) { return fastStep, m.over() == nil }
func (m *midiFile) Waits() bool                 { return true }
func (m *midiFile) Name() string                { return "timecode in " + m.name }
func (m *midiFile) Close() error                { return nil }

// openMIDI opens a MIDI device, a pipe or a file of MIDI bytes.
func openMIDI(path string, cfg follow.Config, now func() time.Time) (Source, error) {
	name := show.Clean(path)
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: the MIDI device cannot be opened: %w", name, disk.Plain(err))
	}
	info, err := f.Stat()
	switch {
	case err == nil && info.IsDir():
		err = errors.New("found a folder; wanted a MIDI device or a file of raw MIDI bytes")
	case err == nil && info.Mode().IsRegular():
		return newMIDIFile(name, f, cfg, now == nil)
	case err == nil && now == nil:
		err = errors.New("found a device, and the music goes faster than it plays; wanted --speed 1, or a file")
	}
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return newPort(name, f, cfg, now), nil
}
