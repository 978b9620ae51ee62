package rehearsal

import (
	"context"
	"time"

	"drylane/playback"
	"drylane/playback/calls"
	"drylane/playback/output"
	"drylane/playback/sink"
)

// A radioVoice speaks the messages from the field, beside the music: on an
// output of its own, because a hold stops the music and not the radio.
type radioVoice struct {
	texts chan string
}

// radioWaits is how many messages may wait to be spoken. More are only read.
const radioWaits = 8

// speakRadio returns a voice, or nil where nothing can be spoken: no speech
// program, or no device that the music plays on. It is silent when ctx ends.
func speakRadio(ctx context.Context, where string, s *sink.Sink, rate int) *radioVoice {
	if s.Quiet || where != "auto" && where != "device" {
		return nil
	}
	voice, err := calls.NewVoice(ctx, calls.English, rate)
	if err != nil {
		return nil // the messages stand on the screen
	}
	r := &radioVoice{make(chan string, radioWaits)}
	go r.run(ctx, voice, output.Options{Rate: rate, Buffer: 200 * time.Millisecond, AppName: "drylane radio"})
	return r
}

// say has a message spoken. It never waits.
func (r *radioVoice) say(_, text string) {
	select {
	case r.texts <- text:
	default:
	}
}

func (r *radioVoice) run(ctx context.Context, voice *calls.Voice, opt output.Options) {
	for {
		select {
		case <-ctx.Done():
			return
		case text := <-r.texts:
			sound, err := voice.Say(calls.Phrase{Text: text})
			if err != nil {
				continue // it stands on the screen all the same
			}
			out, err := output.Device(opt)
			if err != nil {
				continue
			}
			speak(ctx, out, sound.Samples)
			out.Close()
		}
	}
}

// speak plays a mono sound to its end.
func speak(ctx context.Context, out playback.Output, sound []float64) {
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for at := 0; ; {
		n := min(out.Space(), len(sound)-at)
		part := make([][2]float64, n)
		for i, v := range sound[at : at+n] {
			part[i] = [2]float64{v, v}
		}
		if out.Write(part) != nil || out.Start() != nil {
			return
		}
		at += n
		if heard, err := out.Heard(); err != nil || heard >= int64(len(sound)) {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
