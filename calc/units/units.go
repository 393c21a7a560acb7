// Package units gives each quantity of the trade a type: it parses what
// people write, prints what they read, and snaps a value to what a dial has.
//
// Values are SI inside (metres, seconds, kelvin) and exact; rounding happens
// once, in print.
//
//	units.go  the quantities
//	range.go  what formulas work for, and the error outside it
//	dial.go   marks and dials: apertures, times, ISO, flash power
//	print.go  how a quantity is written
//	style.go  how the asker writes lengths, winds and temperatures
//	parse.go  what people write, read
package units

// The quantities. Each is a float64 in the unit its comment names.
type (
	Stops           float64 // log2 of a ratio of light; + is more
	EV              float64 // exposure value at ISO 100
	FNumber         float64 // focal length over entrance pupil
	Seconds         float64 // exposure time
	ISO             float64 // arithmetic speed
	Metres          float64
	Millimetres     float64 // focal lengths, zoom settings, penumbrae
	Degrees         float64
	Kelvin          float64 // correlated colour temperature
	Mired           float64 // 10⁶ / K, and shifts of it; + is warmer
	Lux             float64
	Luminance       float64 // cd/m²
	LuxSeconds      float64 // luminous exposure
	Fraction        float64 // of full flash power, 0..1
	GuideNumber     float64 // metres at ISO 100, full power
	WattSeconds     float64 // stored energy
	Kilograms       float64
	Newtons         float64
	MetresPerSecond float64
)
