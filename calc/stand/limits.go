package stand

import (
	"math"

	"panelhand/calc/units"
)

// Safety factors on the weight that just balances. Source: the handbook's
// conventions.
const (
	Factor           = 1.5
	FactorNearPeople = 2
)

// LeastOutdoors is the ballast never gone below outdoors with a modifier: a
// floor under the computed weight, never an answer by itself. Source: trade
// handbook §7.2, doubts 21.
const LeastOutdoors units.Kilograms = 10

// The house limits, m/s. Gusts unless said. Source: the handbook's conventions.
const (
	LimitPanelOnStand units.MetresPerSecond = 12 / 3.6 // mean: from force 3 none on a stand
	LimitRaised       units.MetresPerSecond = 8        // anything above the shoulders is down
	LimitBraced       units.MetresPerSecond = 11       // panel at belt or chest is folded
	LimitBareFlash    units.MetresPerSecond = 8        // mean, where force 4 ends: with 10 kg and a hand
)

// AdviseBallast is the weight to tell a crew to add: Ballast for the gust with
// the factor that nearness of people asks for, and outdoors never under
// LeastOutdoors.
//
// Error: as Stand.Ballast.
func (s Stand) AdviseBallast(sail Sail, gust units.MetresPerSecond, nearPeople, outdoors bool) (units.Kilograms, error) {
	kg, err := s.Ballast(sail, gust, factor(nearPeople))
	if err != nil {
		return 0, err
	}
	if outdoors {
		kg = max(kg, LeastOutdoors)
	}
	return kg, nil
}

// TakeDown is the gust at which the kit comes down: the lower of the house
// limit for how it is held and the tipping gust with its safety factor. Push
// goes with the square of the wind, so the factor's root divides.
//
// Error: limit or tip outside 0 to 90 m/s (a tip above counts as 90).
func TakeDown(limit, tip units.MetresPerSecond, nearPeople bool) (units.MetresPerSecond, error) {
	tip = min(tip, units.MetresPerSecond(units.Winds.High))
	if err := units.First(units.Winds.Named("wind limit").Check(float64(limit)), units.Winds.Named("tipping gust").Check(float64(tip))); err != nil {
		return 0, err
	}
	return min(limit, tip/units.MetresPerSecond(math.Sqrt(factor(nearPeople)))), nil
}

func factor(nearPeople bool) float64 {
	if nearPeople {
		return FactorNearPeople
	}
	return Factor
}
