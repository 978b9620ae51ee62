package words

import (
	"testing"
	"time"
)

const ms = time.Millisecond

func TestTimesInWords(t *testing.T) {
	tests := []struct{ got, want string }{
		{Nudge(0), "NO NUDGE"},
		{Nudge(49 * ms), "NO NUDGE"},
		{Nudge(300 * ms), "EARLIER 0.3 s"},
		{Nudge(-300 * ms), "LATER 0.3 s"},
		{Nudge(10 * time.Second), "EARLIER 10.0 s"},
		{Nudge(-9900 * ms), "LATER 9.9 s"},
		{Shift(312 * ms), "EARLIER 0.312 s"},
		{Shift(-62250 * ms), "LATER 62.250 s"},
		{Late(310 * ms), "0.31 s late"},
		{Late(-24 * ms), "0.02 s early"},
		{Late(-4 * ms), "on the music"},
		{LateMS(12*ms, "on it"), "12 ms late"},
		{LateMS(-600*time.Microsecond, "on it"), "1 ms early"},
		{LateMS(400*time.Microsecond, "on it"), "on it"},
		{OffMS(-3*ms, "after", "before", "with"), "3 ms before"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("found %q; wanted %q", tt.got, tt.want)
		}
	}
}

func TestCounts(t *testing.T) {
	tests := []struct{ got, want string }{
		{Count(0, "cue"), "0 cues"},
		{Count(1, "cue"), "1 cue"},
		{Count(12, "track"), "12 tracks"},
		{Count(1, "press"), "1 press"},
		{Count(2, "press"), "2 presses"},
		{Times(0), "0 times"},
		{Times(1), "once"},
		{Times(2), "twice"},
		{Times(3), "3 times"},
		{List(nil), ""},
		{List([]string{"Mole"}), "Mole"},
		{List([]string{"Mole", "Quay"}), "Mole and Quay"},
		{List([]string{"Mole", "Quay", "Slip"}), "Mole, Quay and Slip"},
		{Or([]string{"j", "f", "x"}), "j, f or x"},
		{Range("cue", 1, "12", "12"), "cue 12"},
		{Range("cue", 2, "12", "13"), "cues 12 and 13"},
		{Range("cue", 3, "12", "A1"), "cues 12 to A1"},
		{WouldBeDue(19, "12", "30"), "19 cues would come due at once, cues 12 to 30"},
		{Salvo(19, "12", "30", 950*ms), "19 cues were spread over 0.95 s: cues 12 to 30"},
		{Due(nil), ""},
		{Due([]string{"98"}), "cue 98 was due: treat as live"},
		{Due([]string{"98", "99", "100", "101"}), "cues 98 to 101 were due: treat as live"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("found %q; wanted %q", tt.got, tt.want)
		}
	}
}
