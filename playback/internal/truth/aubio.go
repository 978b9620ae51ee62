package truth

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"strconv"
	"strings"
	"time"
)

// AubioMethods are the onset functions of aubioonset 0.4.9.
var AubioMethods = []string{"hfc", "complex", "energy", "phase", "wphase", "specdiff", "specflux", "kl", "mkl"}

// Aubio returns the onsets that aubioonset finds in a WAV file by a method,
// with all else as it is by default.
func Aubio(ctx context.Context, wav, method string) ([]time.Duration, error) {
	out, err := exec.CommandContext(ctx, "aubioonset", "-O", method, wav).Output()
	if err != nil {
		return nil, fmt.Errorf("aubioonset: %w", err)
	}
	var at []time.Duration
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		v, err := strconv.ParseFloat(strings.TrimSpace(s.Text()), 64)
		if err != nil {
			return nil, fmt.Errorf("aubioonset printed %q; wanted seconds", s.Text())
		}
		at = append(at, time.Duration(v*float64(time.Second)))
	}
	return at, nil
}

// BestAubio returns the best score of all methods on a piece.
func BestAubio(ctx context.Context, p *Piece) (method string, best Score, err error) {
	for _, m := range AubioMethods {
		found, err := Aubio(ctx, p.WAV, m)
		if err != nil {
			return "", Score{}, err
		}
		if s := Match(p.Onsets, found, Window); method == "" || s.F() > best.F() {
			method, best = m, s
		}
	}
	return method, best, nil
}
