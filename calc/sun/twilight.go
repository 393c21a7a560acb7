package sun

import (
	"math"

	"panelhand/calc/units"
)

var dayHeights = units.Range{Quantity: "height of the sun", Unit: "degree", Low: -18, High: 90}

// levels are a cubic in h/90 for log10 of the lux on level ground, each from
// its height up.
var levels = []struct {
	from units.Degrees
	l    [4]float64
}{
	{20, [4]float64{3.74, 3.97, -4.07, 1.47}},
	{5, [4]float64{3.05, 13.28, -45.98, 64.33}},
	{-0.8, [4]float64{2.88, 22.26, -207.64, 1034.30}},
	{-5, [4]float64{2.88, 21.81, -258.11, -858.36}},
	{-12, [4]float64{2.70, 12.17, -431.69, -1899.83}},
	{-18, [4]float64{13.84, 262.72, 1447.42, 2797.93}},
}

// Level returns the illuminance of sun and clear sky together on level ground,
// twilight too: h from −18 to 90°. Half a stop; clouds cost a factor of about ten.
// Source: Janiczek and DeYoung, naval observatory circular 171 (1987), from memory,
// checked against its use in public code and the published 3.4 lx at −6°.
func Level(h units.Degrees) (units.Lux, error) {
	if err := dayHeights.Check(float64(h)); err != nil {
		return 0, err
	}
	return units.Lux(level(h)), nil
}

func level(h units.Degrees) float64 {
	for _, c := range levels {
		if h >= c.from {
			x := float64(h) / 90
			return math.Pow(10, c.l[0]+x*(c.l[1]+x*(c.l[2]+x*c.l[3])))
		}
	}
	return 0
}

// AirMass returns how many times the zenith's air the sun's light passes:
// 1/(sin h + 0.50572·(h + 6.07995)^−1.6364), h from −1 to 90°.
// Source: Kasten and Young 1989 (photometry handbook §5.2).
func AirMass(h units.Degrees) (float64, error) {
	if err := (units.Range{Quantity: "height of the sun", Unit: "degree", Low: -1, High: 90}).Check(float64(h)); err != nil {
		return 0, err
	}
	return airMass(h), nil
}

func airMass(h units.Degrees) float64 {
	return 1 / (math.Sin(radians(float64(h))) + 0.50572*math.Pow(float64(h)+6.07995, -1.6364))
}
