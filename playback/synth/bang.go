package synth

import (
	"time"
)

// Bang returns the sound that stands for one effect, at rate frames a
// second. Its first sample is its attack: at least 0.4 of the peak, so
// that the moment can be both heard and measured to the frame. The peak is
// exactly 1 (0 dBFS), the mean 0, the end faded; it lasts 60 to 400 ms.
//
// A kind out of range sounds as Other. A rate below 1 has no sound: nil. Below
// 16 kHz the brighter kinds come out duller.
func Bang(kind Kind, rate int) []float64 {
	if rate < 1 {
		return nil
	}
	if kind >= KindCount {
		kind = Other
	}
	r := recipes[kind]
	c := newCanvas(r.length, rate, uint64(kind)+1)
	r.draw(c)
	return c.finish()
}

const ms = time.Millisecond

// A recipe says how long a bang lasts and what is drawn on its canvas.
type recipe struct {
	length time.Duration
	draw   func(*canvas)
}

// Every recipe starts with a click at 0 that carries the exact moment; the
// bodies behind it are kept apart in pitch, length and shape.
var recipes = [KindCount]recipe{
	Other:    {120 * ms, drawOther},
	Shell:    {400 * ms, drawShell},
	Salute:   {220 * ms, drawSalute},
	Comet:    {320 * ms, drawComet},
	Mine:     {240 * ms, drawMine},
	Candle:   {90 * ms, drawCandle},
	Cake:     {150 * ms, drawCake},
	Fountain: {360 * ms, drawFountain},
	Flame:    {380 * ms, drawFlame},
}

// drawOther is a plain woody knock.
func drawOther(c *canvas) {
	c.click(0, 1400, 2*ms, 0.6)
	c.tone(0, 1080, 1000, decay(25*ms), 0.6)
}

// drawShell is a soft boom with a tail of crackle.
func drawShell(c *canvas) {
	c.click(0, 700, 2*ms, 0.8)
	c.tone(0, 120, 60, decay(80*ms), 0.6)
	c.noise(0, 380, 0.9, decay(60*ms), 0.6)
	for i := range 14 {
		at := 110*ms + time.Duration(i)*19*ms + time.Duration(c.rand.Bipolar()*float64(7*ms))
		c.click(at, 1500+300*c.rand.Bipolar(), 1500*time.Microsecond, 0.25*(1-float64(i)/16))
	}
}

// drawSalute is a hard crack: everything at once, gone at once.
func drawSalute(c *canvas) {
	c.click(0, 2600, 1*ms, 1)
	c.noise(0, 3600, 0.8, decay(18*ms), 0.8)
	c.noise(0, 1300, 0.8, decay(45*ms), 0.2)
	c.tone(0, 180, 90, decay(35*ms), 0.35)
}

// drawComet is a hiss that rises.
func drawComet(c *canvas) {
	c.click(0, 3000, 1*ms, 0.9)
	c.noise(0, 2600, 1.2, decay(70*ms), 0.25)
	c.noise(0, 5200, 1.6, swell(200*ms, 320*ms), 0.5)
}

// drawMine is a low thud.
func drawMine(c *canvas) {
	c.click(0, 420, 5*ms, 0.8)
	c.tone(0, 140, 70, decay(70*ms), 1)
	c.noise(0, 130, 0.9, decay(40*ms), 0.35)
}

// drawCandle is a pop: a short tone that falls fast.
func drawCandle(c *canvas) {
	c.click(0, 1900, 1*ms, 0.7)
	c.tone(0, 1900, 900, decay(12*ms), 0.9)
}

// drawCake is a double tick.
func drawCake(c *canvas) {
	for _, at := range []time.Duration{0, 70 * ms} {
		c.click(at, 2000, 2*ms, 0.9)
		c.tone(at, 2050, 1900, decay(9*ms), 0.5)
	}
}

// drawFountain is a soft, steady hiss.
func drawFountain(c *canvas) {
	c.click(0, 4500, 1*ms, 0.9)
	c.noise(0, 7000, 1.6, swell(30*ms, 360*ms), 0.3)
}

// drawFlame is a whoosh: broad, low, swelling and dying away.
func drawFlame(c *canvas) {
	c.click(0, 700, 2*ms, 0.9)
	c.noise(0, 520, 1.2, swell(110*ms, 380*ms), 0.5)
	c.noise(0, 1100, 1.0, swell(80*ms, 300*ms), 0.15)
}
