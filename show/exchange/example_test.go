package exchange_test

import (
	"fmt"
	"strings"

	"drylane/show/exchange"
)

func ExampleConvert() {
	const list = "No.;Break (s);Lead;Site\n1;12,5;2,2;Left\n2;soon;0;Right\n"
	var p exchange.Profile
	for _, m := range []string{"cue=1", "effect_at=Break (s)", "prefire=Lead", "position=Site"} {
		if err := p.SetMap(m); err != nil {
			fmt.Println(err)
		}
	}
	t, err := exchange.ReadTable("list.csv", strings.NewReader(list), p)
	if err != nil {
		fmt.Println(err)
		return
	}
	res, err := exchange.Convert(t, p)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range res.Cues {
		fmt.Println(c.ID, c.EffectAt, c.Prefire, c.Position)
	}
	for _, s := range res.Skipped {
		fmt.Println(s.Problems)
	}
	// Output:
	// 1 12.5s 2.2s Left
	// list.csv:3:3: found "soon" as effect_at; wanted seconds such as 83.25 or m:ss.t
}
