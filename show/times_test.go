package show

import (
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// Wanted values are written as the standard library reads durations, so that
// time.ParseDuration is the reference.
func TestParseTime(t *testing.T) {
	for in, want := range map[string]string{
		"0":            "0s",
		"0.000":        "0s",
		"83.250":       "83.250s",
		"83.25":        "83.25s",
		"83.2":         "83.2s",
		"007.5":        "7.5s",
		"0.001":        "1ms",
		"1:23.250":     "1m23.250s",
		"0:05":         "5s",
		"00:00.5":      "500ms",
		"90:00.000":    "90m",
		"1:00:00":      "1h",
		"1:02:03.456":  "1h2m3.456s",
		"24:00:00.000": "24h",
		"86400":        "24h",
		"1440:00":      "24h",
	} {
		ref, err := time.ParseDuration(want)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := ParseTime(in); err != nil || got != ref {
			t.Errorf("ParseTime(%q) = %v, %v; want %v", in, got, err, ref)
		}
	}
}

func TestParseTimeRefuses(t *testing.T) {
	for in, reason := range map[string]string{
		"":                      "83.250",
		".":                     "83.250",
		".5":                    "83.250",
		"5.":                    "83.250",
		":05":                   "83.250",
		"5:":                    "83.250",
		"1:7x.3":                "83.250",
		"+5":                    "83.250",
		"-5":                    "83.250",
		"1e3":                   "83.250",
		"0x10":                  "83.250",
		"NaN":                   "83.250",
		"Inf":                   "83.250",
		"1_000":                 "83.250",
		" 5":                    "83.250",
		"5 ":                    "83.250",
		"5\n":                   "83.250",
		"1.2.3":                 "83.250",
		"1:2:3:4":               "83.250",
		"1:00:00:00":            "83.250",
		"٣":                     "83.250", // a digit, but not of ours
		"83,250":                "comma",
		"83.2500":               "three decimals",
		"0.0001":                "three decimals",
		"1:60":                  "below 60",
		"1:5":                   "below 60",
		"1:005":                 "below 60",
		"1:60:00":               "below 60",
		"1:5:00":                "below 60",
		"24:00:00.001":          "24 hours",
		"86400.001":             "24 hours",
		"99999999999999999999":  "24 hours",
		"9223372036854775807:0": "below 60",
	} {
		got, err := ParseTime(in)
		if err == nil {
			t.Errorf("ParseTime(%q) = %v, want an error", in, got)
			continue
		}
		if !strings.Contains(err.Error(), reason) || !strings.Contains(err.Error(), "found "+Quote(in)) {
			t.Errorf("ParseTime(%q): %v; want it to name what was found and %q", in, err, reason)
		}
	}
}

func TestTimeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := time.Duration(rapid.Int64Range(0, MaxTime.Milliseconds()).Draw(t, "ms")) * time.Millisecond
		for _, s := range []string{timebase.ClockMillis(d), timebase.Seconds(d)} {
			if got, err := ParseTime(s); err != nil || got != d {
				t.Fatalf("ParseTime(%q) = %v, %v; want %v", s, got, err, d)
			}
		}
	})
}

func FuzzParseTime(f *testing.F) {
	for _, s := range []string{"0", "83.250", "1:23.250", "1:02:03.456", "24:00:00", "1:7x.3", "-1", "1e9", "."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseTime(s)
		if err != nil {
			if Clean(err.Error()) != err.Error() {
				t.Errorf("the error for %q is not clean: %q", s, err)
			}
			return
		}
		if d < 0 || d > MaxTime || d%time.Millisecond != 0 {
			t.Errorf("ParseTime(%q) = %v", s, d)
		}
		if again, err := ParseTime(timebase.ClockMillis(d)); err != nil || again != d {
			t.Errorf("ParseTime(timebase.ClockMillis(%v)) = %v, %v", d, again, err)
		}
		// time.ParseDuration is the reference for what has no colon.
		if ref, err := time.ParseDuration(s + "s"); !strings.Contains(s, ":") && (err != nil || ref != d) {
			t.Errorf("ParseTime(%q) = %v; time.ParseDuration says %v, %v", s, d, ref, err)
		}
	})
}
