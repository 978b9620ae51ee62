package report

import (
	"io"
	"testing"

	"drylane/show"
)

// BenchmarkFrom rebuilds and analyses a long session: 10,000 cues, 300 taps.
func BenchmarkFrom(b *testing.B) {
	r := newRig(b, every(10_000, 1000, 5, 0))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	for i := range 300 {
		r.tap(at(int64(1000 + 170*i + i*i%90)))
	}
	r.play(at(60_000))
	log := r.read()
	for _, part := range []string{"rebuild", "analyse", "page"} {
		b.Run(part, func(b *testing.B) {
			run, err := From(log)
			if err != nil {
				b.Fatal(err)
			}
			s := NewSheet("x", run, Person{})
			b.ResetTimer()
			for range b.N {
				switch part {
				case "rebuild":
					_, err = From(log)
				case "analyse":
					s = NewSheet("x", run, Person{})
				case "page":
					err = Page{Sheets: []*Sheet{s}}.WriteHTML(io.Discard)
				}
				if err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(run.Taps)), "taps")
		})
	}
}
