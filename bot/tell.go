package bot

import (
	"fmt"
	"math"
	"strings"
	"time"

	"panelhand/calc/colour"
	"panelhand/calc/units"
	"panelhand/rules"
)

// tellResult says a question's number in words, as a dial or an eye can use it:
// to the nearest mark, to a third of a stop, to what a hand can place. The exact
// value stands beside it in JSON and --full. more says of stops which way they go.
func tellResult(name string, v float64, style units.Style, zone *time.Location, more bool) string {
	switch name {
	case "stops":
		return tellStops(v, more)
	case "nd_stops":
		text := thirds(v)
		if factor := math.Exp2(math.Round(v)); v > 0.5 && v < 17 {
			text += fmt.Sprintf(", nearest ND%.0f", factor)
		}
		return text
	case "ev100":
		return tellEV(v)
	case "lux":
		return plainNumber(v, 3) + " lux"
	case "iso":
		return onDial("ISO "+plainNumber(v, 4), v, units.ISOThirds())
	case "aperture":
		return onDial("f/"+plainNumber(v, 2), v, units.ApertureThirds())
	case "shutter_s":
		return onDial(exactTime(v), v, units.ShutterThirds())
	case "flash_power":
		if v > 1 {
			return units.Fraction(1).String() + ", and " + strings.TrimPrefix(units.Stops(math.Log2(v)).String(), "+") + " more than the flash has"
		}
		return units.Fraction(v).String()
	case "gn_m":
		return fmt.Sprintf("%s m (%s ft)", plainNumber(v, 3), plainNumber(v/0.3048, 3))
	case "ratio":
		return plainNumber(v, 2) + ":1"
	case "source_deg":
		return plainNumber(v, 2) + "°"
	case "sun_elevation_deg":
		if v < 0 {
			return plainNumber(-v, 3) + "° under the horizon"
		}
		return plainNumber(v, 3) + "° above the horizon"
	case "sun_azimuth_deg":
		return fmt.Sprintf("%s° from north, %s", plainNumber(v, 4), compass(v))
	case "shadow_edge_mm", "blur_mm":
		return plainNumber(v, 2) + " mm"
	case "mired":
		return plainNumber(math.Round(v), 4) + " mired"
	case "cct_k":
		return plainNumber(50*math.Round(v/50), 5) + " K"
	case "gel":
		return tellGel(v)
	case "ballast_kg": // never rounded down
		return plainNumber(math.Ceil(v-0.05), 4) + " kg"
	case "push_kg":
		return plainNumber(v, 2) + " kg"
	case "tip_gust_ms", "wind_limit_ms":
		text := plainNumber(v, 2) + " m/s"
		if style.Wind != units.MetrePerSecond {
			text += " (" + style.Speed(units.MetresPerSecond(v)) + ")"
		}
		return text
	case "flashes":
		return plainNumber(math.Floor(v+1e-9), 6) + " flashes"
	case "focal_mm":
		return plainNumber(v, 2) + " mm"
	case "frames":
		return plainNumber(v, 6) + " frames"
	case "recycle_s":
		return plainNumber(v, 2) + " s"
	case "time":
		whole, part := math.Modf(v)
		return time.Unix(int64(whole), int64(part*1e9)).In(zone).Round(time.Minute).Format(time.RFC3339)
	case "depth_m":
		return nearLength(v, 2, style)
	case "depth_near_m", "depth_far_m":
		return nearLength(v, 3, style)
	}
	return style.Metres(units.Metres(v))
}

func tellStops(v float64, more bool) string {
	text := thirds(math.Abs(v))
	switch {
	case !more && v < 0:
		text = "−" + text
	case more && v > 0:
		text += " more light"
	case more:
		text += " less light"
	}
	return text
}

// spare says stops as what is over or wanting.
func spare(v float64) string {
	if v < -0.01 {
		return thirds(-v) + " short"
	}
	return thirds(math.Abs(v)) + " to spare"
}

// thirds is a number of stops, none or more, to a third; what is under a third,
// or more than a dial has, to a tenth.
func thirds(v float64) string {
	switch near := math.Round(v*3) / 3; {
	case v < 0.005:
		return "0 stops"
	case math.Abs(near-v) < 0.1 && near > 0 || v > 1:
		return strings.TrimPrefix(units.Stops(v).String(), "+")
	}
	return plainNumber(v, 1) + " stop"
}

// tellEV is a light level to a third of a stop.
func tellEV(v float64) string {
	whole := math.Floor(math.Round(v*3)/3 + 0.01)
	part := []string{"", "⅓", "⅔"}[(int(math.Round(v*3))%3+3)%3]
	if whole == 0 && part != "" {
		return "EV " + part
	}
	return "EV " + plainNumber(whole, 3) + part
}

