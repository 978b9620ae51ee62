package planted

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"drylane/show/review"
)

// Print writes what was told of the trials: by plant and number of cues, by plant
// and kind of list, and how often what was told was right.
func Print(w io.Writer, trials []Trial) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, "planted\t")
	for _, n := range Sizes {
		fmt.Fprintf(t, "%d cues\t", n)
	}
	for _, k := range Kinds {
		fmt.Fprintf(t, "%s\t", k)
	}
	fmt.Fprintln(t, "all\tor named\twrong\tambiguous\tcannot tell\t")
	for _, p := range Plants {
		fmt.Fprintf(t, "%s\t", p)
		for _, n := range Sizes {
			fmt.Fprintf(t, "%s\t", Count(trials, func(t *Trial) bool { return t.Plant == p && t.Cues == n }))
		}
		for _, k := range Kinds {
			fmt.Fprintf(t, "%s\t", Count(trials, func(t *Trial) bool { return t.Plant == p && t.Kind == k && t.Cues >= 120 }))
		}
		c := Count(trials, func(t *Trial) bool { return t.Plant == p })
		fmt.Fprintf(t, "%s\t%d\t%d\t%d\t%d\t\n", c, c.Named, c.Wrong, c.Ambiguous, c.Unclear)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if err := byPeriod(w, trials); err != nil {
		return err
	}
	if err := outOfPlace(w, trials); err != nil {
		return err
	}
	near := slices.DeleteFunc(slices.Clone(trials), func(t Trial) bool { return t.Plant == Far })
	told, right := Facts(near)
	if _, err := fmt.Fprintf(w, "told of N, +wrong; kinds from 120 cues on. Of %d facts told of lists not 0.5 to 2 s off %d are right: %.1f %%\n", told, right, 100*float64(right)/float64(max(1, told))); err != nil {
		return err
	}
	return calibration(w, trials)
}

// byPeriod writes what was told of the shifts that are under half the shortest period
// of the music, and of those beyond it, which may as well be shifts the other way.
func byPeriod(w io.Writer, trials []Trial) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, p := range []Plant{Whole, Small, One} {
		for _, near := range []bool{true, false} {
			what := "beyond"
			if near {
				what = "under"
			}
			fmt.Fprintf(t, "%s, %s half the shortest period\t", p, what)
			for _, n := range Sizes {
				fmt.Fprintf(t, "%s\t", Count(trials, func(t *Trial) bool { return t.Plant == p && t.Near == near && t.Cues == n }))
			}
			fmt.Fprintln(t)
		}
	}
	return t.Flush()
}

// outOfPlace writes of how many lists of 120 cues and more it is told that they are not
// in place, with the shift or without.
func outOfPlace(w io.Writer, trials []Trial) error {
	for _, p := range Plants {
		count := func(told ...review.Code) int {
			return Count(trials, func(t *Trial) bool { return t.Plant == p && t.Cues >= 120 && t.tells(told...) }).Trials
		}
		all := Count(trials, func(t *Trial) bool { return t.Plant == p && t.Cues >= 120 }).Trials
		if _, err := fmt.Fprintf(w, "%s, from 120 cues on: of %d lists %d are told to be shifted, %d more to be out of place\n", p, all, count(review.Shifted), count(review.Out)); err != nil {
			return err
		}
	}
	return nil
}

// calibration writes how often the likeliest shift of the whole list is right, by its
// confidence: lists whose shift is small, or none, as nearly all are.
func calibration(w io.Writer, trials []Trial) error {
	bounds := []float64{0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 0.98, 1.001}
	for k := 1; k < len(bounds); k++ {
		n, right, named := 0, 0, 0
		for i := range trials {
			t := &trials[i]
			c := t.Report.Show.Confidence
			if (t.Plant == None || t.Plant == Whole || t.Plant == Small) && c >= bounds[k-1] && c < bounds[k] {
				n++
				if (t.Report.Show.Shift - t.Shift).Abs() <= exact {
					right++
				}
				if t.Named() {
					named++
				}
			}
		}
		if _, err := fmt.Fprintf(w, "confidence %.2f to %.2f: %d lists, right %d, among those named %d\n", bounds[k-1], min(bounds[k], 1), n, right, named); err != nil {
			return err
		}
	}
	return nil
}

// Facts counts what was told as a fact, and what of it is so.
func Facts(trials []Trial) (told, right int) {
	for i := range trials {
		for _, f := range trials[i].Facts {
			told++
			if f.Right {
				right++
			}
		}
	}
	return told, right
}

// Counts are of trials.
//
// Told are those of which what was planted was told as a fact and nothing wrong, Named
// those of which it was told or named among what may be. A list of the latter is told
// no more than that it may be so.
type Counts struct{ Trials, Told, Named, Wrong, Ambiguous, Unclear int }

func (c Counts) String() string {
	s := fmt.Sprintf("%d of %d", c.Told, c.Trials)
	if c.Wrong > 0 {
		s += fmt.Sprintf(" +%d", c.Wrong)
	}
	return s
}

// Count counts the trials chosen.
func Count(trials []Trial, chosen func(*Trial) bool) (c Counts) {
	for i := range trials {
		t := &trials[i]
		if !chosen(t) {
			continue
		}
		c.Trials++
		if t.Told() {
			c.Told++
		}
		if t.Told() || t.Named() {
			c.Named++
		}
		if t.Wrong() {
			c.Wrong++
		}
		if len(t.Report.Verdicts) == 0 {
			continue
		}
		switch t.Report.Verdicts[0].Code {
		case review.Ambiguous:
			c.Ambiguous++
		case review.Unclear, review.TooFewCues, review.TooFewAccents:
			c.Unclear++
		}
	}
	return c
}
