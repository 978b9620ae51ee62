package crew

import (
	"strings"
	"testing"
	"time"
)

func TestParseScript(t *testing.T) {
	steps, err := ParseScript("s", strings.NewReader("# a remark\n+1.5 until running\n\n+0 hold  boat in  the line\n+0 stand down\n+2 seen 14\n+0 radio field: no music\n+3 wait\n+0 acknowledge\n+1 withdraw\n"+
		"+0 radio Quay: Hold now. [wants hold]\n+1 fault dead Quay [wants stand down]\n+0 fault over\n"))
	want := []Step{{Line: 2, Wait: 1500 * time.Millisecond, Until: "running"}, {Line: 4, Do: Hold, Text: "boat in the line"}, {Line: 5, Do: StandDown},
		{Line: 6, Wait: 2 * time.Second, Do: Seen, Text: "14"}, {Line: 7, Do: Radio, From: "field", Text: "no music"}, {Line: 8, Wait: 3 * time.Second}, {Line: 9, Do: Acknowledge},
		{Line: 10, Wait: time.Second, Do: Withdraw}, {Line: 11, Do: Radio, From: "Quay", Text: "Hold now.", Wants: "hold"},
		{Line: 12, Wait: time.Second, Do: Fault, Text: "dead Quay", Wants: "stand down"}, {Line: 13, Do: Fault, Text: "over"}}
	if err != nil || len(steps) != len(want) {
		t.Fatalf("%+v, %v", steps, err)
	}
	for i := range want {
		if steps[i] != want[i] {
			t.Errorf("step %d: %+v; wanted %+v", i, steps[i], want[i])
		}
	}
	for _, c := range []struct{ text, want string }{
		{"1 hold", "starts with how long to wait"}, {"+x hold", "starts with how long to wait"}, {"+0 resume", "one of: until, hold"},
		{"+0 until noon", "running, held"}, {"+0 ready now", `"ready" alone`}, {"+0 seen", `"seen" with something`}, {"+0 radio hello", `"radio WHO: TEXT"`}, {"+0 radio a: [wants hold]", `"radio WHO: TEXT"`},
		{"+0 fault", `"fault" with something`},
	} {
		if _, err := ParseScript("s", strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v; wanted %q", c.text, err, c.want)
		}
	}
}

func FuzzParseScript(f *testing.F) {
	f.Add("+1.5 until running\n+0 hold boat\n+0 radio a: b [wants hold]\n+0 fault dead A")
	f.Fuzz(func(t *testing.T, text string) {
		steps, err := ParseScript("s", strings.NewReader(text))
		if err != nil {
			return
		}
		for _, s := range steps {
			if s.Wait < 0 || s.Until == "" && s.Do == "" && s.Text != "" || s.Text != CleanWords(s.Text) {
				t.Errorf("%q is read as %+v", text, s)
			}
		}
	})
}
