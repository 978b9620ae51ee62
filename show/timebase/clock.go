package timebase

import (
	"fmt"
	"time"
)

// Clock writes d as a person reads it off a player: m:ss, from an hour on
// h:mm:ss, cut to whole seconds. Callers that mean the nearest second round
// before. A minus sign stands before negative times.
func Clock(d time.Duration) string {
	sign, s := parts(d, time.Second)
	return sign + clock(s)
}

// ClockUp is Clock for a time to go: it is over when nothing is left, and not before.
func ClockUp(d time.Duration) string { return Clock((d + time.Second - 1).Truncate(time.Second)) }

// clock writes s seconds.
func clock(s int64) string {
	if s < 3600 {
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

// ClockTenths writes d as m:ss.t, cut to tenths: a countdown reaches 0.0 when
// the moment is there. Minutes run on past 59, so that a running clock keeps
// its form.
func ClockTenths(d time.Duration) string {
	sign, t := parts(d, time.Second/10)
	return fmt.Sprintf("%s%d:%02d.%d", sign, t/600, t/10%60, t%10)
}

// ClockMillis writes d as m:ss.mmm, from an hour on h:mm:ss.mmm, rounded to the
// millisecond, halves away from zero.
func ClockMillis(d time.Duration) string {
	sign, ms := parts(d.Round(time.Millisecond), time.Millisecond)
	return fmt.Sprintf("%s%s.%03d", sign, clock(ms/1000), ms%1000)
}

// Seconds writes d as seconds with three decimals, rounded, halves away from
// zero: 83.250. A table is written so because a spreadsheet takes m:ss for the
// time of day and changes it.
func Seconds(d time.Duration) string {
	sign, ms := parts(d.Round(time.Millisecond), time.Millisecond)
	return fmt.Sprintf("%s%d.%03d", sign, ms/1000, ms%1000)
}

// parts cuts d to whole units and takes its sign off: no sign where nothing
// is left of it.
func parts(d, unit time.Duration) (sign string, n int64) {
	if n = int64(d / unit); n < 0 {
		return "-", -n
	}
	return "", n
}
