package crew

import (
	"slices"
	"testing"

	"drylane/show"
	"drylane/show/crew"
)

// TestAsksDown: that a position asks to be stood down is told to the console, to the run
// and to whoever asked, through a hold and a resume, until it is taken back.
func TestAsksDown(t *testing.T) {
	r := newRig(t, nil)
	ada := r.join("Ada", "position:Quay")
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold} {
		r.run.do(a)
	}
	ada.Do(crew.StandDown, Deed{})
	asks := func() bool {
		b := r.Board()
		return b.Asks == "Ada asks to stand Quay down" && b.Lines[0].Asks && r.run.gate.Asks() == b.Asks &&
			slices.Equal(ada.View().State.Asks, []string{"Ada"})
	}
	eventually(t, "it is told", asks)
	r.run.do(show.Resume)
	eventually(t, "it runs", func() bool { return ada.View().State.State == show.Running.String() })
	if !asks() {
		t.Errorf("after the resume it is told no more: %+v", r.Board())
	}
	ada.Do(crew.Withdraw, Deed{})
	eventually(t, "it is taken back", func() bool {
		return r.Board().Asks == "" && r.run.gate.Asks() == "" && len(ada.View().State.Asks) == 0
	})
	if got := len(r.run.logged(crew.AsksDown)) + len(r.run.logged(crew.AsksNoMore)); got != 2 {
		t.Errorf("%d entries of it", got)
	}
}

// TestAsksDownEnds: nobody asks any more once the position is down, and then they are told
// that it is; nor does who has left.
func TestAsksDownEnds(t *testing.T) {
	r := newRig(t, nil)
	ada, ben := r.join("Ada", "position:Quay"), r.join("Ben", "position:Mole")
	r.run.do(show.Arm)
	ada.Do(crew.StandDown, Deed{})
	eventually(t, "Ada asks first", func() bool { return r.Board().Asks == "Ada asks to stand Quay down" })
	ben.Do(crew.StandDown, Deed{})
	eventually(t, "both ask", func() bool { return r.Board().Asks == "2 ask to stand down: Quay and Mole" })
	r.run.standDown("Quay")
	eventually(t, "Ada asks no more", func() bool { return r.Board().Asks == "Ben asks to stand Mole down" })
	ada.Do(crew.StandDown, Deed{})
	eventually(t, "Ada is told", func() bool { return ada.View().Answer.Refused == "Quay is stood down already" })
	ben.Close()
	eventually(t, "Ben has left", func() bool { return r.Board().Asks == "" })
}

// TestStruckIsTold: who is struck off is told so, and that it is over once they answer.
func TestStruckIsTold(t *testing.T) {
	r := newRig(t, nil)
	cyd := r.join("Cyd", "listener")
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold} {
		r.run.do(a)
	}
	eventually(t, "it is awaited", func() bool { return slices.Equal(cyd.View().State.Waits, []string{"Cyd"}) })
	r.run.gate.StrikeOff("Cyd")
	eventually(t, "it is told", func() bool { return slices.Equal(cyd.View().State.Struck, []string{"Cyd"}) })
	cyd.Do(crew.Acknowledge, Deed{})
	eventually(t, "it is over", func() bool { return len(cyd.View().State.Struck) == 0 })
}
