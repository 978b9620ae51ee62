package output

import (
	"fmt"
	"io"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"drylane/playback"
	"drylane/playback/internal/soundserver"

	"github.com/jfreymuth/pulse/proto"
)

const frameBytes = 8 // two 32-bit floats

// pulse plays through a PulseAudio server, or PipeWire in its place.
//
// The stream always runs: while no music plays it is fed silence, and music is
// written over the silence in the queue. So the device's latency is known before
// music starts, nothing already handed to the device ever has to change, and the
// stream's position only goes forward; frames are named by their position in
// the stream. If the music falls short the server stops reading until more comes.
//
// The goroutine that calls the methods owns all state but what it shares with
// the poller (one goroutine, asking for the position and feeding silence) and
// with the client's reader (reporting events): clock, line and since under mu, sent and placed
// under feed while no music is placed, and atomics.
type pulse struct {
	opts   Options
	name   string
	client *proto.Client
	wire   *wire
	stream uint32
	rate   int           // the device's
	step   time.Duration // how much the server reads in one go
	// takesBack says that the device takes back what it holds and has not played
	// when that is written anew.
	takesBack bool

	render   *render
	playing  bool
	placed   bool          // music is at the stream's end
	coasting bool          // silence is there, after music that ran out
	want     int64         // stream position for the first frame of the next start; -1 for the soonest
	sent     int64         // stream position up to which the server has frames
	heard    int64         // soundtrack frames
	passed   int64         // device frames that have left the device
	moved    time.Duration // when passed last changed, since epoch
	counted  int64         // stream position of the last underrun counted
	late     int           // holds that may have been too late for their fade, or the whole of it
	closed   bool

	latency   atomic.Int64 // of the whole chain, nanoseconds
	sink      atomic.Int64 // of the device alone, nanoseconds
	underruns atomic.Int64
	ranDry    atomic.Int64 // stream position of the last underrun, bytes
	asleep    atomic.Bool  // the device is suspended
	gone      atomic.Pointer[error]

	epoch  time.Time
	mu     sync.Mutex
	clock  clock
	line   line
	since  uint64 // bytes played since the stream last ran dry
	feed   sync.Mutex
	asking sync.Mutex // one conversation at a time
	done   chan struct{}
	ending sync.WaitGroup
}

// openPulse opens a stream on a device of the server.
func openPulse(o Options) (*pulse, error) {
	p := &pulse{opts: o, want: -1, epoch: time.Now(), done: make(chan struct{})}
	p.ranDry.Store(-1)
	var err error
	p.client, _, err = soundserver.Connect(o.Server, o.AppName, func(c net.Conn) io.ReadWriteCloser {
		p.wire = newWire(c)
		return p.wire
	}, p.event)
	if err != nil {
		return nil, err
	}
	if err := p.open(); err != nil {
		p.wire.Close()
		return nil, err
	}
	p.ending.Add(1)
	go p.poll()
	return p, nil
}

func (p *pulse) open() error {
	var server proto.GetServerInfoReply
	if err := p.client.Request(&proto.GetServerInfo{}, &server); err != nil {
		return fmt.Errorf("asking the sound server: %w", err)
	}
	sink, err := soundserver.FindSink(p.client, p.opts.Device)
	if err != nil {
		return err
	}
	p.takesBack = soundserver.Name(server.PackageName) == "PulseAudio" && takesBack(sink.Driver)
	p.name, p.rate = soundserver.Name(server.PackageName)+", "+soundserver.Printable(sink.Device), int(sink.Rate)
	if p.render, err = newRender(p.opts.Rate, p.rate); err != nil {
		return fmt.Errorf("%s: %w", p.name, err)
	}
	p.clock, p.line = clock{rate: p.rate, keep: max(0, p.opts.Latency)}, line{rate: p.rate}
	request := p.playbackStream(sink)
	var reply proto.CreatePlaybackStreamReply
	if err := p.client.Request(request, &reply); err != nil {
		return fmt.Errorf("%s takes no sound: %w", p.name, err)
	}
	device := time.Duration(reply.SinkLatency) * time.Microsecond
	if least := device + 30*time.Millisecond; least > p.opts.Buffer*9/10 {
		return fmt.Errorf("%s keeps %v of sound, which leaves too little of a buffer of %v: give it %v",
			p.name, device, p.opts.Buffer, (least * 10 / 9).Round(time.Millisecond))
	}
	p.stream, p.step = reply.StreamIndex, device
	if reply.SinkSuspended {
		p.asleep.Store(true)
	}
	p.sink.Store(int64(device))
	p.latency.Store(int64(device + p.opts.Latency))
	return nil
}

