package hear

import (
	"math"

	"panelhand/calc/units"
)

// nouns that take a number without being people, kit or a setting.
var thingNouns = map[string]bool{
	"frames": true, "shots": true, "pops": true, "pics": true, "photos": true, "pictures": true, "rows": true, "looks": true, "setups": true, "steps": true, "images": true, "portraits": true,
	"batteries": true, "batts": true, "cells": true, "outfits": true, "locations": true, "stalls": true, "kiosks": true, "times": true, "spots": true, "tables": true,
	"skin": true, "tones": true, "skins": true, "sets": true, "backgrounds": true, "floors": true, "storeys": true, "fps": true, "gb": true, "mp": true, "per": true, "row": true, "sides": true, "chairs": true, "benches": true, "windows": true, "boats": true, "bikes": true, "takes": true, "colours": true, "colors": true, "star": true, "hands": true, "lights": true, "lamps": true, "bulbs": true, "clicks": true, "notches": true, "euros": true, "quid": true, "euro": true, "days": true, "weeks": true, "trees": true,
}

// measured reads what follows the number n that starts at token i.
func (r *reader) measured(i int, n numeral) (quantity, int) {
	j := n.end
	next := r.at(j)
	// fractions
	if n.den > 0 || math.IsInf(n.v, 1) {
		if q, end := r.slashed(i); end > 0 {
			return q, end
		}
		return r.fraction(i, n)
	}
	// the impossible said plainly
	if n.v == 0 && next.in("iso") && next.kind == wordToken {
		return quantity{kind: refused, text: "ISO 0"}, j + 1
	}
	if q, end := r.clockAt(i, n); end > 0 {
		return q, end
	}
	if q, end := r.coordinates(i, n); end > 0 {
		return q, end
	}
	// sizes: 80x80cm, 48"x32", 60 x 90 cm, 4 by 6 ft
	if q, end := r.areaAt(i, n); end > 0 {
		return q, end
	}
	// a range: the second number carries the unit
	if next.is("-") && r.at(j+1).kind == numberToken && r.at(j+1).glued {
		q, end := r.measured(j+1, numeral{v: r.at(j + 1).num, end: j + 2})
		if end > j+1 && q.kind != bareNumber && q.kind != refused {
			if q.kind == clock {
				q.v2 = hourBefore(n.v, q.v)
				return q, end
			}
			if q.kind == length && r.at(end-1).is("mm") { // a zoom lens says no focal length
				return quantity{kind: frames, v: n.v}, end
			}
			return q, end
		}
		return quantity{kind: bareNumber, v: r.at(j + 1).num, v2: n.v}, j + 2
	}
	if next.glued && next.in("th") && n.v >= 30 {
		return quantity{kind: shutter, v: 1 / n.v}, j + 1
	}
	if next.glued && next.in("st", "nd", "rd", "th") {
		return quantity{kind: label, v: n.v}, j + 1
	}
	switch {
	case next.in("iso", "asa") && next.kind == wordToken && (r.at(j+1).kind != numberToken || isoMark(n.v) && (r.measures(j+2) || !isoMark(r.at(j+1).num))) && n.v >= 25 && n.v <= 409600 && !n.word:
		return quantity{kind: iso, v: n.v}, j + 1
	case next.in("k") && next.glued && r.at(j+1).in("lux", "lx"):
		return quantity{kind: lux, v: n.v * 1000}, j + 2
	case next.in("k") && next.glued && n.v >= 1500 && n.v <= 25000, next.in("kelvin", "kelvins", "k") && n.v >= 1500 && n.v <= 25000:
		return quantity{kind: kelvin, v: n.v}, j + 1
	case next.in("k", "kelvin") && n.v >= 1.7 && n.v <= 15 && !n.word && (n.v != math.Trunc(n.v) || next.glued):
		return quantity{kind: kelvin, v: n.v * 1000}, j + 1
	case next.in("ev") && next.kind == wordToken && r.at(j+1).kind != numberToken:
		if r.at(i-1).in("+", "-", "plus") {
			return quantity{kind: stops, v: n.v}, j + 1
		}
		return quantity{kind: exposureValue, v: n.v}, j + 1
	case next.in("lux", "lx") && r.at(j+1).kind != numberToken, next.in("lux", "lx"):
		return quantity{kind: lux, v: n.v}, j + 1
	case next.in("fc", "footcandles", "footcandle"), next.in("foot") && r.at(j+1).in("candles", "candle"):
		end := j + 1
		if next.is("foot") {
			end++
		}
		return quantity{kind: lux, v: n.v * 10.764}, end // lm/ft² in lm/m²
	case next.in("ws", "wattseconds", "j", "joule", "joules") && n.v > 0:
		return quantity{kind: energy, v: n.v}, j + 1
	case next.in("watt", "watts") && r.at(j+1).in("second", "seconds", "sec"):
		return quantity{kind: energy, v: n.v}, j + 2
	case next.in("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "lb", "lbs", "pound", "pounds"):
		if kg, ok := units.Mass(n.v, next.text); ok {
			return quantity{kind: weight, v: float64(kg)}, j + 1
		}
	case next.is("%"):
		return quantity{kind: percent, v: n.v / 100}, j + 1
	case next.in("am", "pm") || next.in("oclock"):
		hours := n.v
		if next.is("pm") && hours < 12 {
			hours += 12
		}
		if hours < 24 {
			return quantity{kind: clock, v: hours * 60}, j + 1
		}
	case next.in("stop", "stops") && r.at(j+1).in("nd", "filter"):
		end := j + 2
		if r.at(end).in("filter") {
			end++
		}
		return quantity{kind: filter, v: n.v}, end
	case next.in("k", "kelvin") && n.v >= 50 && n.v < 1500 && !n.word && !r.at(i-1).in("iso"):
		return quantity{kind: kelvinStep, v: n.v}, j + 1
	case next.in("yrs", "yr", "yo", "years", "year") && n.v < 120:
		end := j + 1
		if r.at(end).in("old", "olds") {
			end++
		}
		return quantity{kind: age, v: n.v}, end
	case next.in("y") && next.glued && n.v < 120:
		end := j + 1
		if r.at(end).is("/") && r.at(end+1).is("o") {
			end += 2
		}
		return quantity{kind: age, v: n.v}, end
	case next.in("month", "months", "mo", "mth", "mths", "week", "weeks", "wk", "wks") && (r.at(j+1).in("old", "baby", "olds") || n.v <= 36 && r.aged(i, j+1)):
		years, end := n.v/12, j+1
		if next.text[0] == 'w' {
			years = n.v / 52
		}
		if r.at(end).in("old", "baby", "olds") {
			end++
		}
		return quantity{kind: age, v: years}, end
	case next.in("min", "mins", "minute", "minutes", "minuten", "minutos"):
		return quantity{kind: longTime, v: n.v * 60}, j + 1
	case next.in("hr", "hrs", "hour", "hours"), next.is("h") && next.glued:
		return quantity{kind: longTime, v: n.v * 3600}, j + 1
	case next.in("s", "sec", "secs", "second", "seconds") && !r.at(j+1).is("/"):
		if r.at(j+1).in("exposure", "exposures", "shutter") {
			return quantity{kind: shutter, v: n.v}, j + 2
		}
		return quantity{kind: shortTime, v: n.v}, j + 1
	case next.is("x") && r.at(j+1).kind == wordToken:
		return quantity{kind: multiples, v: n.v}, j + 1
	case next.is("m") && !next.glued && r.at(j+1).kind == numberToken:
	}
	if unit, end := r.speedUnit(j); end > j && !(next.is("ms") && !next.glued) {
		if v, ok := units.Speed(n.v, unit); ok && v < 100 {
			return quantity{kind: speed, v: float64(v), unit: windStyle(unit)}, end
		}
		return quantity{kind: refused, text: "a wind of " + r.at(i).text}, end
	}
	if end := r.turnAt(j); end > j && !n.word {
		return quantity{kind: angle, v: n.v}, end
	}
	if unit, end := r.temperatureUnit(j); end > j {
		if c, ok := units.Temperature(n.v, unit); ok && c >= -50 && c <= 60 {
			below := 1.0
			if r.at(end).in("below") {
				below, end = -1, end+1
				c *= below
			}
			return quantity{kind: temperature, v: c, unit: temperatureStyle(unit)}, end
		}
		return quantity{kind: refused, text: "a temperature of " + r.at(i).text}, end
	}
	if unit, end := r.lengthUnit(j); end > j {
		return r.lengthAt(n, unit, end)
	}
	if next.is("below") && n.v <= 40 && (j+1 == len(r.toks) || r.at(j+1).pauses()) { // "ten below"
		return quantity{kind: temperature, v: -n.v, unit: units.Celsius}, j + 1
	}
	if r.handAt(i, j) {
		return quantity{kind: length, v: hand * n.v}, j + 1
	}
	if thingNouns[next.text] && next.kind == wordToken {
		return quantity{kind: frames, v: n.v}, j // the noun may mean more; it stays
	}
	if !n.word && r.goesToLength(i, j) {
		return quantity{kind: bareNumber, v: n.v}, j // the length lends its unit
	}
	if !n.word && r.clothStands(i, j, n.v) {
		return quantity{kind: length, v: n.v, unit: units.Metre}, j
	}
	if !n.word && n.v != math.Trunc(n.v) && isMarkedStop(n.v) && !(next.kind == wordToken && next.glued) {
		return quantity{kind: aperture, v: n.v}, j
	}
	if r.at(i-1).in("@", "at") && !n.word && isMarkedStop(n.v) && n.v >= 1 && n.v <= 22 && r.lensBefore(i-1) {
		return quantity{kind: aperture, v: n.v}, j
	}
	return quantity{kind: bareNumber, v: n.v}, j
}

// clothStands reports whether a number without a unit, right behind a cloth, is
// how far off it stands: "panel at 1.2", "panel 1.2 from her". Where nothing else
// tells it from an f-number, only what few lenses open to is.
func (r *reader) clothStands(i, j int, v float64) bool {
	at := i
	for at > 0 && r.at(at-1).in("at", "@", "is", "about", "stands") {
		at--
	}
	k := r.markEnding(at)
	if k < 0 || !r.marks[k].isKit() || v < 0.3 || v > 4 || v == math.Trunc(v) {
		return false
	}
	switch r.marks[k].word.kit.Kind {
	case "panel", "reflector", "diffuser", "umbrella", "softbox", "bounce-card":
	default:
		return false
	}
	if r.at(j).in("from", "off", "away") {
		return true
	}
	if at == i || j < len(r.toks) && r.at(j).kind == wordToken {
		return false
	}
	return v < 1.3 || r.openingSaid()
}

// openingSaid reports whether the message says an f-number by its letter.
func (r *reader) openingSaid() bool {
	for i, t := range r.toks {
		if t.in("f") && (r.at(i+1).kind == numberToken || r.at(i+1).is("/")) {
			return true
		}
	}
	return false
}

// goesToLength reports whether a number is where a length starts from: "from
// 1.2 to 2 m", "at 1.2, pull it back to 2 m". After a lens it is an f-number.
func (r *reader) goesToLength(i, j int) bool {
	if r.lensBefore(i) {
		return false
	}
	for passing[r.at(j).text] || fillers[r.at(j).text] {
		j++
	}
	if !r.at(j).in("to", "-") {
		return false
	}
	n, ok := r.numeral(j + 1)
	if !ok {
		return false
	}
	unit, end := r.lengthUnit(n.end)
	return end > n.end && unit != "mm"
}

// isMarkedStop reports whether lenses are marked so.
func isMarkedStop(v float64) bool {
	for _, mark := range []float64{1.2, 1.4, 1.8, 2.2, 2.5, 2.8, 3.2, 3.5, 4.5, 5.6, 6.3, 7.1, 2, 4, 8, 11, 16, 22} {
		if v == mark {
			return true
		}
	}
	return false
}

// lensBefore reports whether a lens, an ISO or a shutter stands right before i.
func (r *reader) lensBefore(i int) bool {
	if len(r.marks) == 0 {
		return false
	}
	last := r.marks[len(r.marks)-1]
	if last.word != nil || last.end < i-1 {
		return false
	}
	return last.q.kind == length && r.at(last.end-1).in("mm", "mil") || last.q.kind == iso || last.q.kind == shutter || last.q.kind == fraction
}

// lengthAt reads the rest of a length whose first unit ends at end: 7ft6,
// 4'6", 6 foot 2, 1m50.
func (r *reader) lengthAt(n numeral, unit string, end int) (quantity, int) {
	metres, ok := units.Length(n.v, unit)
	if !ok {
		return quantity{kind: refused, text: "a length of " + r.at(end-2).text + " " + unit}, end
	}
	style := styleOf(unit)
	next := r.at(end)
	switch {
	case style == units.Foot && (next.kind == numberToken && next.num < 12 && (next.glued || !r.at(end+1).is("/") && (r.at(end+1).in(`"`, "in", "inch", "inches") || unit != "'" && r.at(end+1).kind != wordToken && r.at(end+1).kind != numberToken))):
		inches, _ := units.Length(next.num, "in")
		metres += inches
		end++
		if r.at(end).in(`"`, "in", "inch", "inches") {
			end++
		}
	case unit == "m" && next.kind == numberToken && next.glued && next.num >= 10 && next.num < 100:
		metres += units.Metres(next.num / 100)
		end++
	case style == units.Foot && next.is("and") && r.at(end+1).is("a") && r.at(end+2).is("half"):
		half, _ := units.Length(0.5, unit)
		metres += half
		end += 3
	case unit == "m" && next.is("and") && r.at(end+1).is("a") && r.at(end+2).is("half"):
		metres += 0.5
		end += 3
	}
	return quantity{kind: length, v: float64(metres), unit: style}, end
}

// areaAt reads "60x90cm", `48"x32"`, "4 by 6 ft".
func (r *reader) areaAt(i int, n numeral) (quantity, int) {
	unit, j := r.lengthUnit(n.end)
	if !r.at(j).in("x", "by", "*") {
		return quantity{}, 0
	}
	second := r.at(j + 1)
	if second.kind != numberToken {
		return quantity{}, 0
	}
	unit2, end := r.lengthUnit(j + 2)
	if unit2 == "" {
		unit2 = unit
	}
	if unit == "" {
		unit = unit2
	}
	if unit == "" {
		if n.v < 20 || second.num < 20 || n.v > 400 || second.num > 400 {
			return quantity{}, 0
		}
		unit, unit2 = "cm", "cm" // "softbox 60x90": centimetres, no other unit gives a box
	}
	a, ok1 := units.Length(n.v, unit)
	b, ok2 := units.Length(second.num, unit2)
	if !ok1 || !ok2 {
		return quantity{}, 0
	}
	return quantity{kind: area, v: float64(max(a, b)), v2: float64(min(a, b)), unit: styleOf(unit)}, end
}

// fraction reads what a fraction is of.
func (r *reader) fraction(i int, n numeral) (quantity, int) {
	j := n.end
	if n.den == 0 || math.IsInf(n.v, 0) || n.v <= 0 {
		return quantity{kind: refused, text: r.at(i).text + "/" + r.at(i+2).text}, j
	}
	numerator := r.at(i).num
	next := r.at(j)
	if next.is("/") && r.at(j+1).kind == numberToken { // a date: 12/05/2025
		return quantity{kind: date, text: r.at(i).text + "/" + r.at(i+2).text + "/" + r.at(j+1).text}, j + 2
	}
	switch {
	case next.in("power", "pwr", "output"):
		return quantity{kind: power, v: n.v}, j + 1
	case next.in("s", "sec", "secs", "second", "seconds", "shutter") && !r.at(j+1).is("/"):
		return quantity{kind: shutter, v: n.v}, j + 1
	case next.in("sync"):
		return quantity{kind: syncTime, v: n.v}, j + 1
	case next.is("th") && next.glued:
		if r.at(j+1).in("power", "pwr") {
			return quantity{kind: power, v: n.v}, j + 2
		}
		if r.at(j+1).in("s", "sec", "second") || n.den > 64 {
			return quantity{kind: shutter, v: n.v}, r.secondsEnd(j + 1)
		}
		return quantity{kind: fraction, v: n.v, v2: n.den}, j + 1
	}
	if unit, end := r.lengthUnit(j); end > j && numerator < n.den {
		return r.lengthAt(n, unit, end)
	}
	if numerator != 1 {
		return quantity{kind: frames, v: n.v}, j
	}
	return quantity{kind: fraction, v: n.v, v2: n.den}, j
}

// aged reports whether months or weeks, from token i up to end, are the age of
// a small child beside them: "toddler 18 months", "20mo girl".
func (r *reader) aged(i, end int) bool {
	for j := i - 1; j >= 0 && j >= i-4 && !r.toks[j].breaks(); j-- {
		if youngOnes[r.toks[j].text] {
			return true
		}
	}
	return youngOnes[r.at(end).text] || r.at(end).is("of") && r.at(end+1).is("age")
}

var youngOnes = set(`baby babies newborn newborns infant infants toddler toddlers tot child kid boy girl son daughter twins nephew niece grandson granddaughter grandchild bairn`)
