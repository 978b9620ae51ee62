package cuelist

// The second half: the chase, a rest, and up to the end.
var (
	planChase = []row{
		at("chase", 0, 0, on(crossette, mole, jetty, barge), on(silverMine, quay)),
		at("chase", 1, 0, on(goldComet, mole, barge)),
		at("chase", 2, 0, on(silverMine, quay, jetty)),
		at("chase", 4, 0, on(violetDahlia, mole, jetty, barge), on(silverMine, slip)),
		at("chase", 5, 0, on(goldComet, mole, barge)),
		at("chase", 6, 0, on(redMine, quay, jetty)),
	}

	planSlow = []row{
		at("slow", 0, 0, on(gerb, jetty), on(goldGerb, beacon)),
		at("slow", 2, 0, on(goldWillow, mole)),
		at("slow", 3, 0, on(goldWillow, barge)),
		at("slow", 4, 8, on(smallPalm, quay)),
		at("slow", 5, 8, on(smallPalm, slip)),
		at("slow", 6, 8, on(kamuro, jetty)),
	}

	planReturn = []row{
		at("return", 0, 0, on(blueChrys, mole, jetty, barge)),
		at("return", 0, 8, on(redMine, slip)),
		at("return", 1, 0, on(silverComet, mole, barge)),
		at("return", 2, 0, on(redPeony, quay, slip)),
		at("return", 3, 0, on(goldComet, mole, jetty, barge)),
		at("return", 3, 8, on(salute, quay)),
		at("return", 4, 0, on(goldPalm, mole, barge), on(fanCake, beacon)),
		at("return", 4, 8, on(silverMine, slip)),
		at("return", 5, 0, on(silverRing, jetty)),
		at("return", 6, 0, on(bluePeony, quay, jetty)),
		at("return", 7, 0, on(silverMine, mole, barge)),
		at("return", 7, 8, on(salute, jetty)),
	}

	planFinale = []row{
		at("finale", 0, 0, on(brocade, mole, jetty, barge), on(silverMine, quay)),
		at("finale", 0, 8, on(silverMine, slip)),
		at("finale", 1, 0, on(goldComet, mole, barge), on(fanCake, quay)),
		at("finale", 2, 0, on(redPeony, quay, jetty)),
		at("finale", 2, 8, on(redPeony, slip)),
		at("finale", 3, 0, on(crossette, mole, barge)),
		at("finale", 4, 0, on(goldPalm, mole, jetty, barge), on(fanCake, beacon)),
		at("finale", 4, 8, on(silverMine, slip)),
		at("finale", 5, 0, on(goldComet, mole, barge)),
		at("finale", 6, 0, on(violetDahlia, quay, jetty, slip)),
		at("finale", 7, 0, on(silverMine, mole, barge)),
		at("finale", 8, 0, on(blueChrys, mole, jetty, barge)),
		at("finale", 8, 8, on(salute, quay)),
		at("finale", 9, 0, on(goldComet, mole, barge)),
		at("finale", 9, 8, on(salute, jetty)),
		at("finale", 10, 0, on(kamuro, mole, barge), on(brocade, jetty)),
		at("finale", 10, 8, on(salute, slip)),
		at("finale", 11, 0, on(salute, mole)),
		at("finale", 11, 4, on(salute, quay)),
		at("finale", 11, 8, on(salute, jetty)),
		at("finale", 11, 12, on(salute, barge)),
		at("coda", 0, 0, on(kamuro, mole, jetty, barge), on(brocade, quay, slip), on(salute, quay, jetty)),
	}
)