// The server divides a target length of twice each into a device buffer of
// deviceBuffer and a queue.
const (
	deviceBuffer = 15 * time.Millisecond
	request      = 5 * time.Millisecond
)

// playbackStream asks for a short device buffer, which bounds how long music
// goes on after a hold, and for play to begin (again) with the first frame.
// It is tied to its device: if that is pulled out the stream shall end, not go
// on unheard in another.
func (p *pulse) playbackStream(sink *proto.GetSinkInfoReply) *proto.CreatePlaybackStream {
	bytes := func(d time.Duration) uint32 { return uint32(frames(d, p.rate) * frameBytes) }
	return &proto.CreatePlaybackStream{
		SampleSpec:            proto.SampleSpec{Format: proto.FormatFloat32LE, Channels: 2, Rate: uint32(p.rate)},
		ChannelMap:            proto.ChannelMap{proto.ChannelLeft, proto.ChannelRight},
		SinkIndex:             sink.SinkIndex,
		BufferMaxLength:       bytes(3*p.opts.Buffer + furthest),
		BufferTargetLength:    bytes(2*deviceBuffer + 2*request),
		BufferPrebufferLength: frameBytes,
		BufferMinimumRequest:  bytes(request),
		ChannelVolumes:        proto.ChannelVolumes{uint32(proto.VolumeNorm), uint32(proto.VolumeNorm)},
		AdjustLatency:         true,
		NoMove:                true,
		Properties:            proto.PropList{"media.name": proto.PropListString("soundtrack")},
	}
}

// event takes what the server reports; it runs on the client's reader.
func (p *pulse) event(e any) {
	switch e := e.(type) {
	case *proto.Underflow:
		p.ranDry.Store(e.Offset)
	case *proto.PlaybackStreamSuspended:
		p.suspend(e.Suspended)
	case *proto.PlaybackStreamKilled:
		p.lose("its server took it out of use")
	case *proto.ConnectionClosed:
		p.lose("the sound server ended")
	}
}

// suspend takes down that the device has been put to sleep, or has woken. What it
// holds it may never play, and the server's figures say nothing of it: it counts
// as standing where it was. Once awake nothing is known of where it is.
func (p *pulse) suspend(asleep bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.asleep.Store(asleep)
	now := time.Since(p.epoch)
	if pos, ok := p.clock.at(now); ok && asleep {
		p.clock.add(reading{at: now, pos: pos, limit: pos})
	}
	p.line = line{rate: p.rate}
}

// Suspended implements playback.Suspendable.
func (p *pulse) Suspended() bool { return p.asleep.Load() }

// lose marks the device as gone; the first reason stays.
func (p *pulse) lose(why string) {
	err := fmt.Errorf("%w: %s", playback.ErrDeviceGone, why)
	p.gone.CompareAndSwap(nil, &err)
}

// failed is the reason why nothing can be played any more, or nil.
func (p *pulse) failed() error {
	if p.closed {
		return errClosed
	}
	if err := p.gone.Load(); err != nil {
		return *err
	}
	return nil
}

func (p *pulse) Name() string           { return p.name }
func (p *pulse) Latency() time.Duration { return time.Duration(p.latency.Load()) }
func (p *pulse) Underruns() int         { return int(p.underruns.Load()) }

func (p *pulse) Close() error {
	if p.closed {
		return nil
	}
	p.closed = true
	close(p.done)
	err := p.wire.Close() // ends the stream, and a poll that waits for an answer
	p.ending.Wait()
	if p.gone.Load() != nil {
		return nil // what there was to close went away by itself
	}
	return err
}
