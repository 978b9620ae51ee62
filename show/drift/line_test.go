package drift

import (
	"math"
	"testing"
)

// near fails unless got is within a relative tolerance of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s = %.15g, want %.15g", what, got, want)
	}
}

// NIST Statistical Reference Datasets, linear regression: Norris.
var (
	norrisX = []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	norrisY = []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
)

func TestFitLineNorris(t *testing.T) {
	t.Parallel()
	l := FitLine(norrisX, norrisY)
	near(t, "slope", l.Slope, 1.00211681802045, 1e-10)
	near(t, "slope SE", l.SlopeSE, 0.000429796848199937, 1e-10)
	near(t, "intercept", l.Intercept, -0.262323073774029, 1e-10)
	near(t, "intercept SE", l.InterceptSE, 0.232818234301152, 1e-10)
	near(t, "residual SD", l.ResidualSD, 0.884796396144373, 1e-10)
	near(t, "R squared", l.R2, 0.999993745883712, 1e-10)
}

// NIST Statistical Reference Datasets, linear regression: NoInt1.
func TestFitThroughOriginNoInt1(t *testing.T) {
	t.Parallel()
	var x, y []float64
	for i := range 11 {
		x, y = append(x, float64(60+i)), append(y, float64(130+i))
	}
	l := FitThroughOrigin(x, y)
	near(t, "slope", l.Slope, 2.07438016528926, 1e-10)
	near(t, "slope SE", l.SlopeSE, 0.0165289256198347, 1e-10)
	near(t, "residual SD", l.ResidualSD, 3.56753034006338, 1e-10)
	near(t, "R squared", l.R2, 0.999365492298663, 1e-10)
}

// Sen, J. Am. Stat. Assoc. 63:1379-1389, 1968, the worked example: slope 4, with
// the 93 % interval from 3.71 to 4.38.
func TestTheilSenWorkedExample(t *testing.T) {
	t.Parallel()
	b := theilSen([]float64{1, 2, 3, 4, 10, 12, 18}, []float64{9, 15, 19, 20, 45, 55, 78}, 0.93)
	near(t, "slope", b.centre, 4, 1e-12)
	if math.Abs(b.low-3.71) > 0.005 || math.Abs(b.high-4.38) > 0.005 {
		t.Errorf("interval %.4f..%.4f, want 3.71..4.38", b.low, b.high)
	}
}

func TestTheilSenOnNorris(t *testing.T) {
	t.Parallel()
	// The median of the 629 slopes, from exact rational arithmetic.
	b := theilSen(norrisX, norrisY, 0.95)
	near(t, "slope", b.centre, 1.0021968365553602, 1e-12)
	if ls := FitLine(norrisX, norrisY).Slope; b.low > ls || ls > b.high {
		t.Errorf("interval %v..%v misses the least-squares slope %v", b.low, b.high, ls)
	}
}

func TestTheilSenSmall(t *testing.T) {
	t.Parallel()
	near(t, "slope", theilSen([]float64{0, 1, 2}, []float64{0, 1, 1}, 0.95).centre, 0.5, 1e-12)
	if b := theilSen([]float64{3, 3}, []float64{1, 2}, 0.95); b.level != 0 || !math.IsNaN(b.centre) {
		t.Errorf("no two x: %+v", b)
	}
}

func TestFitNeedsPoints(t *testing.T) {
	t.Parallel()
	for _, l := range []LeastSquares{
		FitLine(nil, nil),
		FitLine([]float64{1, 2}, []float64{1, 2}),
		FitLine([]float64{2, 2, 2}, []float64{1, 2, 3}),
		FitThroughOrigin([]float64{0, 0}, []float64{1, 2}),
	} {
		if !math.IsNaN(l.Slope) {
			t.Errorf("slope %v from too little", l.Slope)
		}
	}
}
