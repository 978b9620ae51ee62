package crewpage

import (
	"fmt"
	"strings"
	"testing"
)

// TestOutbox: a page that reads nothing costs no more than the latest of each and a few
// answers, in the order in which they came.
func TestOutbox(t *testing.T) {
	o := newOutbox()
	for i := range 10_000 {
		o.put("crew", []byte(fmt.Sprint(i)))
		o.put("state", []byte(fmt.Sprint(i)))
		o.put("answer", []byte(fmt.Sprint(i)))
	}
	<-o.wake
	lines := strings.Split(strings.TrimSpace(string(o.take())), "\n")
	if len(lines) != mostAnswers+2 {
		t.Fatalf("%d lines wait", len(lines))
	}
	for i, want := range map[int]string{0: fmt.Sprintf(`{"answer":%d}`, 10_000-mostAnswers), mostAnswers - 1: `{"answer":9999}`, mostAnswers: `{"crew":9999}`, mostAnswers + 1: `{"state":9999}`} {
		if lines[i] != want {
			t.Errorf("line %d is %s; wanted %s", i, lines[i], want)
		}
	}
	if rest := o.take(); len(rest) > 0 {
		t.Errorf("%s is told twice", rest)
	}
}
