package formula

import (
	"math"

	"panelhand/calc/stand"
	"panelhand/calc/units"
)

const windSource = "photometry handbook §11"

var (
	surface = Arg{"area", "m²", 1e-4, 100}
	drag    = Arg{"drag", "", 0.1, 3}
	weight  = Arg{"weight", "kg", 0.1, 1000}
	feet    = Arg{"feet", "m", 0.05, 5}
	legs    = Arg{"legs", "", 3, 8}
	height  = Arg{"height", "m", 0.1, 20}
	factor  = Arg{"factor", "", 1, 10}
)

// whole rounds a count that arrives as a number.
func whole(v float64) int { return int(math.Round(v)) }

var standFormulas = []Formula{
	{"wind_pressure", []Arg{wind}, "Pa", "pressure of the wind", "½·1.225·v²", windSource, one(stand.Pressure)},
	{"wind_push", []Arg{surface, drag, wind}, "N", "push of the wind on a sail", "q·Cd·A", windSource, func(a []float64) (float64, error) {
		return plain(stand.Sail{Area: a[0], Drag: a[1]}.Push(units.MetresPerSecond(a[2])))
	}},
	{"gust_from_mean", []Arg{{"mean", "m/s", 0, 60}}, "m/s", "gust to plan for from a mean wind", "1.5·v", constants, one(stand.Gust)},
	{"wind_force", []Arg{wind}, "", "number of a mean wind on the wind-force scale", "published bounds", windSource, func(a []float64) (float64, error) {
		force, err := stand.Force(units.MetresPerSecond(a[0]))
		return float64(force), err
	}},
	{"force_wind", []Arg{{"force", "", 0, 12}}, "m/s", "mean wind of a force", "0.836·B^1.5", windSource, one(stand.ForceWind)},
	{"stand_edge", []Arg{feet, legs}, "m", "distance from the column at which a stand tips", "R·cos(π/legs)", windSource, func(a []float64) (float64, error) {
		return plain(stand.Stand{Weight: 1, Height: 1, Feet: units.Metres(a[0]), Legs: whole(a[1])}.Edge())
	}},
	{"tip_wind", []Arg{weight, feet, legs, height, surface, drag}, "m/s", "wind at which a stand tips", "√(2·m·g·e/(ρ·Cd·A·h))", windSource, func(a []float64) (float64, error) {
		s := stand.Stand{Weight: units.Kilograms(a[0]), Feet: units.Metres(a[1]), Legs: whole(a[2]), Height: units.Metres(a[3])}
		return plain(s.TipWind(stand.Sail{Area: a[4], Drag: a[5]}))
	}},
	{"balance_weight", []Arg{feet, legs, height, surface, drag, wind, factor}, "kg", "whole weight that holds a sail in a wind", "factor·F·h/(g·e)", windSource, func(a []float64) (float64, error) {
		s := stand.Stand{Weight: 1, Feet: units.Metres(a[0]), Legs: whole(a[1]), Height: units.Metres(a[2])}
		return plain(s.Balance(stand.Sail{Area: a[3], Drag: a[4]}, units.MetresPerSecond(a[5]), a[6]))
	}},
	{"ballast", []Arg{weight, feet, legs, height, surface, drag, wind, factor}, "kg", "weight to add to a stand of a weight", "max(0, factor·F·h/(g·e) − m)", windSource, func(a []float64) (float64, error) {
		s := stand.Stand{Weight: units.Kilograms(a[0]), Feet: units.Metres(a[1]), Legs: whole(a[2]), Height: units.Metres(a[3])}
		return plain(s.Ballast(stand.Sail{Area: a[4], Drag: a[5]}, units.MetresPerSecond(a[6]), a[7]))
	}},
	{"boom_weight", []Arg{feet, legs, {"load", "kg", 0, 100}, {"reach", "m", 0, 5}}, "kg", "weight on the column that holds a load out to the side", "m·(r − e)/e", windSource, func(a []float64) (float64, error) {
		s := stand.Stand{Weight: 1, Height: 1, Feet: units.Metres(a[0]), Legs: whole(a[1])}
		return plain(s.Boom(units.Kilograms(a[2]), units.Metres(a[3])))
	}},
	{"hold_down", []Arg{{"push", "N", 0, 100000}, {"grip", "", 0.05, 2}}, "kg", "weight that keeps a stand from sliding", "F/(g·μ)", windSource, two(stand.HoldDown)},
	{"take_down", []Arg{wind.as("limit"), wind.as("tip"), {"near_people", "", 0, 1}}, "m/s", "gust at which kit comes down: house limit or tipping gust with its factor (near_people is 1 or 0)", "min(limit, tip/√1.5), √2 near people", constants, func(a []float64) (float64, error) {
		return plain(stand.TakeDown(units.MetresPerSecond(a[0]), units.MetresPerSecond(a[1]), a[2] >= 0.5))
	}},
}
