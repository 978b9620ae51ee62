package loudness

// peaks measures what comes from single samples: true peak, sample peak and
// clipped runs.
type peaks struct {
	channels []peakChannel
}

// peakChannel follows one channel.
type peakChannel struct {
	sample  float64 // largest magnitude of a sample
	between float64 // largest magnitude between samples
	clips   clipper
	// window holds the last taps-1 samples before the block, then the block.
	window [taps - 1 + blockFrames]float64
}

func newPeaks(channels int, o Options) *peaks {
	p := &peaks{channels: make([]peakChannel, channels)}
	for c := range p.channels {
		p.channels[c].clips = newClipper(c, o)
	}
	return p
}

func (p *peaks) add(b *block) {
	for c := range p.channels {
		p.channels[c].add(b.channel(c))
	}
}

func (p *peakChannel) add(x []float64) {
	copy(p.window[taps-1:], x)
	window := p.window[:taps-1+len(x)]
	var sample float64
	sample, p.between = interpolation.peaks(window, p.between)
	p.sample = max(p.sample, sample)
	p.clips.add(x, sample)
	copy(p.window[:taps-1], window[len(x):])
}

// truePeak returns the true peak with silence after the last frame.
func (p *peakChannel) truePeak() float64 {
	var tail [2 * (taps - 1)]float64
	copy(tail[:], p.window[:taps-1])
	_, between := interpolation.peaks(tail[:], p.between)
	return max(p.sample, between)
}
