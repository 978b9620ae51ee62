package loudness

import "math"

// A Result is what was measured of a stream so far. It is plain data that no
// meter keeps hold of.
type Result struct {
	Rate     int   `json:"rate"` // frames a second
	Channels int   `json:"channels"`
	Frames   int64 `json:"frames"`
	// Integrated is the gated loudness of the whole, in LUFS. It is Silence
	// for a stream that is shorter than 400 ms or never louder than -70 LUFS.
	Integrated Level `json:"integrated_lufs"`
	// ShortTermMax and MomentaryMax are the loudest 3 s and 400 ms, in LUFS.
	// What a shorter stream lacks counts as silence.
	ShortTermMax Level `json:"short_term_max_lufs"`
	MomentaryMax Level `json:"momentary_max_lufs"`
	// Range is the loudness range in LU; 0 for a stream shorter than 3 s.
	Range float64 `json:"range_lu"`
	// TruePeak (dBTP) and SamplePeak (dBFS) are those of the higher channel.
	TruePeak   Level `json:"true_peak_dbtp"`
	SamplePeak Level `json:"sample_peak_dbfs"`
	// Balance is how many dB the left channel lies above the right, by RMS
	// without DC. It is 0 for mono and where both are silent.
	Balance Level `json:"balance_db"`
	// Correlation of left and right without DC: 1 for the same signal, near
	// 0 for unrelated ones, -1 where one is the other with its polarity
	// reversed. It is 1 for mono and 0 where a channel has no signal.
	Correlation float64 `json:"correlation"`
	// FirstClips are the first clipped runs, MaxClips at most, by frame.
	FirstClips []Clip `json:"first_clips,omitempty"`
	// AtLeast is set when a sample of a stream that was cut off at full scale
	// stands there: all levels and peaks may then be higher than they read, and
	// Range, Balance and Correlation somewhat other.
	AtLeast bool `json:"at_least,omitempty"`
	// Broken counts the frames with a sample that is not a number or more than
	// 120 dB over full scale. They were measured as silence.
	Broken int64 `json:"broken_frames"`
	// Channel has one entry a channel, left first.
	Channel []Channel `json:"channel"`
}

// A Channel is what was measured of one channel.
type Channel struct {
	TruePeak   Level `json:"true_peak_dbtp"`
	SamplePeak Level `json:"sample_peak_dbfs"`
	// RMS is without DC, in dBFS; a full-scale sine reads -3.01.
	RMS Level `json:"rms_dbfs"`
	// DC is the mean of all samples; full scale is 1.
	DC float64 `json:"dc"`
	// Silent says that no 400 ms of the channel, heard alone, reach -70 LUFS.
	// DC is not heard, but one that starts with a step above 0.004 is.
	Silent bool `json:"silent"`
	// ClippedRuns and LongestClip (in samples) tell of clipped runs.
	ClippedRuns int   `json:"clipped_runs"`
	LongestClip int64 `json:"longest_clip"`
}

// Result returns what was measured so far, as if the stream ended here. The
// meter can go on.
func (m *Meter) Result() Result {
	r := newResult(m.rate, m.channels, m.levels, m.peaks)
	r.AtLeast = m.cutOff && r.SamplePeak >= decibels(m.peaks.channels[0].clips.level)
	return r
}

func newResult(rate, channels int, l *levels, p *peaks) Result {
	r := Result{
		Rate:         rate,
		Channels:     channels,
		Frames:       l.frames,
		Integrated:   loudnessOf(integrated(l.gating)),
		ShortTermMax: loudnessOf(l.shortTermMax),
		MomentaryMax: loudnessOf(l.momentaryMax),
		Range:        loudnessRange(l.shortTerms),
		TruePeak:     Silence,
		SamplePeak:   Silence,
		Broken:       l.broken,
	}
	moments := l.moments()
	r.Balance, r.Correlation = 0, 1
	if channels == 2 {
		r.Balance, r.Correlation = moments.balance(), moments.correlation()
	}
	for c := range channels {
		peak := &p.channels[c]
		clips := peak.clips.soFar()
		ch := Channel{
			TruePeak:    decibels(peak.truePeak()),
			SamplePeak:  decibels(peak.sample),
			RMS:         decibels(math.Sqrt(moments.variance[c])),
			DC:          moments.mean[c],
			Silent:      l.channelMax[c] < powerOf(absoluteGate),
			ClippedRuns: clips.runs,
			LongestClip: clips.longest,
		}
		r.Channel = append(r.Channel, ch)
		r.TruePeak = max(r.TruePeak, ch.TruePeak)
		r.SamplePeak = max(r.SamplePeak, ch.SamplePeak)
		r.FirstClips = append(r.FirstClips, clips.first...)
	}
	r.FirstClips = firstClips(r.FirstClips)
	return r
}
