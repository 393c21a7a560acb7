// Package stand computes what wind does to things on light stands: push,
// tipping, ballast, and the wind at which to take them down.
//
//	wind.go   pressure, push, gusts, the wind-force scale
//	stand.go  tipping and ballast
//	limits.go when to take down
//
// Every figure is an estimate for a flat body square to a steady wind on level
// ground. Real gusts are worse. It is no certificate: venue rules, local codes
// and licensed practice come first. Source: photometry handbook §11, trade
// handbook §6 and Model L.
package stand

import (
	"math"

	"panelhand/calc/units"
)

// Gravity in m/s², the standard value (from memory in the handbook).
const Gravity = 9.80665

// Stand is a stand with what is on it. Everything that weighs is taken to hang
// on the centre column.
type Stand struct {
	Weight units.Kilograms // stand, kit and ballast together, 0.1 to 1000
	Feet   units.Metres    // from the column to a foot, not the leg's length, 0.05 to 5
	Legs   int             // 3 to 8
	Height units.Metres    // of the sail's middle above the ground, 0.1 to 20
}

var (
	weights = units.Range{Quantity: "weight on the stand", Unit: "kg", Low: 0.1, High: 1000}
	feet    = units.Range{Quantity: "foot to column", Unit: "m", Low: 0.05, High: 5}
	legs    = units.Range{Quantity: "legs", Low: 3, High: 8}
	heights = units.Range{Quantity: "height of the kit", Unit: "m", Low: 0.1, High: 20}
	factors = units.Range{Quantity: "safety factor", Low: 1, High: 10}
)

func (s Stand) check() error {
	return units.First(weights.Check(float64(s.Weight)), feet.Check(float64(s.Feet)),
		legs.Check(float64(s.Legs)), heights.Check(float64(s.Height)))
}

// edge is the distance from the column to the line between two feet.
func (s Stand) edge() float64 { return float64(s.Feet) * math.Cos(math.Pi/float64(s.Legs)) }

// Edge is how far from the column the stand tips in the worst direction: half
// the foot radius for three legs.
//
// Error: a field out of range. Source: photometry handbook §11.
func (s Stand) Edge() (units.Metres, error) {
	return units.Metres(s.edge()), s.check()
}

// TipWind is the wind, steady or gust, at which the stand tips: safety factor 1.
//
// Error: a field or the sail out of range. Source: photometry handbook §11.
func (s Stand) TipWind(sail Sail) (units.MetresPerSecond, error) {
	if err := units.First(s.check(), sail.check()); err != nil {
		return 0, err
	}
	push := float64(s.Weight) * Gravity * s.edge() / float64(s.Height)
	return units.MetresPerSecond(math.Sqrt(push / (0.5 * AirDensity * sail.Drag * sail.Area))), nil
}

// Balance is the whole weight, on the column and low, that holds the sail in
// this wind, factor (1 to 10) times over. Factor 1 only just balances; advice
// uses 1.5, and 2 near people. The stand's own Weight does not enter.
//
// Error: a field, the wind or the factor out of range. Source: photometry
// handbook §11.
func (s Stand) Balance(sail Sail, wind units.MetresPerSecond, factor float64) (units.Kilograms, error) {
	push, err := sail.Push(wind)
	s.Weight = 1 // does not enter
	if err := units.First(err, s.check(), factors.Check(factor)); err != nil {
		return 0, err
	}
	return units.Kilograms(factor * float64(push) * float64(s.Height) / (Gravity * s.edge())), nil
}

// Ballast is what must be added to the stand's Weight for Balance; 0 if it
// stands already. Low on the column or on the leg opposite the load, touching
// the ground.
//
// Error: as Balance, or Weight out of range.
func (s Stand) Ballast(sail Sail, wind units.MetresPerSecond, factor float64) (units.Kilograms, error) {
	whole, err := s.Balance(sail, wind, factor)
	if err := units.First(err, s.check()); err != nil {
		return 0, err
	}
	return max(0, whole-s.Weight), nil
}

// Boom is the weight on the column that holds a load at reach out from it, the
// stand level and the air still.
//
// Load 0 to 100 kg, reach to 5 m. Error: a field or argument out of range.
// Source: photometry handbook §11.
func (s Stand) Boom(load units.Kilograms, reach units.Metres) (units.Kilograms, error) {
	s.Weight = 1 // does not enter
	loads := units.Range{Quantity: "load on the boom", Unit: "kg", Low: 0, High: 100}
	reaches := units.Range{Quantity: "reach of the boom", Unit: "m", Low: 0, High: 5}
	if err := units.First(s.check(), loads.Check(float64(load)), reaches.Check(float64(reach))); err != nil {
		return 0, err
	}
	return max(0, units.Kilograms(float64(load)*(float64(reach)-s.edge())/s.edge())), nil
}

// HoldDown is the weight that keeps a stand from sliding under a push, grip
// being the friction of feet on ground: 0.3 to 0.5 on wet paving (from memory).
//
// Push 0 to 100 kN, grip 0.05 to 2. Error: an argument out of range.
// Source: photometry handbook §11.
func HoldDown(push units.Newtons, grip float64) (units.Kilograms, error) {
	pushes := units.Range{Quantity: "push", Unit: "N", Low: 0, High: 1e5}
	grips := units.Range{Quantity: "grip", Low: 0.05, High: 2}
	if err := units.First(pushes.Check(float64(push)), grips.Check(grip)); err != nil {
		return 0, err
	}
	return units.Kilograms(float64(push) / (Gravity * grip)), nil
}
