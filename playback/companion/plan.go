// Package companion makes the companion tracks of a show: the files for the field
// that show.toml describes, and the same tracks as streams to listen to.
package companion

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"drylane/playback"
	"drylane/playback/calls"
	"drylane/playback/ltc"
	"drylane/playback/tracks"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/timebase"
)

// A plan turns a track of show.toml into what is built.
type plan struct {
	show    *show.Show
	music   *playback.Soundtrack
	master  *tracks.Master
	speaker *speakers
	bits    int      // 0 for those of the music
	notes   []string // what is worth saying about it
}

func (p *plan) file(t show.Track) (*tracks.File, error) {
	f := &tracks.File{Rate: p.music.Rate(), Length: int64(p.music.Len()), Encoding: p.encoding()}
	for i, text := range [...]string{t.Left, t.Right} {
		if text == "" {
			text = show.ChannelSilence
		}
		c, err := show.ParseChannel(text)
		if err != nil {
			return nil, err
		}
		side := &f.Sides[i]
		side.Gain = math.Pow(10, c.Gain/20)
		side.Offset = int64(timebase.FrameAt(c.Offset, f.Rate))
		if side.Source, err = p.source(c, f, side.Offset); err != nil {
			return nil, fmt.Errorf("%s: %w", show.Clean(text), err)
		}
	}
	return f, nil
}

func (p *plan) encoding() playback.WAVEncoding {
	if p.bits == 24 || p.bits == 0 && p.music.Info().Bits > 16 {
		return playback.WAVInt24
	}
	return playback.WAVInt16
}

// source makes what a channel carries, for a side that is offset frames later.
// What has no end of its own lasts until the end of the file.
func (p *plan) source(c show.Channel, f *tracks.File, offset int64) (tracks.Source, error) {
	length := f.Length - offset
	switch c.Source {
	case show.ChannelMusic:
		return p.musicOn(c, f, offset)
	case show.ChannelTimecode:
		return tracks.NewTimecode(ltc.Config{Rate: c.Rate, SampleRate: f.Rate, Start: c.Start, Length: int(max(length, 0)), Level: c.Level})
	case show.ChannelTone:
		return tracks.NewTone(c.Hz, c.Level, f.Rate, length)
	case show.ChannelCalls, show.ChannelPips:
		return p.calls(c, f.Rate)
	}
	return tracks.Silence{}, nil
}

func (p *plan) musicOn(c show.Channel, f *tracks.File, offset int64) (tracks.Source, error) {
	weights := map[string][2]float64{show.SideLeft: {1, 0}, show.SideRight: {0, 1}, show.SideMono: {0.5, 0.5}}
	m, err := p.master.Music(weights[c.Side], offset)
	if err != nil || !c.Witness {
		return m, err
	}
	length := int64(timebase.FrameAt(show.WitnessLength, f.Rate))
	at := int64(timebase.FrameAt(p.show.Witness.At, f.Rate))
	if at+length+offset > f.Length || at+offset < 0 {
		return nil, errors.New("the witness tone does not fit into the music; wanted witness.at before its end")
	}
	tone, err := tracks.NewTone(show.WitnessHz, show.DefaultChannelLevel, f.Rate, length)
	if err != nil {
		return nil, err
	}
	m.LayWitness(tone, at, length)
	return m, nil
}

func (p *plan) calls(c show.Channel, rate int) (tracks.Source, error) {
	called := callplan.Of(p.show, c.Position)
	if len(called) == 0 {
		return nil, errors.New("found no cue to call; wanted a hand-fired position with cues")
	}
	speaker, err := p.speaker.get(c.Source == show.ChannelPips, rate)
	if err != nil {
		return nil, err
	}
	p.noteCalls(called)
	marks, err := calls.Render(phrases(called, p.show.Calls.Words), speaker, rate)
	return tracks.NewCalls(marks), err
}

// kinds are what the phrases of a plan are to a speaker.
var kinds = map[callplan.Kind]calls.PhraseKind{
	callplan.Warning: calls.Warning, callplan.Count: calls.Count, callplan.Word: calls.Word,
}

// phrases are what a plan of calls has to be said, in these words.
func phrases(p callplan.Plan, words show.CallWords) []calls.Phrase {
	var list []calls.Phrase
	for _, x := range p.Phrases() {
		list = append(list, calls.Phrase{Kind: kinds[x.Kind], N: x.N, At: x.At, Room: x.Room, Text: x.Text, Spoken: words.Spoken(x.Text)})
	}
	return list
}

// Words are when the words of a channel of calls or pips are due in its file.
func Words(s *show.Show, c show.Channel) []time.Duration {
	var list []time.Duration
	for _, x := range callplan.Of(s, c.Position).Phrases() {
		if x.Kind == callplan.Word {
			list = append(list, x.At+c.Offset)
		}
	}
	return list
}

// noteCalls tells what could not be called in full.
func (p *plan) noteCalls(list callplan.Plan) {
	for _, n := range list.Notes() {
		if !slices.Contains(p.notes, n) { // both sides may call
			p.notes = append(p.notes, n)
		}
	}
}
