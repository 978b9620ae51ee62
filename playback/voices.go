package playback

import (
	"sort"

	"drylane/show/timebase"
)

// A Voice is a short mono sound placed on a frame of the stream.
type Voice struct {
	ID    int            // names the voice for Move and Remove
	Start timebase.Frame // frame of the stream that carries the sound's first sample
	Sound []float64
}

// Voices mixes short sounds into a stream. What it adds to a frame depends on
// that frame's number alone, so any part of a stream can be mixed again, after
// a hold say, and comes out the same.
//
// beep.Mixer does not do that (measured, v1.1.0): it takes out a sound that is
// over by putting the last one in its place, so that what is mixed again from a
// later frame adds up in another order (with four sounds, 936 frames of 3,000
// changed in their last bit). It also never ends, and drops the error of a
// stream that broke off.
//
// A Voices belongs to one goroutine.
type Voices struct {
	byStart []Voice
	longest timebase.Frame
}

// Add places a voice. Voices with one ID replace one another.
func (v *Voices) Add(voice Voice) {
	v.Remove(voice.ID)
	i := sort.Search(len(v.byStart), func(i int) bool { return v.byStart[i].Start > voice.Start })
	v.byStart = append(v.byStart, Voice{})
	copy(v.byStart[i+1:], v.byStart[i:])
	v.byStart[i] = voice
	v.longest = max(v.longest, timebase.Frame(len(voice.Sound)))
}

// Remove takes a voice out; frames already mixed keep it.
func (v *Voices) Remove(id int) {
	for i := range v.byStart {
		if v.byStart[i].ID == id {
			v.byStart = append(v.byStart[:i], v.byStart[i+1:]...)
			return
		}
	}
}

// Get returns the voice with that ID.
func (v *Voices) Get(id int) (Voice, bool) {
	for _, voice := range v.byStart {
		if voice.ID == id {
			return voice, true
		}
	}
	return Voice{}, false
}

// Clear takes all voices out.
func (v *Voices) Clear() { v.byStart = v.byStart[:0] }

// Forget drops the voices that are over before frame f.
func (v *Voices) Forget(f timebase.Frame) {
	keep := v.byStart[:0]
	for _, voice := range v.byStart {
		if voice.Start+timebase.Frame(len(voice.Sound)) > f {
			keep = append(keep, voice)
		}
	}
	clear(v.byStart[len(keep):])
	v.byStart = keep
}

// MixInto adds the voices to frames, the first of which is frame from of the
// stream, at gain[0] on the left and gain[1] on the right.
func (v *Voices) MixInto(frames [][2]float64, from timebase.Frame, gain [2]float64) {
	end := from + timebase.Frame(len(frames))
	first := sort.Search(len(v.byStart), func(i int) bool { return v.byStart[i].Start > from-v.longest })
	for _, voice := range v.byStart[first:] {
		if voice.Start >= end {
			return
		}
		lo := max(from, voice.Start)
		hi := min(end, voice.Start+timebase.Frame(len(voice.Sound)))
		for f := lo; f < hi; f++ {
			s := voice.Sound[f-voice.Start]
			frames[f-from][0] += s * gain[0]
			frames[f-from][1] += s * gain[1]
		}
	}
}
