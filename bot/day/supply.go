package day

import (
	"math"

	"panelhand/calc/flash"
	"panelhand/calc/stand"
	"panelhand/calc/units"
)

// ColdCells is the temperature, °C, below which cells give half. Source: trade
// handbook §1, N40.
const ColdCells = 5

// Cells is what frames take from batteries.
type Cells struct {
	Full float64 // flashes at full power that they are worth
	Sets int     // charged sets that they empty
}

// Budget returns what frames at a power take, from sets of which each gives so
// many flashes at full power when warm: Σ frames × power over what a set gives,
// half of it in the cold. Frames from 1 to 100000. Source: trade handbook §1, N40.
func Budget(frames float64, power units.Fraction, perSet float64, cold bool) (Cells, error) {
	if err := (units.Range{Quantity: "frames", Low: 1, High: 100000}).Check(frames); err != nil {
		return Cells{}, err
	}
	if cold {
		perSet /= 2
	}
	each, err := flash.Flashes(perSet, power)
	if err != nil {
		return Cells{}, err
	}
	return Cells{Full: frames * float64(power), Sets: int(math.Ceil(frames/each - 1e-9))}, nil
}

// A Wind is a forecast and what it asks of stands.
type Wind struct {
	Mean, Gust  units.MetresPerSecond
	Force       int             // of the mean
	Ballast     units.Kilograms // for the largest modifier of the bag on a stand
	BallastBare units.Kilograms // for a bare flash on a stand
	TakeDown    units.MetresPerSecond
}

// Forecast returns what a wind asks for: the gust is 1.5 times the mean where only
// that is known, and the mean two thirds of the gust where only that is. sail is
// the largest thing that goes on a stand. Source: trade handbook §6, the
// handbook's constants.
func Forecast(mean, gust units.MetresPerSecond, s stand.Stand, sail, bare stand.Sail, nearPeople bool) (Wind, error) {
	w := Wind{Mean: mean, Gust: gust}
	var err error
	if gust == 0 {
		w.Gust, err = stand.Gust(mean)
	} else if mean == 0 {
		w.Mean = gust / stand.GustFactor
	}
	if err != nil {
		return Wind{}, err
	}
	if w.Force, err = stand.Force(w.Mean); err != nil {
		return Wind{}, err
	}
	if w.Ballast, err = s.AdviseBallast(sail, w.Gust, nearPeople, true); err != nil {
		return Wind{}, err
	}
	if w.BallastBare, err = s.AdviseBallast(bare, w.Gust, nearPeople, true); err != nil {
		return Wind{}, err
	}
	weighted := s
	weighted.Weight += w.Ballast
	tip, err := weighted.TipWind(sail)
	if err != nil {
		return Wind{}, err
	}
	w.TakeDown, err = stand.TakeDown(stand.LimitRaised, tip, nearPeople)
	return w, err
}
