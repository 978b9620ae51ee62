package crew

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"drylane/show"
)

// TestManyMembers: fifty members on one lead. It prints how long a HOLD takes from one
// of them to all, the run's own time left out, and what the members cost.
func TestManyMembers(t *testing.T) {
	members, holds := 50, 20
	if testing.Short() {
		members, holds = 12, 3
	}
	r := newRig(t, nil)
	var all []*Member
	for i := range members {
		all = append(all, r.join(fmt.Sprint("M", i), []string{"position:Quay", "position:Mole", "listener", "spotter", "safety"}[i%5]))
	}
	r.run.do(show.Arm)
	r.run.do(show.Start)
	var took []time.Duration
	for i := range holds {
		eventually(t, "all see it run", func() bool {
			r.run.do(show.Resume) // a busy machine may have lost somebody for a moment
			return !slices.ContainsFunc(all, func(m *Member) bool { v := m.View(); return !v.Running() })
		})
		before, called := all[0].View().State.N, time.Now()
		all[i*7%members].Hold("")
		eventually(t, "all see it held", func() bool {
			return !slices.ContainsFunc(all, func(m *Member) bool { v := m.View(); return v.State.Hold == 0 || v.State.N <= before })
		})
		took = append(took, time.Since(called))
	}
	slices.Sort(took)
	t.Logf("%d members: HOLD at one to all in %v (median), %v (worst of %d)", members, took[len(took)/2].Round(time.Millisecond), took[len(took)-1].Round(time.Millisecond), holds)
	if n := len(r.run.called()); n < holds {
		t.Errorf("the run was told of %d holds of %d", n, holds)
	}
}

// TestNobodyReads: members that read nothing keep nobody waiting: the lead goes on
// telling, and the server drops them.
func TestNobodyReads(t *testing.T) {
	r := newRig(t, nil)
	ada := r.join("Ada", "safety")
	a, _ := ParseAddress(r.Invitation().Address)
	stuck := make(chan struct{})
	for i := range 3 {
		p := newProxy(t, a.Host, func() time.Duration { <-stuck; return 0 })
		go Dial(t.Context(), r.through(p, fmt.Sprint("Stuck", i), "spotter"))
	}
	t.Cleanup(func() { close(stuck) })
	r.run.do(show.Arm)
	r.run.do(show.Start)
	for i := range 5 {
		eventually(t, "Ada sees it run", func() bool { v := ada.View(); return v.Running() })
		ada.Hold("")
		eventually(t, "Ada sees it held", func() bool { return ada.View().State.Hold == i+1 })
		r.run.do(show.Resume)
	}
}
