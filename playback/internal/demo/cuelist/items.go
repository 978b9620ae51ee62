package cuelist

import "time"

// An Item is what a cue lights.
type Item struct {
	Effect  string
	Caliber int           // millimetres; 0 where it means nothing
	Prefire time.Duration // from ignition to effect
	Burn    time.Duration // from effect until it is out
}

const ms = time.Millisecond

// lift is the time from ignition to break of a shell: common practice, no
// source. Everything that shows as soon as it is lit has none.
func lift(caliber int) time.Duration {
	switch caliber {
	case 50:
		return 2200 * ms
	case 65:
		return 2600 * ms
	case 75:
		return 3000 * ms
	case 100:
		return 3500 * ms
	case 125:
		return 4000 * ms
	case 150:
		return 4500 * ms
	}
	panic("no lift time for this caliber")
}

func shell(effect string, caliber int, burn time.Duration) Item {
	return Item{effect, caliber, lift(caliber), burn}
}

func ground(effect string, caliber int, burn time.Duration) Item {
	return Item{effect, caliber, 0, burn}
}

// The store. Burn times are common practice, no source.
var (
	witnessComet = ground("small silver comet", 20, 1500*ms)

	redPeony     = shell("red peony shell", 75, 1800*ms)
	bluePeony    = shell("blue peony shell", 75, 1800*ms)
	silverRing   = shell("silver ring shell", 75, 1600*ms)
	smallPalm    = shell("small gold palm shell", 65, 1700*ms)
	blueChrys    = shell("blue chrysanthemum shell", 100, 2400*ms)
	goldPalm     = shell("gold palm shell", 100, 2600*ms)
	violetDahlia = shell("violet dahlia shell", 100, 2200*ms)
	crossette    = shell("green crossette shell", 100, 2000*ms)
	goldWillow   = shell("gold willow shell", 125, 5500*ms)
	brocade      = shell("brocade crown shell", 125, 4000*ms)
	kamuro       = shell("kamuro shell", 150, 6500*ms)
	salute       = shell("salute", 50, 300*ms)

	silverComet = ground("silver comet", 45, 2200*ms)
	goldComet   = ground("gold comet with glitter", 45, 2500*ms)
	redMine     = ground("red star mine", 60, 1500*ms)
	silverMine  = ground("silver crackling mine", 75, 1800*ms)
	candleShot  = ground("blue candle shot", 30, 1200*ms)
	fanCake     = ground("25 shot fan cake", 30, 12*time.Second)
	whistleCake = ground("19 shot crackling cake", 25, 9*time.Second)
	gerb        = ground("silver fountain", 0, 18*time.Second)
	goldGerb    = ground("gold fountain", 0, 15*time.Second)
	flame       = ground("flame burst", 0, 800*ms)
)
