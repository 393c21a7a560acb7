package sun

import (
	"math"

	"panelhand/calc/units"
)

var lightHeights = units.Range{Quantity: "height of the sun", Unit: "degree", Low: 5, High: 90}

// ClearSun returns the sun's own illuminance under a clear sky on a surface
// facing it: 128·exp(−0.21/sin h) klx, h from 5 to 90°. Scatter at least a stop.
// Source: 1984 daylight availability forms (photometry handbook §5.2, from memory).
func ClearSun(h units.Degrees) (units.Lux, error) {
	return light(h, func(s float64) float64 { return 128 * math.Exp(-0.21/s) })
}

// ClearSky returns a clear sky's illuminance on level ground, the sun left
// out: 0.8 + 15.5·√sin h klx. Range and source as ClearSun.
func ClearSky(h units.Degrees) (units.Lux, error) {
	return light(h, func(s float64) float64 { return 0.8 + 15.5*math.Sqrt(s) })
}

// Overcast returns an overcast sky's illuminance on level ground:
// 0.3 + 21·sin h klx. Range and source as ClearSun.
func Overcast(h units.Degrees) (units.Lux, error) {
	return light(h, func(s float64) float64 { return 0.3 + 21*s })
}

func light(h units.Degrees, klx func(sine float64) float64) (units.Lux, error) {
	if err := lightHeights.Check(float64(h)); err != nil {
		return 0, err
	}
	return units.Lux(1000 * klx(math.Sin(radians(float64(h))))), nil
}
