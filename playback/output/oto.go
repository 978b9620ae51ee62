//go:build darwin || windows || (linux && alsa && cgo)

package output

import (
	"errors"
	"sync"
	"time"

	"drylane/playback"

	"github.com/ebitengine/oto/v3"
)

// What an oto device holds. The library tells only what is in the player's
// buffer; the device's is taken as full always, so that nothing counts as heard
// early.
const (
	otoRate   = 48000
	otoDevice = 30 * time.Millisecond
	otoPlayer = 8 * time.Millisecond
	otoReady  = 5 * time.Second
)

// otoContext opens the device, which can be done once in a process.
var otoContext = sync.OnceValues(func() (*oto.Context, error) {
	context, ready, err := oto.NewContext(&oto.NewContextOptions{
		SampleRate: otoRate, ChannelCount: 2, Format: oto.FormatFloat32LE, BufferSize: otoDevice})
	if err != nil {
		return nil, err
	}
	select {
	case <-ready:
		return context, context.Err()
	case <-time.After(otoReady):
		return nil, errors.New("the sound device does not get ready")
	}
})

// An otoOutput plays through the system's own sound service.
type otoOutput struct {
	*feed
	player *oto.Player
}

func openOto(o Options) (playback.Output, error) {
	context, err := otoContext()
	if err != nil {
		return nil, err
	}
	f, err := newFeed(o, otoRate, otoDevice, time.Now)
	if err != nil {
		return nil, err
	}
	player := context.NewPlayer(f)
	player.SetBufferSize(int(frames(otoPlayer, otoRate)) * frameBytes)
	f.buffered = player.BufferedSize
	f.broken = func() error { return errors.Join(context.Err(), player.Err()) }
	player.Play()
	return &otoOutput{f, player}, nil
}

func (o *otoOutput) Close() error {
	o.player.Pause()
	return o.feed.Close()
}
