package stand

import (
	"fmt"
	"math"

	"panelhand/calc/units"
)

// AirDensity in kg/m³, sea level and 15 °C. Source: photometry handbook §0.1.
const AirDensity = 1.225

// Drag coefficients. Source: the handbook's conventions; published: square plate
// 1.17, open hemisphere with its mouth to the wind 1.33 to 1.42.
const (
	FlatDrag     = 1.17 // panel, frame, box front
	UmbrellaDrag = 1.42 // open side to the wind
)

// Sail is what the wind pushes on.
type Sail struct {
	Area float64 // m², 1e-4 to 100
	Drag float64 // 0.1 to 3
}

func (s Sail) check() error {
	areas := units.Range{Quantity: "area in the wind", Unit: "m²", Low: 1e-4, High: 100}
	drags := units.Range{Quantity: "drag coefficient", Low: 0.1, High: 3}
	return units.First(areas.Check(s.Area), drags.Check(s.Drag))
}

// Pressure is the wind's dynamic pressure in Pa (N/m²).
//
// Wind 0 to 90 m/s, else an error. Source: photometry handbook §11.
func Pressure(wind units.MetresPerSecond) (float64, error) {
	if err := units.Winds.Check(float64(wind)); err != nil {
		return 0, err
	}
	return 0.5 * AirDensity * float64(wind) * float64(wind), nil
}

// Push is the wind's force on the sail. A panel turned edgewise by less than
// about 50° still takes nearly all of it.
//
// Error: wind or sail out of range. Source: photometry handbook §11, Model L of
// the trade handbook.
func (s Sail) Push(wind units.MetresPerSecond) (units.Newtons, error) {
	q, err := Pressure(wind)
	if err := units.First(err, s.check()); err != nil {
		return 0, err
	}
	return units.Newtons(q * s.Drag * s.Area), nil
}

// GustFactor is the gust planned for when only a mean wind is known. Source:
// the handbook's conventions; 1.5 to 1.7 from memory.
const GustFactor = 1.5

// Gust is the gust to plan for from a mean wind.
//
// Mean 0 to 60 m/s, else an error.
func Gust(mean units.MetresPerSecond) (units.MetresPerSecond, error) {
	if err := (units.Range{Quantity: "mean wind", Unit: "m/s", Low: 0, High: 60}).Check(float64(mean)); err != nil {
		return 0, err
	}
	return GustFactor * mean, nil
}

// reaches are the lowest mean winds of forces 1 to 12, m/s, 10 m above ground.
// Source: two published tables, photometry handbook §11.
var reaches = [12]units.MetresPerSecond{0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7}

// Force is the number 0 to 12 of a mean wind on the wind-force scale, by the
// published bounds.
//
// Wind 0 to 90 m/s, else an error.
func Force(wind units.MetresPerSecond) (int, error) {
	if err := units.Winds.Check(float64(wind)); err != nil {
		return 0, err
	}
	n := 0
	for n < len(reaches) && wind >= reaches[n] {
		n++
	}
	return n, nil
}

// ForceRange is the mean wind from (included) and to (excluded) of a force
// 0 to 12; force 12 ends at 90 m/s, where this package does. Another number is
// an error.
func ForceRange(force int) (from, to units.MetresPerSecond, err error) {
	if force < 0 || force > len(reaches) {
		return 0, 0, fmt.Errorf("wind force %d: the scale goes from 0 to 12", force)
	}
	to = units.MetresPerSecond(units.Winds.High)
	if force > 0 {
		from = reaches[force-1]
	}
	if force < len(reaches) {
		to = reaches[force]
	}
	return from, to, nil
}

// ForceWind is the mean wind, m/s, that the scale's formula 0.836·B^1.5 gives a
// force 0 to 12 (halves allowed). Error: outside that.
// Source: the meteorological code's formula, photometry handbook §11.
func ForceWind(force float64) (units.MetresPerSecond, error) {
	if err := (units.Range{Quantity: "wind force", Low: 0, High: 12}).Check(force); err != nil {
		return 0, err
	}
	return units.MetresPerSecond(0.836 * math.Pow(force, 1.5)), nil
}
