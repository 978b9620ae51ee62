package score

// A tone is one step of a melody: a pitch held for a number of sixteenths.
type tone struct {
	pitch  pitch
	length int
}

// The melodies, four beats of four sixteenths a bar.
var (
	themeFirst = []tone{
		{a4, 4}, {d5, 6}, {e5, 2}, {f5, 4},
		{d5, 8}, {f5, 4}, {d5, 4},
		{c5, 6}, {d5, 2}, {f5, 4}, {a5, 4},
		{g5, 12}, {e5, 4},
		{f5, 6}, {e5, 2}, {d5, 4}, {a5, 4},
		{bf5, 8}, {a5, 4}, {f5, 4},
		{g5, 6}, {a5, 2}, {bf5, 4}, {g5, 4},
		{a5, 8}, {e5, 4}, {cs5, 4},
	}
	themeSecond = []tone{
		{d5, 4}, {a5, 6}, {g5, 2}, {f5, 4},
		{d5, 4}, {bf5, 8}, {a5, 4},
		{a5, 6}, {g5, 2}, {f5, 4}, {c5, 4},
		{e5, 6}, {f5, 2}, {g5, 8},
		{bf5, 6}, {a5, 2}, {g5, 4}, {d5, 4},
		{f5, 4}, {g5, 4}, {a5, 4}, {bf5, 4},
		{a5, 6}, {g5, 2}, {e5, 4}, {cs5, 4},
		{d5, 16},
	}
	slowTune = []tone{
		{a5, 6}, {g5, 2}, {f5, 8},
		{g5, 12}, {e5, 4},
		{f5, 6}, {e5, 2}, {d5, 8},
		{e5, 12}, {c5, 4},
		{d5, 6}, {e5, 2}, {f5, 8},
		{c5, 8}, {f5, 4}, {a5, 4},
		{bf5, 8}, {a5, 4}, {g5, 4},
		{a5, 8}, {g5, 4}, {e5, 4},
	}
	returnTune = []tone{
		{d5, 4}, {a5, 6}, {g5, 2}, {f5, 4},
		{d5, 4}, {bf5, 8}, {a5, 4},
		{a5, 6}, {g5, 2}, {f5, 4}, {c5, 4},
		{e5, 6}, {f5, 2}, {g5, 8},
		{bf5, 6}, {a5, 2}, {g5, 4}, {d5, 4},
		{f5, 4}, {g5, 4}, {a5, 4}, {bf5, 4},
		{a5, 8}, {b5, 4}, {cs6, 4},
		{e6, 8}, {cs6, 8},
	}
	finaleTune = []tone{
		{d5, 4}, {fs5, 4}, {a5, 8},
		{a5, 6}, {g5, 2}, {e5, 8},
		{fs5, 6}, {g5, 2}, {fs5, 4}, {d5, 4},
		{b5, 8}, {a5, 4}, {g5, 4},
		{fs5, 4}, {a5, 4}, {d6, 8},
		{cs6, 6}, {b5, 2}, {a5, 8},
		{b5, 6}, {a5, 2}, {g5, 4}, {b5, 4},
		{a5, 8}, {cs6, 4}, {e6, 4},
		{d6, 6}, {f6, 2}, {d6, 4}, {bf5, 4},
		{e6, 6}, {d6, 2}, {c6, 4}, {g5, 4},
		{d6, 4}, {fs6, 4}, {d6, 4}, {a5, 4},
		{d6, 4}, {fs6, 4}, {a6, 8},
	}
)

// The harmonies, a chord a bar.
var (
	introChords  = []chord{dMinor, dMinor, bFlat, bFlat, gMinor, gMinor, aMajor, aMajor}
	themeChords  = []chord{dMinor, bFlat, fMajor, cMajor, dMinor, bFlat, gMinor, aMajor, dMinor, bFlat, fMajor, cMajor, gMinor, bFlat, aMajor, dMinor}
	buildChords  = []chord{gMinor, gMinor, bFlat, bFlat, cMajor, cMajor, aMajor, aSeventh}
	chaseChords  = []chord{dMinor, cMajor, bFlat, aMajor, dMinor, cMajor, bFlat, aMajor}
	slowChords   = []chord{fMajor, cOverE, dMinor, aMinor, bFlat, fOverA, gMinor, aSeventh}
	returnChords = []chord{dMinor, bFlat, fMajor, cMajor, gMinor, bFlat, aMajor, aSeventh}
	finaleChords = []chord{dMajor, aMajor, bMinor, gMajor, dMajor, aMajor, gMajor, aMajor, bFlat, cMajor, dMajor, dMajor}
)
