package check

import (
	"fmt"

	"drylane/show"
	"drylane/show/words"
)

// usualBurns says for how long effects of each family are seen to burn, from the
// effect on. Common practice, no source; from memory. The maker's figure counts.
var usualBurns = [show.FamilyCount]string{
	show.FamilyOther:    "a lance or a wheel 30 to 90 s",
	show.FamilyShell:    "1 to 4 s, a willow or a crown 4 to 10 s",
	show.FamilySalute:   "0.1 to 0.5 s",
	show.FamilyComet:    "1 to 4 s",
	show.FamilyMine:     "1 to 3 s",
	show.FamilyCandle:   "15 to 45 s, from the first star to the last",
	show.FamilyCake:     "20 to 120 s, from the first shot to the last",
	show.FamilyFountain: "15 to 60 s",
	show.FamilyFlame:    "0.1 to 5 s",
}

// burnRule lists what has no burn time, a line for each family: in a hold nobody
// can say by the list whether such an effect is still up.
func burnRule(f *Facts, c *collector) {
	var blank [show.FamilyCount][]show.Cue
	for _, cue := range f.Show.Cues {
		if cue.Burn == 0 {
			blank[cue.Family] = append(blank[cue.Family], cue)
		}
	}
	for family, cues := range blank {
		if len(cues) == 0 {
			continue
		}
		c.warn(CodeBurn, cueLine(f.Show, cues[0]), fmt.Sprintf("no burn time for %s of family %s (the first is cue %s): after one of them the list cannot say that nothing is up",
			words.Count(len(cues), "cue"), show.Family(family), show.Quote(cues[0].ID)),
			"give burn from the maker's figures; usual: "+usualBurns[family]+" (common practice, no source; from memory)")
	}
}
