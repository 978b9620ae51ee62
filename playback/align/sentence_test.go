package align

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestSentence(t *testing.T) {
	t.Parallel()
	same := Result{Verdict: Same, Same: true, Polarity: 1}
	with := func(f func(r *Result)) Result {
		r := same
		f(&r)
		return r
	}
	for _, c := range []struct {
		r    Result
		want string
	}{
		{same, "the stick's file starts together with the master and runs true"},
		{with(func(r *Result) { r.OffsetMs = 26.12 }), "the stick's file starts 26.1 ms later than the master and runs true"},
		{with(func(r *Result) { r.OffsetMs = -0.04 }), "the stick's file starts together with the master and runs true"},
		{with(func(r *Result) { r.OffsetMs = -60000.2 }), "the stick's file starts 60.0002 s earlier than the master and runs true"},
		{with(func(r *Result) { r.RatePPM, r.Cause = 100, CauseClock }),
			"the stick's file starts together with the master and runs slow by 6.0 ms a minute (100 ppm: two sound-card clocks that differ)"},
		// 4875 ms a minute early: the ratio 147/160 itself.
		{with(func(r *Result) { r.RatePPM, r.Cause = -81250, Cause441As48 }),
			"the stick's file starts together with the master and runs fast by 4.8750 s a minute (81250 ppm: 44.1 kHz sound played as 48 kHz)"},
		{with(func(r *Result) { r.Polarity, r.Swapped = -1, true }),
			"the stick's file starts together with the master and runs true; its polarity is inverted; left and right are exchanged"},
		{with(func(r *Result) { r.Ambiguous, r.AlternativeMs = true, -2000 }),
			"the stick's file starts together with the master and runs true; but the music repeats itself and fits as well at -2000.0 ms"},
		{Result{Verdict: Partly, Polarity: 1, OffsetMs: 5, WindowsUsed: 31, WindowsTotal: 50, FromMs: 1000, ToMs: 61000},
			"only 62 % of the master is found in the stick's file, from 0:01 to 1:01: there the stick's file starts 5.0 ms later than the master and runs true"},
		{Result{Verdict: Recorded, OffsetMs: 31173.1, RatePPM: 6.9, FromMs: 7400, ToMs: 130000},
			"the master and the stick's file are the same music, one of them recorded through a room: recognised from 0:07 to 2:10 of the master; the stick's file starts 31.1731 s later than the master and runs true"},
		{Result{Verdict: Recorded, OffsetMs: 24306.5, RatePPM: 37.4, Cause: CauseClock, ToMs: 130000, Holds: []Held{{AtMs: 43800, LengthMs: 5260}}},
			"the master and the stick's file are the same music, one of them recorded through a room: recognised from 0:00 to 2:10 of the master; the stick's file starts 24.3065 s later than the master and runs slow by 2.2 ms a minute (37 ppm: two sound-card clocks that differ); held for 5.3 s at about 0:44 of the master: \"drylane hear\" tells more"},
		{Result{Verdict: Different}, "the stick's file and the master are not the same music"},
		{Result{Verdict: TooLittle, Quiet: "a"}, "the master has too little sound to compare: silence, steady tones, or only a few seconds"},
		{Result{Verdict: TooLittle, Quiet: "b"}, "the stick's file has too little sound to compare: silence, steady tones, or only a few seconds"},
		{Result{Verdict: TooLittle, Quiet: "both"}, "the master and the stick's file have too little sound to compare: silence, steady tones, or only a few seconds"},
	} {
		if got := c.r.Sentence("the master", "the stick's file"); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

func TestCauseThresholds(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ppm, se float64
		want    Cause
	}{
		{1.9, 0.1, CauseNone}, {-2.1, 0.1, CauseClock}, {20, 10, CauseNone}, {299, 1, CauseClock},
		{301, 1, CauseUnknown}, {1000, 1, CausePullDown}, {-999, 1, CausePullUp}, {960, 1, CausePullDown}, {900, 1, CauseUnknown},
		{88435.4, 1, Cause48As441}, {-81250, 1, Cause441As48}, {-40000, 1, Cause24As25}, {41666.7, 1, Cause25As24},
		{-40959, 1, Cause23976As25}, {42708.3, 1, Cause25As23976},
	} {
		if got := CauseOf(c.ppm, c.se); got != c.want {
			t.Errorf("%v ppm, error %v: %q, want %q", c.ppm, c.se, got, c.want)
		}
	}
	for _, k := range knownRatios {
		if k.cause.Words() != k.words {
			t.Errorf("%q has words %q", k.cause, k.cause.Words())
		}
	}
}

func TestResultAsJSON(t *testing.T) {
	t.Parallel()
	out, err := json.Marshal(Result{Verdict: Same, Same: true, OffsetMs: 1.5, Polarity: -1, Cause: CauseClock})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"verdict":"same"`, `"same":true`, `"offset_ms":1.5`, `"rate_ppm":0`, `"polarity":-1`, `"cause":"sound-card clock"`, `"windows_used":0`, `"windows_total":0`, `"gain_db":0`, `"confidence":0`} {
		if !strings.Contains(string(out), want) {
			t.Errorf("%s lacks %s", out, want)
		}
	}
}
