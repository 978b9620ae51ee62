package output

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

// A Tap takes in what a device of the sound server plays, or what its microphone
// hears, mono, at the rate of what it listens to. Its methods but Close are safe to
// call from any goroutine.
type Tap struct {
	name   string
	rate   int
	client *proto.Client
	wire   *wire
	stream uint32
	epoch  time.Time
	ready  atomic.Bool // the fields above are set
	delay  atomic.Int64
	gone   atomic.Pointer[error]

	mu      sync.Mutex
	frames  []float32 // not read yet
	count   int64     // of all frames that came
	packets []packet  // of the last second
}

// packet is the end of some frames that came in.
type packet struct {
	at    time.Duration // since epoch, the latency taken off
	early float64       // how many frames ahead of the tap's own clock; larger: earlier
}

const (
	tapFragment = 5 * time.Millisecond
	// A packet may come late and never early, so the earliest of this long is right. A
	// device that is 100 ppm off has gone 0.1 ms by then.
	tapMemory = time.Second
)

// OpenTap listens to what the device that o names plays, or to the default microphone.
func OpenTap(o Options, microphone bool) (*Tap, error) {
	o, err := o.checked()
	if err != nil {
		return nil, err
	}
	t := &Tap{epoch: time.Now()}
	if t.client, t.wire, err = connect(o.Server, o.AppName, t.event); err != nil {
		return nil, err
	}
	if err := t.open(o.Device, microphone); err != nil {
		t.wire.Close()
		return nil, err
	}
	return t, nil
}

func (t *Tap) open(device string, microphone bool) error {
	source := proto.GetSourceInfo{SourceIndex: proto.Undefined, SourceName: "@DEFAULT_SOURCE@"}
	if !microphone {
		sink, err := findSink(t.client, device)
		if err != nil {
			return err
		}
		source = proto.GetSourceInfo{SourceIndex: sink.MonitorSourceIndex}
	}
	var found proto.GetSourceInfoReply
	if err := t.client.Request(&source, &found); err != nil {
		return fmt.Errorf("the sound server has nothing to listen to: %w", err)
	}
	t.name = printable(found.Device)
	if microphone && found.MonitorSourceIndex != proto.Undefined {
		return fmt.Errorf("found no microphone: %s is what a device plays", t.name)
	}
	t.rate = int(found.Rate)
	var reply proto.CreateRecordStreamReply
	err := t.client.Request(&proto.CreateRecordStream{
		SampleSpec: proto.SampleSpec{Format: proto.FormatFloat32LE, Channels: 1, Rate: found.Rate}, ChannelMap: proto.ChannelMap{proto.ChannelMono},
		SourceIndex: found.SourceIndex, BufferMaxLength: proto.Undefined, BufferFragSize: uint32(frames(tapFragment, t.rate) * 4),
		DirectOnInputIndex: proto.Undefined, ChannelVolumes: proto.ChannelVolumes{uint32(proto.VolumeNorm)},
		AdjustLatency: true, NoMove: true, Corked: true, Properties: proto.PropList{"media.name": proto.PropListString("selftest")},
	}, &reply)
	if err != nil {
		return fmt.Errorf("%s gives no sound: %w", t.name, err)
	}
	t.stream = reply.StreamIndex
	t.ready.Store(true)
	t.Ask()
	return t.client.Request(&proto.CorkRecordStream{StreamIndex: t.stream, Corked: false}, nil)
}

// Ask brings the latency up to date: what the source holds, and of what a device plays
// less what that has yet to play.
func (t *Tap) Ask() {
	var r proto.GetRecordLatencyReply
	if err := t.client.Request(&proto.GetRecordLatency{StreamIndex: t.stream}, &r); err == nil {
		t.delay.Store(int64(r.Latency)*int64(time.Microsecond) - int64(r.MonitorLatency)*int64(time.Microsecond))
	}
}

// event takes what the server reports; it runs on the client's reader.
func (t *Tap) event(e any) {
	switch e := e.(type) {
	case *proto.DataPacket:
		if t.ready.Load() {
			t.take(e.Data)
		}
	case *proto.RecordStreamKilled, *proto.ConnectionClosed:
		err := errors.New("what is listened to went away")
		t.gone.CompareAndSwap(nil, &err)
	}
}

// take keeps a packet's frames, and when they came.
func (t *Tap) take(data []byte) {
	now := time.Since(t.epoch) - time.Duration(t.delay.Load())
	t.mu.Lock()
	defer t.mu.Unlock()
	for ; len(data) >= 4; data = data[4:] {
		t.frames = append(t.frames, math.Float32frombits(binary.LittleEndian.Uint32(data)))
		t.count++
	}
	t.packets = append(t.packets, packet{now, float64(t.count) - now.Seconds()*float64(t.rate)})
	old := slices.IndexFunc(t.packets, func(p packet) bool { return now-p.at <= tapMemory })
	t.packets = t.packets[max(0, old):]
}

// Name is what is listened to.
func (t *Tap) Name() string { return t.name }

// Rate is how many frames come in a second.
func (t *Tap) Rate() int { return t.rate }

// Read moves the frames that have come in and have not been read into out, and returns
// how many those are. It does not wait.
func (t *Tap) Read(out []float32) (int, error) {
	if err := t.gone.Load(); err != nil {
		return 0, *err
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	n := copy(out, t.frames)
	t.frames = t.frames[n:]
	return n, nil
}

// Captured returns the frame that sounds at a moment, as a count of frames; 0 before
// any has come.
func (t *Tap) Captured(at time.Time) float64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.packets) == 0 {
		return 0
	}
	early := t.packets[0].early
	for _, p := range t.packets {
		early = max(early, p.early)
	}
	return early + at.Sub(t.epoch).Seconds()*float64(t.rate)
}

// Close ends the listening.
func (t *Tap) Close() error { return t.wire.Close() }
