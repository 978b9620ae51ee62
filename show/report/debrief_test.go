package report

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// TestDebriefNamesWhatAResumeLeft: in the text, on the page and at the end of the run,
// a resume with something up or unticked is named; one that left nothing is not.
func TestDebriefNamesWhatAResumeLeft(t *testing.T) {
	t.Parallel()
	r := newRig(t, every(3, 2000, 2000, 0))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.must(show.Hold, at(3000))
	r.resume(time.Second)
	r.must(show.Hold, at(5000))
	if err := r.do(show.Command{Action: show.Resume, HeldFor: time.Second, Open: show.Open{Unticked: 3, Up: 2}}, r.tr.Heard()); err != nil {
		t.Fatal(err)
	}
	r.must(show.Hold, at(7000))
	s := NewSheet("x.jsonl", r.run(), Person{})
	var text, page strings.Builder
	if err := s.WriteText(&text); err != nil {
		t.Fatal(err)
	}
	if err := (Page{Sheets: []*Sheet{s}}).WriteHTML(&page); err != nil {
		t.Fatal(err)
	}
	for name, got := range map[string]string{"text": text.String(), "page": page.String()} {
		if strings.Count(got, "resumed with") != 1 || !strings.Contains(got, "1.00 s, resumed with 2 still up, 3 lines unticked") || !strings.Contains(got, "not resumed") {
			t.Errorf("the %s does not name what the second resume left:\n%s", name, got)
		}
	}
	if got := s.Summary(); got.Holds != 3 || got.Open != 1 || !strings.Contains(got.Text(), "Resumed once with something still up or unticked") {
		t.Errorf("%+v\n%s", got, got.Text())
	}
	if !strings.HasPrefix(text.String(), "Debrief: ") || !strings.HasSuffix(text.String(), "no taps: nothing says whether the cues were late or early\n") {
		t.Errorf("%s", text.String())
	}
}
