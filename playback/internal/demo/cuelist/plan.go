package cuelist

import "fmt"

// A moment is a place in the music: a sixteenth of a bar of a section.
type moment struct {
	section   string
	bar, step int
}

func (m moment) String() string {
	return fmt.Sprintf("%s, bar %d, step %d", m.section, m.bar, m.step)
}

// A shot is one item fired from several positions at once.
type shot struct {
	item Item
	from []string
}

// A row of the plan is what happens at a moment.
type row struct {
	moment
	shots []shot
}

// on makes a shot.
func on(item Item, from ...string) shot { return shot{item, from} }

// at makes a row.
func at(section string, bar, step int, shots ...shot) row {
	return row{moment{section, bar, step}, shots}
}

// plan is the show. The runs leave Slip out: among accents a tenth of a second
// apart nobody can hear that one of them is late.
var plan = concat(
	planIntro, planTheme, planBuild, planChase,
	run(3, mole, quay, jetty, barge), run(7, barge, jetty, quay, mole),
	planSlow, planReturn, planFinale,
)

// run is sixteen candle shots, one a step, wandering across the positions.
func run(bar int, across ...string) []row {
	rows := make([]row, 16)
	for step := range rows {
		rows[step] = at("chase", bar, step, on(candleShot, across[step%len(across)]))
	}
	return rows
}

func concat(parts ...[]row) []row {
	var rows []row
	for _, p := range parts {
		rows = append(rows, p...)
	}
	return rows
}
