package units

import (
	"math"
	"strconv"
	"strings"
)

// significant prints a number to so many significant digits, without a needless
// tail, never in powers of ten, with a real minus sign.
func significant(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	places := digits - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	return decimals(v, max(places, 0))
}

// decimals prints a number to so many decimals, zeros at the end dropped.
func decimals(v float64, places int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return strings.Replace(s, "-", "−", 1)
}

// near returns the mark of a dial that a value is, nominal or exact, if it is
// one.
func (d Dial) near(value float64) (Mark, bool) {
	if !(value > 0) || math.IsInf(value, 1) {
		return Mark{}, false
	}
	m := d.Nearest(value)
	return m, math.Abs(value-m.Value) <= m.Value/1000 || math.Abs(d.ticks(value)-float64(m.Ticks)) < 0.05
}

// String prints the nearest third with its sign: "+⅔ stop", "−1⅓ stops",
// "0 stops".
func (s Stops) String() string {
	v := float64(s)
	if math.IsNaN(v) || math.Abs(v) > 1e6 {
		return "? stops"
	}
	thirds := int(math.Round(math.Abs(v) * 3))
	if thirds == 0 {
		return "0 stops"
	}
	sign := "+"
	if v < 0 {
		sign = "−"
	}
	whole := ""
	if thirds >= 3 {
		whole = strconv.Itoa(thirds / 3)
	}
	unit := " stops"
	if thirds <= 3 {
		unit = " stop"
	}
	return sign + whole + []string{"", "⅓", "⅔"}[thirds%3] + unit
}

// String prints "EV 10" or "EV 10.3".
func (e EV) String() string { return "EV " + decimals(float64(e), 1) }

// String prints the mark where the value is one, nominal or exact (f/5.6 for
// 5.6 and for 5.657), else one decimal: "f/7.6".
func (n FNumber) String() string {
	if m, ok := aperturesByThird.near(float64(n)); ok {
		return m.Text
	}
	if m, ok := aperturesByHalf.near(float64(n)); ok {
		return m.Text
	}
	return "f/" + decimals(float64(n), 1)
}

// String prints "1/200" below 0.3 s, "2.5 s" above; marks by their names.
func (t Seconds) String() string {
	v := float64(t)
	if m, ok := shuttersByThird.near(v); ok {
		return m.Text
	}
	if m, ok := shuttersByHalf.near(v); ok {
		return m.Text
	}
	if v > 0 && v < 0.3 {
		return "1/" + significant(math.Round(1/v), 6)
	}
	return decimals(v, 1) + " s"
}

// String prints "ISO 100".
func (s ISO) String() string { return "ISO " + significant(math.Round(float64(s)), 9) }

// String prints "1.2 m".
func (m Metres) String() string {
	switch v := math.Abs(float64(m)); {
	case v < 10:
		return decimals(float64(m), 2) + " m"
	case v < 100:
		return decimals(float64(m), 1) + " m"
	}
	return decimals(float64(m), 0) + " m"
}

// String prints "85 mm", "0.28 mm".
func (m Millimetres) String() string {
	if math.Abs(float64(m)) < 10 {
		return significant(float64(m), 2) + " mm"
	}
	return decimals(float64(m), 0) + " mm"
}

// String prints "35°"; below ten degrees with one decimal.
func (d Degrees) String() string {
	if math.Abs(float64(d)) < 10 {
		return decimals(float64(d), 1) + "°"
	}
	return decimals(float64(d), 0) + "°"
}

// String prints to the nearest ten: "5600 K".
func (k Kelvin) String() string { return decimals(math.Round(float64(k)/10)*10, 0) + " K" }

// String prints "159 mired", "−137 mired".
func (m Mired) String() string { return decimals(float64(m), 0) + " mired" }

// String prints three digits: "10200 lux".
func (l Lux) String() string { return threeDigits(float64(l)) + " lux" }

// String prints three digits: "512 cd/m²".
func (l Luminance) String() string { return threeDigits(float64(l)) + " cd/m²" }

// String prints three digits: "313 lx·s".
func (h LuxSeconds) String() string { return threeDigits(float64(h)) + " lx·s" }

func threeDigits(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return significant(v, 3)
	}
	unit := math.Pow10(int(math.Floor(math.Log10(math.Abs(v)))) - 2)
	if unit < 1 {
		return significant(v, 3)
	}
	return decimals(math.Round(v/unit)*unit, 0)
}

// String prints a flash power as third-stop dials show it, to the nearest
// click: "full", "1/8", "1/8 −1 click", "1/4 +1 click".
func (p Fraction) String() string {
	if p == 0 {
		return "off"
	}
	if !(p > 0) || p > 1e6 {
		return "?"
	}
	return powerText(Tick(math.Round(3*math.Log2(float64(p)))) * Click)
}

// String prints "36 m".
func (g GuideNumber) String() string { return significant(float64(g), 3) + " m" }

// String prints "75 Ws".
func (w WattSeconds) String() string { return decimals(float64(w), 0) + " Ws" }

// String prints "8.5 kg".
func (k Kilograms) String() string { return decimals(float64(k), 1) + " kg" }

// String prints "68 N".
func (n Newtons) String() string { return significant(float64(n), 2) + " N" }

// String prints "8.3 m/s".
func (v MetresPerSecond) String() string { return decimals(float64(v), 1) + " m/s" }
