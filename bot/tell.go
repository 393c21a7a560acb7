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

// tellResult says a question's number in words, with the nearest mark where a
// dial has one. more says of stops which way they go.
func tellResult(name string, v float64, style units.Style, zone *time.Location, more bool) string {
	switch name {
	case "stops":
		return tellStops(v, more)
	case "nd_stops":
		text := plainNumber(v, 3) + plural(v, " stop")
		if factor := math.Exp2(math.Round(v)); v > 0.5 && v < 17 {
			text += fmt.Sprintf(", nearest ND%.0f", factor)
		}
		return text
	case "ev100":
		return "EV " + plainNumber(v, 4)
	case "lux":
		return plainNumber(v, 3) + " lux"
	case "iso":
		return nearestMark("ISO "+plainNumber(v, 4), v, units.ISOThirds())
	case "aperture":
		return nearestMark("f/"+plainNumber(v, 3), v, units.ApertureThirds())
	case "shutter_s":
		return nearestMark(exactTime(v), v, units.ShutterThirds())
	case "flash_power":
		text := plainNumber(v, 3) + " of full"
		if v > 1 {
			return text + fmt.Sprintf(": %s more than the flash has", strings.TrimPrefix(units.Stops(math.Log2(v)).String(), "+"))
		}
		return text + ", nearest click " + units.Fraction(v).String()
	case "gn_m":
		return fmt.Sprintf("%s m (%s ft)", plainNumber(v, 3), plainNumber(v/0.3048, 3))
	case "ratio":
		return plainNumber(v, 3) + ":1"
	case "source_deg":
		return plainNumber(v, 3) + "°"
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
		return plainNumber(v, 4) + " mired"
	case "cct_k":
		return plainNumber(v, 4) + " K"
	case "gel":
		return tellGel(v)
	case "ballast_kg":
		return plainNumber(v, 3) + " kg"
	case "tip_gust_ms", "wind_limit_ms":
		text := plainNumber(v, 2) + " m/s"
		if style.Wind != units.MetrePerSecond {
			text += " (" + style.Speed(units.MetresPerSecond(v)) + ")"
		}
		return text
	case "flashes":
		return plainNumber(math.Floor(v+1e-9), 6) + " flashes"
	case "recycle_s":
		return plainNumber(v, 2) + " s"
	case "time":
		whole, part := math.Modf(v)
		return time.Unix(int64(whole), int64(part*1e9)).In(zone).Round(time.Minute).Format(time.RFC3339)
	}
	return exactLength(v, style)
}

func tellStops(v float64, more bool) string {
	size := math.Abs(v)
	text := plainNumber(size, 3) + plural(size, " stop")
	if math.Abs(v) < 0.005 {
		text = "0 stops"
	}
	switch {
	case !more && v < 0:
		text = "−" + text
	case more && v > 0:
		text += " more light"
	case more:
		text += " less light"
	}
	if third := math.Round(size*3) / 3; third > 0 && math.Abs(third-size) > 0.02 {
		text += " (" + strings.TrimLeft(units.Stops(third).String(), "+") + " on the dial)"
	}
	return text
}

func plural(v float64, unit string) string {
	if math.Abs(v) > 1.0005 {
		return unit + "s"
	}
	return unit
}

// nearestMark adds the nearest mark to a value that is none.
func nearestMark(text string, v float64, dial units.Dial) string {
	if mark := dial.Nearest(v); mark.Text != text && math.Abs(v-mark.Value) > mark.Value/1000 {
		return text + ", nearest " + mark.Text
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

// exactLength prints a length as reckoned, in the asker's unit.
func exactLength(v float64, style units.Style) string {
	switch style.Length {
	case units.Foot:
		return plainNumber(v/0.3048, 3) + " ft (" + plainNumber(v, 3) + " m)"
	case units.Inch:
		return plainNumber(v/0.0254, 3) + " in (" + plainNumber(v, 3) + " m)"
	}
	if v < 1 {
		return plainNumber(v*100, 3) + " cm"
	}
	return plainNumber(v, 3) + " m"
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
		return exactLength(v, style)
	case "kelvin":
		return plainNumber(v, 5) + " K"
	case "mired", "gel":
		return plainNumber(v, 4) + " mired"
	case "stops", "filter":
		return plainNumber(v, 3) + plural(v, " stop")
	case "ratio":
		return plainNumber(v, 3) + ":1"
	case "degree", "latitude", "longitude":
		return plainNumber(v, 8) + "°"
	case "speed":
		return plainNumber(v, 3) + " m/s"
	case "weight":
		return plainNumber(v, 3) + " kg"
	case "energy":
		return plainNumber(v, 4) + " Ws"
	case "instant":
		return time.Unix(int64(v), 0).UTC().Format("2006-01-02 15:04 UTC")
	case "day":
		return time.Unix(int64(v), 0).UTC().Format("2006-01-02")
	}
	return plainNumber(v, 4)
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
