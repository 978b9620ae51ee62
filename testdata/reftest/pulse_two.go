package reftest

import (
	"encoding/binary"
	"fmt"
	"testing"
)

// fourChannels are those of the device that Two makes.
const fourChannels = "front-left,front-right,rear-left,rear-right"

// Two adds two devices to the server, front and rear, of two channels each, that
// are one device of four underneath: what both play can be recorded on one clock.
func (p *Pulse) Two(t testing.TB, rate int) {
	t.Helper()
	p.Control(t, "load-module", "module-null-sink", "sink_name=four", "format=float32le", "channels=4",
		"channel_map="+fourChannels, fmt.Sprintf("rate=%d", rate))
	for _, end := range []string{"front", "rear"} {
		sides := fmt.Sprintf("%s-left,%s-right", end, end)
		p.Control(t, "load-module", "module-remap-sink", "sink_name="+end, "master=four", "channels=2", "remix=no",
			"channel_map="+sides, "master_channel_map="+sides, "sink_properties=device.description="+end)
	}
}

// RecordTwo is Record for the devices that Two made.
func (p *Pulse) RecordTwo(t testing.TB, rate int) *Recording {
	t.Helper()
	return record(t, p.Server, "four.monitor", rate, "--channels=4", "--channel-map="+fourChannels)
}

// TwoFrames waits until more frames have come in and returns all of a recording
// by RecordTwo.
func (r *Recording) TwoFrames(t testing.TB, more int) (front, rear [][2]float32) {
	t.Helper()
	r.waitFor(t, 8*r.Len()+16*more)
	r.mu.Lock()
	defer r.mu.Unlock()
	four := make([][4]float32, len(r.raw)/16)
	if _, err := binary.Decode(r.raw, binary.LittleEndian, four); err != nil {
		t.Fatal(err)
	}
	for _, f := range four {
		front, rear = append(front, [2]float32(f[:2])), append(rear, [2]float32(f[2:]))
	}
	return front, rear
}
