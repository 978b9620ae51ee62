package timebase

import (
	"testing"
	"time"
)

func TestClocks(t *testing.T) {
	tests := []struct{ in, clock, tenths, millis, seconds string }{
		{"0s", "0:00", "0:00.0", "0:00.000", "0.000"},
		{"9.999s", "0:09", "0:09.9", "0:09.999", "9.999"},
		{"83.25s", "1:23", "1:23.2", "1:23.250", "83.250"},
		{"59m59.9996s", "59:59", "59:59.9", "1:00:00.000", "3600.000"},
		{"1h2m3.456s", "1:02:03", "62:03.4", "1:02:03.456", "3723.456"},
		{"-1.25s", "-0:01", "-0:01.2", "-0:01.250", "-1.250"},
		{"-250ms", "0:00", "-0:00.2", "-0:00.250", "-0.250"},
		{"-499us", "0:00", "0:00.0", "0:00.000", "0.000"},
		{"-500us", "0:00", "0:00.0", "-0:00.001", "-0.001"},
		{"499.5us", "0:00", "0:00.0", "0:00.000", "0.000"},
		{"24h", "24:00:00", "1440:00.0", "24:00:00.000", "86400.000"},
		{"1h59m59.99951s", "1:59:59", "119:59.9", "2:00:00.000", "7200.000"},
		{"500us", "0:00", "0:00.0", "0:00.001", "0.001"},
	}
	for _, tt := range tests {
		d, err := time.ParseDuration(tt.in)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range []struct{ name, got, want string }{
			{"Clock", Clock(d), tt.clock}, {"ClockTenths", ClockTenths(d), tt.tenths},
			{"ClockMillis", ClockMillis(d), tt.millis}, {"Seconds", Seconds(d), tt.seconds},
		} {
			if g.got != g.want {
				t.Errorf("%s(%s) = %q; want %q", g.name, tt.in, g.got, g.want)
			}
		}
	}
}
