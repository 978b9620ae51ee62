package drill

import "testing"

// BenchmarkFromLog scores a run of a minute with all that a drill logs.
func BenchmarkFromLog(b *testing.B) {
	log := robin(b).read()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FromLog("bench", log); err != nil {
			b.Fatal(err)
		}
	}
}
