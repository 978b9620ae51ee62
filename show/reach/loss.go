// Package reach works out, for planning, how well the console reaches the field by
// radio: what the way takes from the signal, what is left over what the receiver
// needs, and how many packets that loses.
//
// It knows of distance, height and a spread for what stands in the way. It knows
// nothing of what else is on the air, of people around the antennas, or of wet
// leaves: a test on the ground decides, and the operator in charge.
package reach

import "math"

// speedOfLight in m/s, by definition of the metre.
const speedOfLight = 299_792_458

// FreeSpace is the basic transmission loss in dB between isotropic antennas in
// free space, over a distance in metres at a frequency in MHz: ITU-R P.525,
// 20 log10(4 pi d / wavelength), which the Recommendation also writes as
// 32.4 + 20 log10(f in MHz) + 20 log10(d in km).
func FreeSpace(mhz, metres float64) float64 {
	return 20 * math.Log10(4*math.Pi*metres*mhz*1e6/speedOfLight)
}

// TwoRay is the loss in dB far out over flat ground, where what the ground
// reflects all but cancels what comes straight: 40 log10(d) - 20 log10(h1 h2), all
// in metres, whatever the frequency. From memory, as text books have it.
func TwoRay(metres, height1, height2 float64) float64 {
	return 40*math.Log10(metres) - 20*math.Log10(height1*height2)
}

// Loss is the loss in dB to plan with: free space, or two rays from where these
// lose more, at 4 pi h1 h2 / wavelength. Nearer than a metre counts as a metre.
func Loss(mhz, metres, height1, height2 float64) float64 {
	metres = max(metres, 1)
	return max(FreeSpace(mhz, metres), TwoRay(metres, height1, height2))
}

// PacketsLost is the share of packets lost, 0 to 1, at a margin in dB. The model:
// what stands in the way takes more or less than the mean, in dB by a normal law
// with a standard deviation of spread ("log-normal shadowing"), and a packet is lost
// when it takes more than the margin. Packets that are sent again are not
// counted in.
func PacketsLost(margin, spread float64) float64 {
	return math.Erfc(margin/spread/math.Sqrt2) / 2
}
