package loudness_test

import (
	"fmt"
	"math"

	"drylane/playback/loudness"
)

func ExampleMeter() {
	const rate = 48000
	m, err := loudness.New(rate, 2, loudness.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	// Ten seconds of a 1 kHz tone at -18 dBFS, the right channel the wrong way round.
	frames := make([][2]float64, 10*rate)
	for i := range frames {
		v := math.Pow(10, -18.0/20) * math.Sin(2*math.Pi*float64(i%48)/48)
		frames[i] = [2]float64{v, -v}
	}
	m.Write(frames)
	r := m.Result()
	fmt.Println("now", m.Momentary(), "LUFS")
	fmt.Println("integrated", r.Integrated, "LUFS, true peak", r.TruePeak, "dBTP")
	fmt.Printf("correlation %.0f\n", r.Correlation)
	// Output:
	// now -18.0 LUFS
	// integrated -18.0 LUFS, true peak -18.0 dBTP
	// correlation -1
}