func plural(v float64, unit string) string {
	if math.Abs(v) > 1.0005 {
		return unit + "s"
	}
	return unit
}

// onDial is the mark nearest to a value, the value itself where no mark is
// within a third of a stop of it.
func onDial(text string, v float64, dial units.Dial) string {
	if mark := dial.Nearest(v); math.Abs(math.Log2(v/mark.Value)) < 1.0/3 {
		return mark.Text
	}
	return text
}

func exactTime(v float64) string {
	if v > 0 && v < 0.3 {
		return "1/" + plainNumber(1/v, 3)
	}
	return plainNumber(v, 3) + " s"
}

func tellGel(shift float64) string {
	gel, left, err := colour.Nearest(units.Mired(shift))
	switch {
	case err != nil:
		return "no gel does that"
	case gel.Name == "":
		return fmt.Sprintf("no gel: %s mired is nearer to none", signed(shift))
	}
	return fmt.Sprintf("%s (%s mired), which leaves %s mired; costs %s", gel.Label, signed(float64(gel.Shift)), signed(float64(left)), strings.TrimPrefix(gel.Loss.String(), "+"))
}

func signed(v float64) string {
	v = math.Round(v)
	if v > 0 {
		return "+" + plainNumber(v, 3)
	}
	return plainNumber(v, 3)
}

var points = []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}

func compass(azimuth float64) string { return points[int(math.Round(azimuth/45))%8] }

// nearLength prints a length to so many digits, in the asker's unit: what is in
// focus is finer than what a hand can place.
func nearLength(v float64, digits int, style units.Style) string {
	switch {
	case style.Length == units.Foot && v < 0.3048, style.Length == units.Inch:
		return plainNumber(v/0.0254, digits) + " in"
	case style.Length == units.Foot:
		return plainNumber(v/0.3048, digits) + " ft"
	case v < 1:
		return plainNumber(v*100, digits) + " cm"
	}
	return plainNumber(v, digits) + " m"
}

// printKind prints an input as its kind is written.
func printKind(kind string, v float64, style units.Style) string {
	switch kind {
	case "aperture":
		return "f/" + plainNumber(v, 3)
	case "time", "sync":
		return exactTime(v)
	case "iso":
		return "ISO " + plainNumber(v, 6)
	case "ev":
		return "EV " + plainNumber(v, 4)
	case "lux":
		return plainNumber(v, 4) + " lux"
	case "power":
		return units.Fraction(v).String()
	case "guide":
		return "guide number " + plainNumber(v, 3) + " m"
	case "zoom", "focal":
		return plainNumber(v, 3) + " mm"
	case "length", "width", "height":
		return nearLength(v, 3, style)
	case "kelvin":
		return plainNumber(v, 5) + " K"
	case "mired", "gel":
		return plainNumber(v, 4) + " mired"
	case "stops", "filter":
		return plainNumber(v, 3) + plural(v, " stop")
	case "more":
		return tellStops(v, true)
	case "verdict":
		if v > -0.01 {
			return "Yes"
		}
		return "No"
	case "ratio":
		return plainNumber(v, 3) + ":1"
	case "degree", "latitude", "longitude":
		return plainNumber(v, 8) + "°"
	case "speed":
		if style.Wind != units.MetrePerSecond {
			return style.Speed(units.MetresPerSecond(v))
		}
		return plainNumber(v, 3) + " m/s"
	case "weight":
		return plainNumber(v, 3) + " kg"
	case "energy":
		return plainNumber(v, 4) + " Ws"
	case "instant":
		return time.Unix(int64(v), 0).UTC().Format("2 Jan 2006 15:04 UTC")
	case "day":
		return time.Unix(int64(v), 0).UTC().Format("2 Jan 2006")
	}
	return plainNumber(v, 4)
}

// printFound writes what was reckoned: to the mark where its kind has a dial.
func printFound(kind string, v float64, style units.Style) string {
	switch kind {
	case "aperture":
		return tellResult("aperture", v, style, nil, false)
	case "time":
		return tellResult("shutter_s", v, style, nil, false)
	}
	return printKind(kind, v, style)
}

// printNamed prints an assumed input with its name where its value does not
// say what it is.
func printNamed(in *rules.Input, v float64, style units.Style) string {
	switch in.Kind {
	case "iso", "ev", "aperture", "guide", "lux":
		return printKind(in.Kind, v, style)
	}
	return strings.ReplaceAll(in.Name, "_", " ") + " " + printKind(in.Kind, v, style)
}
