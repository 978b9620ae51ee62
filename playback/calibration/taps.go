package calibration

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/timebase"
)

// maxTaps bounds a taps file.
const maxTaps = 10_000

// readTapsFile reads the taps of a file.
func readTapsFile(path string) ([]time.Duration, error) {
	f, err := disk.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: the taps cannot be read: %w", path, disk.Plain(err))
	}
	defer f.Close()
	taps, err := parseTaps(f)
	if err != nil {
		return nil, fmt.Errorf("%s:%w", path, err)
	}
	return taps, nil
}

// parseTaps reads taps: one time a line, each after the one before. Lines that
// are empty or start with # are skipped. There is at least one tap.
func parseTaps(r io.Reader) ([]time.Duration, error) {
	var taps []time.Duration
	sc := bufio.NewScanner(r)
	line := 0
	for sc.Scan() {
		line++
		text := strings.TrimSpace(strings.TrimPrefix(sc.Text(), "\ufeff"))
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		at, err := show.ParseTime(text)
		switch n := len(taps); {
		case err != nil:
			return nil, fmt.Errorf("%d: %w", line, err)
		case n == maxTaps:
			return nil, fmt.Errorf("%d: found more than %d taps; wanted a shorter file", line, maxTaps)
		case n > 0 && at <= taps[n-1]:
			return nil, fmt.Errorf("%d: found %s after %s; wanted the taps in the order in which they came", line, timebase.ClockMillis(at), timebase.ClockMillis(taps[n-1]))
		}
		taps = append(taps, at)
	}
	if err := sc.Err(); err != nil {
		return nil, fmt.Errorf("%d: found a line that does not read (%w); wanted a time such as 2.584", line+1, err)
	}
	if len(taps) == 0 {
		return nil, errors.New(" found no taps; wanted one time in seconds a line")
	}
	return taps, nil
}
