package crew

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/show/crew"
	"drylane/show/session"
	"drylane/show/words"
)

// A seat is where the listener at a machine stands, and how they tap.
type seat struct {
	place string         // empty: not told
	habit *session.Habit // nil: not calibrated
}

// The most that a habit can be, either way: a bias beyond it is no tap along with a tick.
const maxHabit = time.Second

// seat is what a hello says of where somebody stands. The error names the places there
// are.
func (l *Lead) seat(role crew.Role, h *Hello) (s seat, err error) {
	if role.Kind != crew.Listener {
		if h.Place != "" {
			return s, fmt.Errorf("found the place %q for %s; wanted none: a listener alone has one", h.Place, role.Words())
		}
		return s, nil
	}
	if s.place, err = l.placeOf(h.Place); err != nil || h.Habit == nil {
		return s, err
	}
	bias, scatter := time.Duration(h.Habit.BiasNS), time.Duration(h.Habit.ScatterNS)
	if bias < -maxHabit || bias > maxHabit || scatter < 0 || scatter > maxHabit || h.Habit.Taps < 1 {
		return s, errors.New("found a calibration that cannot be; wanted a bias and a scatter of less than a second")
	}
	s.habit = h.Habit
	return s, nil
}

// placeOf is the place of that name as the show writes it.
func (l *Lead) placeOf(name string) (string, error) {
	if name == "" {
		return "", nil
	}
	names := []string{crew.AtMusic}
	for _, p := range l.cfg.Places {
		names = append(names, p.Name)
	}
	if i := slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(n, name) }); i >= 0 {
		return names[i], nil
	}
	if len(names) == 1 {
		return "", fmt.Errorf("found the place %q; wanted %s: show.toml has no [[speaker]], so nobody knows when the music comes there", name, crew.AtMusic)
	}
	const most = 6
	if n := len(names) - most; n > 1 {
		names = append(names[:most], fmt.Sprintf("%d more", n))
	}
	return "", fmt.Errorf("found the place %q; wanted one of the show: %s", name, words.Or(names))
}
