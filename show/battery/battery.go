// Package battery works out, for planning, whether the batteries of the field last
// through the day and the show with its longest hold.
package battery

import (
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/words"
)

// A point of a curve: the share of the capacity that is to be had at a temperature.
type point struct{ celsius, share float64 }

// curves give the share of the capacity at 25 °C that is left in the cold, at the slow
// discharge of a device that mostly waits. From memory: makers' curves differ by a
// tenth and more, and a battery that is old or drawn hard loses more.
var curves = map[string][]point{
	"lead":    {{-40, 0.30}, {-20, 0.60}, {0, 0.85}, {25, 1}},
	"lithium": {{-40, 0.20}, {-20, 0.60}, {0, 0.85}, {25, 1}},
	"nickel":  {{-40, 0.10}, {-20, 0.50}, {0, 0.80}, {25, 1}},
}

// ShareAt is the share of its capacity, 0 to 1, that a battery of one of
// show.Chemistries gives at a temperature in degrees Celsius: straight lines
// between the points of a curve, and level beyond its ends.
func ShareAt(chemistry string, celsius float64) float64 {
	curve := curves[chemistry]
	last := curve[0]
	for _, p := range curve {
		if celsius < p.celsius {
			if p == curve[0] {
				return p.share
			}
			part := (celsius - last.celsius) / (p.celsius - last.celsius)
			return last.share + part*(p.share-last.share)
		}
		last = p
	}
	return last.share
}

// A Budget is what a device's battery has, and what is asked of it.
type Budget struct {
	HasAh   float64
	NeedsAh float64
	// Module is the one with the most firings, which are Firings.
	Module  string
	Firings int
	// Armed is the show with its longest hold.
	Armed time.Duration

	battery *show.Battery
	celsius float64
}

// Of is the budget of the device that fires most, for a show that takes length;
// false when show.toml has no [battery].
func Of(s *show.Show, length time.Duration) (Budget, bool) {
	b := s.Battery
	if b == nil {
		return Budget{}, false
	}
	u := Budget{battery: b, celsius: s.Air.TemperatureC, Armed: max(length, end(s)) + b.LongestHold}
	u.Module, u.Firings = busiest(s)
	u.HasAh = b.CapacityAh * b.Health * ShareAt(b.Chemistry, u.celsius)
	u.NeedsAh = b.IdleA*b.OnSite.Hours() + b.ArmedA*u.Armed.Hours() + b.FiringA*(time.Duration(u.Firings)*b.Pulse).Hours()
	return u, true
}

// end is when the last effect of the list is over.
func end(s *show.Show) time.Duration {
	var last time.Duration
	for _, c := range s.Cues {
		last = max(last, c.EffectAt+c.Burn)
	}
	return last
}

// busiest is the module with the most cues, the first of them by name.
func busiest(s *show.Show) (module string, cues int) {
	count := map[string]int{}
	for _, c := range s.Cues {
		if c.Module == "" {
			continue
		}
		count[c.Module]++
		if n := count[c.Module]; n > cues || n == cues && c.Module < module {
			module, cues = c.Module, n
		}
	}
	return show.Clean(module), cues
}

// Short reports that the battery does not last.
func (u Budget) Short() bool { return u.NeedsAh > u.HasAh }

// Words are the figures with what they rest on.
func (u Budget) Words() string {
	b := u.battery
	end := fmt.Sprintf("%.2f Ah to spare", u.HasAh-u.NeedsAh)
	if u.Short() {
		end = fmt.Sprintf("%.2f Ah SHORT", u.NeedsAh-u.HasAh)
	}
	return fmt.Sprintf("%s: %.2f Ah at %.3g °C (%.3g Ah %s, %.0f %% of it left by age, %.0f %% by the cold), %.2f Ah needed (%.1f h switched on, %.1f h armed with the longest hold, %s%s)",
		end, u.HasAh, u.celsius, b.CapacityAh, b.Chemistry, 100*b.Health, 100*ShareAt(b.Chemistry, u.celsius),
		u.NeedsAh, b.OnSite.Hours(), u.Armed.Hours(), words.Count(u.Firings, "firing"), u.on())
}

func (u Budget) on() string {
	if u.Module == "" {
		return ""
	}
	return " on " + u.Module
}
