package gapless

import (
	"cmp"
	"maps"
	"slices"
)

// Info is what is known of an MP3 file besides its music.
type Info struct {
	Version     string // "MPEG-1", "MPEG-2" or "MPEG-2.5"
	Layer       int    // 3
	Rate        int    // Hz
	Channels    int    // 1 or 2
	BitrateKind string // "CBR", "VBR" or "ABR"
	Bitrate     int    // mean of the frames with sound, in bit/s
	Encoder     string // as its tag spells it, such as "LAME3.100"; may be empty

	// TagKind is the kind of the tag frame: "Xing", "Info", "VBRI" or "".
	TagKind string
	// HasDelay tells that Delay and Padding, the frames that the encoder added
	// before and behind the music, are on record in the file.
	HasDelay       bool
	Delay, Padding int64
	// Frames is the length of the music. Missing is how many more the tag
	// promises: the file has been cut short. Extra is how many the file has
	// beyond what the tag promises, such as when files were joined; they are
	// played.
	Frames, Missing, Extra int64
	// StartUncertain is how many frames of silence may stand before the music
	// because the encoder's delay is not on record; 0 when it is. None of it is
	// taken off, and nothing of the decoder's.
	StartUncertain int64

	// AudioStart and AudioEnd bound the MPEG frames in the file, tag frame
	// included, other tags not: the bytes to hash for `the same sound`.
	AudioStart, AudioEnd int64

	Title, Artist, Album string // as the file spells them

	// Intensity tells that the file uses intensity stereo. The stereo image of
	// its highest frequencies is then not decoded rightly.
	Intensity bool

	// Repairs are the damaged places, in order. Those that show only when a
	// frame is decoded are listed once they have been played.
	Repairs []Repair
}

// A Repair is a damaged place of the file. Time is kept across it.
type Repair struct {
	Offset int64 // in the file, in bytes
	Start  int64 // the first frame of music touched
	Frames int64 // how many are silent; 0 where only stray bytes were left out
	Reason string
}

// maxStartUncertain is the longest delay known of an encoder and a decoder
// together, in frames. LAME adds 576, encoders after the standard's model 528, and
// the one by the inventors of the format 1160 (LAME Technical FAQ, section 2).
const maxStartUncertain = 1160 + decoderDelay

// Info describes the file.
func (r *Reader) Info() Info {
	ix := r.ix
	i := Info{
		Version: ix.ref.versionName(), Layer: 3,
		Rate: ix.ref.rate(), Channels: ix.ref.channels(),
		BitrateKind: ix.bitrateKind(), Bitrate: ix.meanBitrate(),
		Encoder: ix.tag.encoder, TagKind: ix.tag.kind, HasDelay: ix.tag.hasDelay,
		Delay: ix.tag.delay, Padding: ix.tag.padding,
		Frames: ix.frames, Missing: ix.missing, Extra: ix.extra,
		AudioStart: ix.start, AudioEnd: ix.end,
		Title: ix.label.title, Artist: ix.label.artist, Album: ix.label.album,
		Intensity: ix.intensity,
		Repairs:   ix.placed(r.dec.bad),
	}
	if !i.HasDelay {
		i.StartUncertain = min(maxStartUncertain, i.Frames)
	}
	return i
}

// bitrateKind goes by the tag's word, and by the frames where it has none.
func (ix *index) bitrateKind() string {
	switch ix.tag.method {
	case 2, 9:
		return "ABR"
	case 3, 4, 5, 6:
		return "VBR"
	}
	if ix.nominal > 0 {
		return "CBR"
	}
	return "VBR"
}

func (ix *index) meanBitrate() int {
	if ix.nominal > 0 {
		return ix.nominal
	}
	var n int64
	for _, e := range ix.entries {
		if e.size > 0 {
			n++
		}
	}
	return int(ix.bytes * 8 * int64(ix.ref.rate()) / (n * ix.perFrame()))
}

// placed returns the repairs of ix, and the entries in bad, by frames of music.
// Neighbours are joined.
func (ix *index) placed(bad map[int]string) []Repair {
	all := slices.Clone(ix.repairs)
	for _, k := range slices.Sorted(maps.Keys(bad)) {
		all = append(all, repair{off: int64(ix.entries[k].off), first: k, n: 1, reason: bad[k]})
	}
	slices.SortStableFunc(all, func(a, b repair) int {
		return cmp.Or(cmp.Compare(a.first, b.first), cmp.Compare(a.off, b.off))
	})
	var out []Repair
	end := -1 // the entry behind the last repair
	for _, r := range all {
		from := ix.music(r.first)
		to := ix.music(r.first + r.n)
		if r.first == end && r.n > 0 && len(out) > 0 {
			out[len(out)-1].Frames += to - from
		} else {
			out = append(out, Repair{Offset: r.off, Start: from, Frames: to - from, Reason: r.reason})
		}
		end = r.first + r.n
	}
	return out
}

// music returns the frame of music at which entry k begins, within the music.
func (ix *index) music(k int) int64 {
	return min(max(0, int64(k)*ix.perFrame()-ix.skip), ix.frames)
}
