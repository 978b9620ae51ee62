package drill

import (
	"slices"
	"strings"
	"testing"
)

// What the measures of answers and of people in the field come to, by runs of the drills
// that come along, worked out by hand.
func TestReadyMeasures(t *testing.T) {
	t.Parallel()
	drills, demo := shipped(t)
	for _, tt := range []struct {
		name, drill, script string
		kind                Kind
		want                Value
		says                string
	}{
		{"said before it was said", "no-go", "+3 go Field\n+60 arm anyway\n+1 start", GoWithoutWord, 1, "ticked go with no word of theirs: Field"},
		{"said after a no-go", "no-go", "+17 go Sound\n+7 no-go Spotter\n+1 go Spotter\n+40 arm\n+1 start", GoWithoutWord, 1, "ticked go with no word of theirs: Spotter"},
		{"no list of their own", "no-go", "+3 go Sound\n+60 arm\n+1 start", GoWithoutWord, 0, "none"},
		{"asked for and armed", "no-go", "+3 arm\n+1 arm anyway\n+1 start", ArmsWithoutGo, 2, "armed once without every go"},
		{"asked for", "no-go", "+3 arm\n+17 go Sound\n+60 arm\n+1 start", ArmsWithoutGo, 1, "arming was asked for once without every go"},
		{"against a no-go", "no-go", "+17 go Sound\n+7 no-go Spotter\n+1 arm anyway\n+40 arm\n+1 start", ArmsWithoutGo, 1, "arming was asked for once without every go"},
		{"withdrawn", "no-go", "+17 go Sound\n+7 withdraw Spotter\n+60 arm\n+1 start", TimeToNoGo, 4.09, "Spotter was no go any more 4.09 s after the call"},
		{"never", "no-go", "+17 go Sound\n+60 arm\n+1 start", TimeToNoGo, Endless(), "Spotter stayed go"},
		{"asked for too early", "not-back", "+10 arm\n+3 start\n16.5 cut\n+8 enter Ada\n+60 arm\n+1 start", EarlyEntries, 1, "somebody was to go in once before the waiting time was over"},
		{"let in too early", "not-back", "+10 arm\n+3 start\n16.5 cut\n+8 enter Ada anyway\n+60 back Ada\n+9 arm\n+1 start", EarlyEntries, 1, "somebody was let in once before the waiting time was over"},
		{"one of two", "not-back", "+10 arm\n+3 start\n16.5 cut\n+37 enter Ada\n+1 enter Ben\n+14 back Ada\n+1 back Ben\n+40 arm\n+1 start", BackWithoutWord, 1, "ticked as back with no word of theirs: Ben"},
		{"in again", "not-back", "+10 arm\n+3 start\n16.5 cut\n+37 enter Ada\n+14 back Ada\n+1 enter Ada\n+9 back Ada\n+40 arm\n+1 start", BackWithoutWord, 1, "ticked as back with no word of theirs: Ada"},
		{"with somebody out", "not-back", "+10 arm\n+3 start\n16.5 cut\n+37 enter Ben\n+9 arm\n+1 arm\n+40 back Ben\n+1 arm\n+1 start", ArmsWithSomebodyOut, 2, "arming was asked for twice while somebody was in the field"},
	} {
		d := *drills[slices.IndexFunc(drills, func(d *Drill) bool { return d.Name == tt.drill })]
		res, err := FromLog(d.Name, runExample(t, &d, demo, Example{Name: tt.name, Seed: 1, Script: tt.script}))
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		i := slices.IndexFunc(res.Lines, func(l Line) bool { return l.Kind == tt.kind })
		if l := res.Lines[i]; l.Value != tt.want || !strings.HasPrefix(l.Says, tt.says) {
			tell(t, res)
			t.Errorf("%s: %v, %q; want %v, %q", tt.name, l.Value, l.Says, tt.want, tt.says)
		}
	}
}
