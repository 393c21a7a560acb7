package hear

import (
	"math"
	"testing"

	"panelhand/calc/units"
)

// Conversions are exact by definition (inch, foot, mile, knot, pound); the
// wind of a force is WMO code 1100's v = 0.836·B^1.5, as in the photometry handbook §11.
func TestQuantities(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]quantity{
		"f2.8":                   {kind: aperture, v: 2.8},
		"f/5,6":                  {kind: aperture, v: 5.6},
		"f28":                    {kind: aperture, v: 2.8},
		"aperture of 4":          {kind: aperture, v: 4},
		"1/200":                  {kind: fraction, v: 0.005, v2: 200},
		"1/60s":                  {kind: shutter, v: 1.0 / 60},
		"200th":                  {kind: shutter, v: 0.005},
		"a 60th":                 {kind: shutter, v: 1.0 / 60},
		"shutter 125":            {kind: shutter, v: 0.008},
		"2 sec exposure":         {kind: shutter, v: 2},
		"sync is 1/160":          {kind: syncTime, v: 1.0 / 160},
		"iso400":                 {kind: iso, v: 400},
		"400 iso":                {kind: iso, v: 400},
		"iso four hundred":       {kind: iso, v: 400},
		"5.6k":                   {kind: kelvin, v: 5600},
		"wb 4500":                {kind: whiteBalance, v: 4500},
		"EV 7.5":                 {kind: exposureValue, v: 7.5},
		"320 lux":                {kind: lux, v: 320},
		"30 foot candles":        {kind: lux, v: 322.92},
		"42\"":                   {kind: length, v: 1.0668},
		"forty inch":             {kind: length, v: 1.016},
		"4'6\"":                  {kind: length, v: 1.3716},
		"7ft6":                   {kind: length, v: 2.286},
		"6 foot 2":               {kind: length, v: 1.8796},
		"1m50":                   {kind: length, v: 1.5},
		"3½ ft":                  {kind: length, v: 1.0668},
		"½ m":                    {kind: length, v: 0.5},
		"half a metre":           {kind: length, v: 0.5},
		"a metre and a half":     {kind: length, v: 1.5},
		"two and a half meters":  {kind: length, v: 2.5},
		"48\"x32\"":              {kind: area, v: 1.2192, v2: 0.8128},
		"60x90 cm":               {kind: area, v: 0.9, v2: 0.6},
		"gn 118 ft":              {kind: guide, v: 35.9664},
		"GN36":                   {kind: guide, v: 36},
		"400 ws":                 {kind: energy, v: 400},
		"zoomed to 105mm":        {kind: zoom, v: 105},
		"power already 1/1":      {kind: power, v: 1},
		"quarter power":          {kind: power, v: 0.25},
		"30 km/h":                {kind: speed, v: 30 / 3.6},
		"12 knots":               {kind: speed, v: 6.17333},
		"28 mph":                 {kind: speed, v: 12.51712},
		"force 4":                {kind: speed, v: 6.688},
		"5 beaufort":             {kind: speed, v: 9.34676},
		"minus 6":                {kind: temperature, v: -6},
		"-10c":                   {kind: temperature, v: -10},
		"90F":                    {kind: temperature, v: 32.2222},
		"34 degrees":             {kind: temperature, v: 34},
		"15 lb":                  {kind: weight, v: 6.80389},
		"12:40":                  {kind: clock, v: 760},
		"5pm":                    {kind: clock, v: 1020},
		"6yrs":                   {kind: age, v: 6},
		"nd64":                   {kind: filter, v: 6},
		"nd1000":                 {kind: filter, v: 10},
		"nd 0.9":                 {kind: filter, v: 2.98974},
		"3:1":                    {kind: ratio, v: 3, v2: 1},
		"stall 14":               {kind: label, v: 14},
		"300 frames":             {kind: frames, v: 300},
		"half a stop":            {kind: stops, v: 0.5},
		"f/0":                    {kind: refused},
		"1/0":                    {kind: refused},
		"ISO 0":                  {kind: refused},
		"-3 m":                   {kind: refused},
		"2 in the shade":         {kind: bareNumber, v: 2},
		"4 kids":                 {kind: bareNumber, v: 4},
		"2024-06-20":             {kind: date},
		"31/10/2026":             {kind: date},
		"31.10.2026":             {kind: date},
		"lat 52":                 {kind: latitude, v: 52},
		"N38.7 W9.14":            {kind: latitude, v: 38.7},
		"S 33°52' E 151°12'":     {kind: latitude, v: -33.8667},
		"51.5N 0.1W":             {kind: latitude, v: 51.5},
		"38°42'N 9°8'W":          {kind: latitude, v: 38.7},
		"33 52 10 S, 151 12 0 E": {kind: latitude, v: -33.86944},
		"half past three":        {kind: clock, v: 930},
		"quarter to nine":        {kind: clock, v: 525},
		"noon till 3pm":          {kind: clock, v: 720},
		"madrid time":            {kind: zoneName},
		"new york clock":         {kind: zoneName},
	} {
		r := reader{Ear: ear, message: say}
		r.plain = normalise(say)
		r.toks = tokenise(r.plain.text)
		r.mend()
		r.own()
		got, end := r.quantityAt(0)
		if end == 0 || got.kind != want.kind || math.Abs(got.v-want.v) > 1e-4*math.Abs(want.v) || want.v2 != 0 && math.Abs(got.v2-want.v2) > 1e-4*want.v2 {
			t.Errorf("%q is %+v (to token %d), want %+v", say, got, end, want)
		}
	}
}

// An answer comes back in the units that were typed.
func TestStyle(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]units.Style{
		"flash + 40in panel":                    {Length: units.Inch},
		"panel 4 ft from her, 32in panel":       {Length: units.Foot},
		"panel 120 cm from her":                 {Length: units.Centimetre},
		"wind 12 knots, 34°C":                   {Wind: units.Knot, Temperature: units.Celsius},
		"90F and 15 mph wind, umbrella 43 inch": {Length: units.Inch, Wind: units.MilePerHour, Temperature: units.Fahrenheit},
	} {
		if got := ear.Read(say, nil).Style; got != want {
			t.Errorf("%q: %+v, want %+v", say, got, want)
		}
	}
}
