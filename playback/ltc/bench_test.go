package ltc

import (
	"fmt"
	"testing"
	"time"

	"drylane/show/timebase"
)

// BenchmarkHour writes an hour of timecode at 48 kHz and reads it back, 4800
// samples at a time, and puts the time that libltc takes for the same beside
// it. libltc works in 8 bits.
func BenchmarkHour(b *testing.B) {
	run := libltc(b)
	const rate, minutes = 48000, 60
	for range b.N {
		e, err := NewEncoder(Config{Rate: timebase.FPS30, SampleRate: rate, Length: minutes * 60 * rate})
		if err != nil {
			b.Fatal(err)
		}
		found := 0
		d, err := NewDecoder(rate, func(Frame) { found++ })
		if err != nil {
			b.Fatal(err)
		}
		frames, mono := make([][2]float64, 4800), make([]float64, 4800)
		var writing, reading time.Duration
		for range minutes * 600 {
			start := time.Now()
			e.Stream(frames)
			writing += time.Since(start)
			for i, f := range frames {
				mono[i] = f[0]
			}
			start = time.Now()
			d.Write(mono)
			reading += time.Since(start)
		}
		d.Flush()
		if found != minutes*60*30 {
			b.Fatalf("%d frames found", found)
		}
		var libWriting, libReading float64
		var libFound int
		if _, err := fmt.Sscan(string(run(nil, "time", rate, 30, 1, minutes*60*30)), &libWriting, &libReading, &libFound); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(writing.Seconds(), "s-write/hour")
		b.ReportMetric(reading.Seconds(), "s-read/hour")
		b.ReportMetric(writing.Seconds()/libWriting, "write/libltc")
		b.ReportMetric(reading.Seconds()/libReading, "read/libltc")
	}
}
