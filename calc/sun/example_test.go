package sun_test

import (
	"fmt"
	"time"

	"panelhand/calc/sun"
)

// Example 25.a of Meeus, Astronomical Algorithms: 1992 October 13 at 0h
// dynamical time gives 199.90895, 198.38083 and −7.78507.
func ExampleEquatorial() {
	c := sun.Equatorial(2448908.5)
	fmt.Printf("longitude %.4f, right ascension %.5f, declination %.5f\n", c.Apparent, c.RightAscension, c.Declination)
	// Output: longitude 199.9089, right ascension 198.38083, declination -7.78507
}

// The worked example of the published report NREL/TP-560-34302 gives elevation
// 39.872046 without refraction and azimuth 194.340241.
func ExampleWhere() {
	p, err := sun.Where(39.742476, -105.1786, time.Date(2003, 10, 17, 12, 30, 30, 0, time.FixedZone("", -7*3600)))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f° high, bearing %.2f°\n", p.Elevation, p.Azimuth)
	// Output: 39.87° high, bearing 194.34°
}

func ExampleSet() {
	evening, err := sun.Set(51.5, 0, time.Date(2024, 12, 21, 0, 0, 0, 0, time.UTC), sun.Horizon)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(evening.Round(time.Minute).Format("15:04"))
	// Output: 15:53
}
