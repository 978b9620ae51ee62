package input

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"drylane/playback/internal/soundserver"

	"github.com/jfreymuth/pulse/proto"
)

// pulse takes in what a source of a PulseAudio server captures, or of PipeWire in its
// place, at the source's own rate.
//
// The client's reader puts frames into the ring; a goroutine of its own asks for the
// latency. The goroutine that calls the methods only reads what they left.
type pulse struct {
	name    string
	rate    int
	extra   time.Duration
	client  *proto.Client
	wire    io.ReadWriteCloser
	stream  uint32
	ring    *ring
	buf     [][2]float64 // of the client's reader
	epoch   time.Time
	latency atomic.Int64 // nanoseconds
	gone    atomic.Pointer[error]

	mu     sync.Mutex
	moment moments
	closed bool
	done   chan struct{}
	ending sync.WaitGroup
}

// The sizes of what a source gives at once, and how often its latency is asked for.
const (
	fragment  = 5 * time.Millisecond
	pollEvery = 50 * time.Millisecond
	heldBack  = 2 // seconds that are kept for a reader that is late
)

func openPulse(o Options) (*pulse, error) {
	p := &pulse{extra: o.Latency, epoch: time.Now(), done: make(chan struct{}), buf: make([][2]float64, 1<<14)}
	var err error
	p.client, p.wire, err = soundserver.Connect(o.Server, o.AppName, func(c net.Conn) io.ReadWriteCloser { return c }, p.event)
	if err != nil {
		return nil, err
	}
	if err := p.open(o); err != nil {
		p.wire.Close()
		return nil, err
	}
	p.ending.Add(1)
	go p.poll()
	return p, nil
}

// open asks for the stream corked, so that nothing comes in before all that takes it
// is there.
func (p *pulse) open(o Options) error {
	var server proto.GetServerInfoReply
	if err := p.client.Request(&proto.GetServerInfo{}, &server); err != nil {
		return fmt.Errorf("asking the sound server: %w", err)
	}
	source, err := o.source(p.client)
	if err != nil {
		return err
	}
	p.name, p.rate = soundserver.Name(server.PackageName)+", "+soundserver.Printable(source.Device), int(source.Rate)
	p.ring, p.moment = newRing(heldBack*p.rate), moments{rate: float64(p.rate)}
	var reply proto.CreateRecordStreamReply
	err = p.client.Request(&proto.CreateRecordStream{
		SampleSpec:         proto.SampleSpec{Format: proto.FormatFloat32LE, Channels: 2, Rate: uint32(p.rate)},
		ChannelMap:         proto.ChannelMap{proto.ChannelLeft, proto.ChannelRight},
		SourceIndex:        source.SourceIndex,
		BufferMaxLength:    proto.Undefined,
		BufferFragSize:     uint32(fragment.Seconds()*float64(p.rate)) * rawFrame,
		DirectOnInputIndex: proto.Undefined,
		ChannelVolumes:     proto.ChannelVolumes{uint32(proto.VolumeNorm), uint32(proto.VolumeNorm)},
		Corked:             true,
		AdjustLatency:      true,
		NoMove:             true,
		Properties:         proto.PropList{"media.name": proto.PropListString("listening")},
	}, &reply)
	if err != nil {
		return fmt.Errorf("%s gives no sound: %w", p.name, err)
	}
	p.stream = reply.StreamIndex
	if err := p.client.Request(&proto.CorkRecordStream{StreamIndex: p.stream, Corked: false}, nil); err != nil {
		return fmt.Errorf("%s gives no sound: %w", p.name, err)
	}
	return nil
}

// event takes what the server reports; it runs on the client's reader.
func (p *pulse) event(e any) {
	switch e := e.(type) {
	case *proto.DataPacket:
		p.take(e.Data)
	case *proto.RecordStreamKilled:
		p.lose("its server took it out of use")
	case *proto.ConnectionClosed:
		p.lose("the sound server ended")
	}
}

// take puts a packet's frames into the ring and notes when they came.
func (p *pulse) take(data []byte) {
	n := min(len(data)/rawFrame, len(p.buf))
	for i := range n {
		for side := range 2 {
			p.buf[i][side] = sane(float64(math.Float32frombits(binary.LittleEndian.Uint32(data[i*rawFrame+4*side:]))))
		}
	}
	p.ring.put(p.buf[:n])
	p.mu.Lock()
	defer p.mu.Unlock()
	p.moment.came(n, time.Since(p.epoch)-time.Duration(p.latency.Load()))
}

func (p *pulse) lose(why string) {
	err := fmt.Errorf("%w: %s", ErrGone, why)
	if p.gone.CompareAndSwap(nil, &err) {
		p.ring.end(err)
	}
}

// poll keeps the latency: what the source holds, and what the server does; of a
// monitor less what its device has yet to play, so that it may be below 0.
func (p *pulse) poll() {
	defer p.ending.Done()
	tick := time.NewTicker(pollEvery)
	defer tick.Stop()
	for {
		var r proto.GetRecordLatencyReply
		if err := p.client.Request(&proto.GetRecordLatency{StreamIndex: p.stream}, &r); err != nil {
			p.lose(err.Error())
			return
		}
		p.latency.Store(int64(time.Duration(r.Latency)*time.Microsecond - time.Duration(r.MonitorLatency)*time.Microsecond + p.extra))
		select {
		case <-p.done:
			return
		case <-tick.C:
		}
	}
}

func (p *pulse) Name() string           { return p.name }
func (p *pulse) Rate() int              { return p.rate }
func (p *pulse) Latency() time.Duration { return time.Duration(p.latency.Load()) }

func (p *pulse) Read(frames [][2]float64) (int, error) { return p.ring.take(frames) }

func (p *pulse) Captured(at time.Time) float64 {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.moment.at(at.Sub(p.epoch))
}

func (p *pulse) Close() error {
	if p.closed {
		return nil
	}
	p.closed = true
	close(p.done)
	err := p.wire.Close()
	p.ending.Wait()
	p.ring.close()
	if p.gone.Load() != nil {
		return nil // what there was to close went away by itself
	}
	return err
}

// source returns the source that the options name.
func (o Options) source(client *proto.Client) (*proto.GetSourceInfoReply, error) {
	if o.Playing {
		sink, err := soundserver.FindSink(client, o.Device)
		if err != nil {
			return nil, err
		}
		source := new(proto.GetSourceInfoReply)
		if err := client.Request(&proto.GetSourceInfo{SourceIndex: sink.MonitorSourceIndex}, source); err != nil {
			return nil, fmt.Errorf("the sound server does not hand on what %s plays: %w", soundserver.Printable(sink.Device), err)
		}
		return source, nil
	}
	source, err := soundserver.FindSource(client, o.Device)
	if err == nil && o.Microphone && source.MonitorSourceIndex != proto.Undefined {
		return nil, fmt.Errorf("found no microphone: %s is what a device plays", soundserver.Printable(source.Device))
	}
	return source, err
}
