package formula_test

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"panelhand/calc/units"
	"panelhand/rules/fact"
	"panelhand/rules/formula"
)

// worked is a case for every formula, so that no argument is in another's
// place. Figures without a remark are worked examples of the named source.
var worked = []struct {
	name   string
	args   []float64
	want   float64
	within float64
	source string
}{
	{"exposure_ev", []float64{8, 1.0 / 250, 100}, 13.96578428, 1e-8, "photometry handbook §1.1, 1d, published"},
	{"level", []float64{13, 4, 1.0 / 200, 100}, 1.4, 0.05, "trade handbook Q3"},
	{"lux", []float64{12}, 10240, 0.1, "photometry handbook §1.1"},
	{"ev_from_lux", []float64{400}, 7.3, 0.05, "trade handbook N46"},
	{"settings_lux", []float64{5.6, 0.5, 800}, 19.6, 1e-9, "photometry handbook §1.1, 1c, published"},
	{"luminance", []float64{15}, 4096, 0.1, "photometry handbook §1.1"},
	{"ev_from_luminance", []float64{128}, 10, 1e-9, "photometry handbook §1.1"},
	{"metered_reflectance", []float64{12.5, 250}, 0.15707963, 1e-8, "photometry handbook §1.1, 1l"},
	{"aperture_value", []float64{8}, 6, 1e-9, "photometry handbook §1.2: f/8 is 18 clicks"},
	{"time_value", []float64{60}, -5.9068906, 1e-7, "photometry handbook §1.1, 1k, published"},
	{"speed_value", []float64{100}, 5, 1e-9, "photometry handbook §1.1, published"},
	{"aperture_stops", []float64{5.6, 2}, 2.97, 0.005, "the contract's example"},
	{"time_stops", []float64{1.0 / 125, 1.0 / 200}, -0.68, 0.005, "the contract's example"},
	{"iso_stops", []float64{100, 400}, 2, 1e-9, "definition"},
	{"magnitude", []float64{-2.5}, 2.5, 0, "definition"},
	{"time_for", []float64{8, -1, 2.8, 400}, 1.0 / 256, 1e-4, "trade handbook Q4"},
	{"aperture_for", []float64{15, 0, 1.0 / 100, 100}, 18.1, 0.05, "full sun at 1/ISO is f/16 plus a third, photometry handbook §1.1, 1i"},
	{"iso_for", []float64{8, 0, 2.8, 1.0 / 256}, 784, 1, "trade handbook Q4 a stop brighter: ISO 400 doubled, nominal f/2.8"},
	{"lux_at", []float64{800, 0.7}, 1633, 1, "trade handbook Q30: EV 9.4"},
	{"distance_stops", []float64{1.5, 3}, -2, 1e-9, "trade handbook Q8"},
	{"exposure_needed", []float64{4, 400}, 10, 1e-9, "photometry handbook §8.1"},
	{"exposure_aperture", []float64{313.31647, 100}, 11.19494, 1e-4, "photometry handbook §6.2, 6a"},
	{"steady_exposure", []float64{320, 1.0 / 125}, 2.56, 1e-9, "photometry handbook §8.1"},
	{"sensor_exposure", []float64{4000, 8, 1.0 / 250}, 0.16289371, 1e-8, "photometry handbook §1.1, published"},
	{"metered_exposure", []float64{100}, 0.08125, 0.0005, "photometry handbook §1.1, with q 0.65"},

	{"total_level", []float64{-1, 0}, 0.6, 0.05, "trade handbook Q15"},
	{"flash_completes", []float64{-2}, -0.415037, 1e-6, "photometry handbook §8, 8e"},
	{"flash_trim", []float64{-2, -1}, -0.6, 0.05, "trade handbook Q16"},
	{"apertures_together", []float64{8, 4}, 8.944272, 1e-6, "photometry handbook §8, 8c"},
	{"lighting_ratio", []float64{2}, 5, 1e-9, "photometry handbook §8, (K+F):F"},
	{"source_ratio", []float64{2}, 4, 1e-9, "photometry handbook §8, K:F"},
	{"key_over_fill", []float64{5}, 2, 1e-9, "trade handbook Q18"},
	{"key_over_fill_alone", []float64{8}, 3, 1e-9, "photometry handbook §8"},
	{"face_contrast", []float64{1}, 1.584963, 1e-6, "photometry handbook §8"},
	{"filter_short", []float64{3, 2.9}, 0.1, 1e-9, "trade handbook §8.4"},
	{"high_speed_short", []float64{2, 2.9}, 1.1, 1e-9, "trade handbook §8.4"},

	{"guide_number_at", []float64{70}, 50, 1e-9, "the handbook's table of constants"},
	{"guide_number_zoomed", []float64{36, 35, 105}, 58, 1e-9, "the handbook's table of constants"},
	{"guide_number_effective", []float64{36, 800, 1.0 / 16, 0}, 25.455844, 1e-6, "photometry handbook §3.1, 3c"},
	{"guide_numbers_together", []float64{36, 36}, 50.911688, 1e-6, "two alike are one stop more, 36·√2"},
	{"flash_exposure", []float64{36, 1, 0.8}, 5062.5, 1e-6, "photometry handbook §6.2, 6a"},
	{"flash_aperture", []float64{36, 0.25, 2, 200}, 12.7, 0.05, "trade handbook Q5"},
	{"flash_distance", []float64{36, 0.25, 9, 100}, 2, 1e-9, "photometry handbook §3.1, 3b"},
	{"power_needed", []float64{36, 8, 3, 100, 0}, 0.444, 0.0005, "trade handbook Q6"},
	{"power_to_total", []float64{4.969548707, -1.965784285, 0}, 0.02374596, 1e-7, "photometry handbook §8.1"},
	{"cone", []float64{65}, 0.984001, 1e-6, "photometry handbook §3.3"},
	{"zoom_beam", []float64{35}, 0.595514, 1e-6, "photometry handbook §6.1"},
	{"guide_from_energy", []float64{75, 0.595514, 0.7}, 37.5572, 1e-4, "photometry handbook §3.3, 3h"},
	{"guide_from_energy_low", []float64{75, 0.595514, 0.7}, 37.5572 * 0.612372, 1e-3, "photometry handbook §3.3: 15 against 40 lm·s/J"},
	{"guide_from_energy_high", []float64{75, 0.595514, 0.7}, 37.5572 * 1.118034, 1e-3, "photometry handbook §3.3: 50 against 40 lm·s/J"},
	{"recycle", []float64{2.5, 0.25}, 0.625, 1e-9, "photometry handbook §3.7"},
	{"flashes", []float64{230, 0.25}, 920, 1e-9, "photometry handbook §3.7"},
	{"cell_flashes", []float64{9.6, 0.6, 75}, 276.48, 1e-9, "photometry handbook §3.7"},
	{"high_speed_loss", []float64{1.0 / 1600, 1.0 / 200}, 5, 1e-9, "trade handbook Q22"},
	{"filter_stops", []float64{64}, 6, 1e-9, "trade handbook N17"},
	{"seen_aperture", []float64{2.8, 3}, 8, 0.1, "trade handbook Q23"},
	{"freezing_time", []float64{0.001}, 0.003321928, 1e-9, "photometry handbook §3.7"},
	{"cut_off_time", []float64{1.0 / 300, 0.5}, 0.001003433, 1e-9, "photometry handbook §3.7"},
	{"softbox_loss", []float64{0.7112}, 3, 0.01, "photometry handbook §3.6, 28 in"},
	{"passed_loss", []float64{0.353553}, 1.5, 1e-5, "photometry handbook §3.6"},

	{"disc_factor", []float64{2, 2}, 0.2, 1e-12, "photometry handbook §4.1, 4a, published"},
	{"disc_factor_tilted", []float64{1, 1, 75}, 0.0546081141, 1e-10, "photometry handbook §4.1, 4d"},
	{"disc_factor_off", []float64{1.016, 1.5, 0.75}, 0.0706125340, 1e-10, "photometry handbook §4.1, 4i"},
	{"corner_factor", []float64{1, 1, 1}, 0.138531605995, 1e-12, "photometry handbook §4.2, 4j, published"},
	{"corner_factor_upright", []float64{2, 1, 1}, 0.068697298876, 1e-12, "photometry handbook §4.2, 4k2"},
	{"rectangle_factor", []float64{0.6, 0.9, 1.5}, 0.0703442484, 1e-10, "photometry handbook §4.2, 4n"},
	{"rectangle_factor_off", []float64{1, 1, 1, 0.5, 0}, 0.1803687411, 1e-10, "photometry handbook §4.2, 4o"},
	{"panel_area", []float64{1.016}, 0.81073197, 1e-8, "photometry handbook §11"},
	{"panel_factor", []float64{1.016, 1}, 0.20512788, 1e-8, "photometry handbook §4.3"},
	{"panel_falloff", []float64{1, 1, 1.5}, -1, 0.01, "trade handbook Q7"},
	{"row_drop", []float64{4, 0.5}, -0.34, 0.005, "trade handbook Q20"},
	{"even_width", []float64{1.016, 1.2, 0.5}, 1.14, 0.07, "trade handbook Model I: 0.9 to 1.0 of the distance"},
	{"group_spread", []float64{2, 3, 15}, 0.5, 0.02, "trade handbook Q19"},
	{"group_distance", []float64{2, 15, 0.5}, 3, 0.05, "trade handbook Q19"},
	{"light_height", []float64{1.6, 1.2, 30}, 2.2, 1e-9, "trade handbook Q12"},
	{"light_elevation", []float64{2.05, 1.6, 1.2}, 22, 0.5, "trade handbook Q13"},
	{"source_angle", []float64{1, 2}, 28, 0.5, "trade handbook Q10"},
	{"source_size", []float64{53.86114, 1}, 1.016, 1e-6, "photometry handbook §7, 40 in at 1 m"},
	{"source_solid_angle", []float64{1.016, 1}, 0.681374, 1e-6, "photometry handbook §7"},
	{"shadow_edge", []float64{1.016, 2, 0.03}, 15.24, 0.005, "photometry handbook §7"},
	{"beam_width", []float64{35, 0.8}, 0.822857, 1e-6, "photometry handbook §6.1"},
	{"beam_height", []float64{35, 0.8}, 0.548571, 1e-6, "photometry handbook §6.1"},
	{"fill_distance", []float64{1.2, 35}, 1.75, 1e-9, "trade handbook Q9"},
	{"through_exposure", []float64{36, 35, 1, 1.016, 0.5, 0.8, 1}, 313.31647, 1e-5, "photometry handbook §6.2, 6a"},
	{"bounce_exposure", []float64{36, 35, 1, 1.016, 0.85, 35, 22, 1.2, 2.25}, 2.5 * 4.8 * 4.8, 3, "the handbook's table of constants: f/4.8"},
	{"boxed_exposure", []float64{36, 35, 1, 1.016, 0.5, 1}, 289.06, 0.1, "2285 lm·s (photometry handbook §6.2, energy check) over 0.81073 m² (§11), half of it, times F 0.205128 (§4.3)"},
	{"wall_exposure", []float64{36, 35, 1, 0.8, 1.5, 1.5, 0, 0}, 207, 6, "1440 lx·s (photometry handbook §6.2, 6e) · 0.8 · 0.1797, B-3 of the lit 1.543 by 1.029 m; within the disc of its area"},
	{"ceiling_exposure", []float64{36, 35, 1, 0.8, 0.9, 2.3, 1.0 / 3}, 90, 60, "2 to 3 stops under the bare flash, trade handbook N26"},
	{"bounce_cosine", []float64{35, 22, 1.2, 2.25}, 0.5, 0.2, "the handbook's table of constants"},
	{"scrim_stops", []float64{1, 0.5, 1}, -2, 0.1, "the handbook's table of constants: 2 stops at one diameter"},
	{"reflector_share", []float64{1.016, 0.8, 1, math.Log2(0.7)}, 0.114872, 1e-6, "photometry handbook §6.3"},
	{"sun_reflector_share", []float64{1, 0.85, 1, 45}, 0.116, 0.008, "doubts 9: 0.58 of the panel's factor at 45°, D 1 m at 1 m"},
	{"shadow_lift", []float64{0, 1}, 1, 1e-9, "photometry handbook §8: an equal light is one stop"},
	{"black_panel_stops", []float64{1, 0.03, 0.5}, -1, 0.1, "trade handbook D21: half a stop to one"},

	{"mired", []float64{3200}, 312.5, 1e-9, "photometry handbook §9"},
	{"kelvin", []float64{312.5}, 3200, 1e-9, "photometry handbook §9"},
	{"mired_shift", []float64{5600, 3200}, 133.928571, 1e-6, "photometry handbook §9"},
	{"kelvin_after", []float64{5500, 109}, 3440, 5, "trade handbook Q26"},
	{"cast_left", []float64{3200, 5600}, 133.9, 0.05, "photometry handbook §9"},
	{"kelvin_mix", []float64{5600, 75, 3200, 25}, 4715.7895, 1e-4, "photometry handbook §9"},
	{"gel_left", []float64{131}, 7, 1e-9, "trade handbook N37: about three quarters, 124"},
	{"hyperfocal", []float64{50, 8, 0.03}, 10.4666667, 1e-7, "photometry handbook §10, 10a"},
	{"depth_near", []float64{85, 2, 0.03, 2}, 1.9686917, 1e-7, "photometry handbook §10, 10c"},
	{"depth_far", []float64{85, 2, 0.03, 2}, 2.0323202, 1e-7, "photometry handbook §10, 10c"},
	{"depth", []float64{85, 4, 0.03, 3}, 0.29, 0.005, "trade handbook N32"},
	{"aperture_for_depth", []float64{85, 0.03, 2, 0.0636285}, 2, 1e-5, "photometry handbook §10, 10c"},
	{"shake_time", []float64{85, 1.5}, 0.007843, 1e-6, "photometry handbook §10"},
	{"motion_blur", []float64{1.4, 1.0 / 125, 85, 2}, 0.497128, 1e-6, "photometry handbook §10, 10h"},
	{"freeze_time", []float64{1.4, 85, 2, 0.03}, 1 / 2071.37, 1e-8, "photometry handbook §10"},
	{"focus_for_depth", []float64{85, 2, 0.03, 0.0636285}, 2, 1e-5, "photometry handbook §10, 10c, backwards"},
	{"frames_for_open_eyes", []float64{7, 3}, 6, 0, "trade handbook: people ÷ 3 + 3, a whole frame more"},
	{"frame_width", []float64{36, 50, 4}, 2.9, 0.05, "trade handbook N31"},
	{"field_of_view", []float64{36, 35}, 54.4322, 1e-4, "photometry handbook §6.1"},

	{"wind_pressure", []float64{8}, 39.2, 1e-5, "photometry handbook §11"},
	{"wind_push", []float64{0.81073197, 1.17, 8}, 37.18341, 1e-5, "photometry handbook §11"},
	{"gust_from_mean", []float64{8}, 12, 1e-9, "the handbook's table of constants"},
	{"wind_force", []float64{8}, 5, 0, "photometry handbook §11, published bounds"},
	{"force_wind", []float64{4}, 6.6880, 1e-4, "photometry handbook §11"},
	{"stand_edge", []float64{1, 4}, 0.707107, 1e-6, "photometry handbook §11"},
	{"tip_wind", []float64{15, 0.5, 3, 2.2, 0.81073197, 1.17}, 5.36389, 1e-5, "photometry handbook §11"},
	{"balance_weight", []float64{0.5, 3, 2.2, 0.81073197, 1.17, 5.5, 1.5}, 23.65636, 1e-5, "photometry handbook §11"},
	{"ballast", []float64{3, 0.5, 3, 2.2, 0.81073197, 1.17, 5.5, 1}, 12.77091, 1e-5, "photometry handbook §11: 15.77091 less a stand of 3 kg"},
	{"boom_weight", []float64{0.5, 3, 2, 1.2}, 7.6, 1e-9, "photometry handbook §11"},
	{"hold_down", []float64{37.18, 0.5}, 7.5833, 0.001, "photometry handbook §11"},
	{"sun_elevation", []float64{51.5, 0, 1718884800}, 61.9348, 0.01, "photometry handbook §12, two ephemeris libraries, 2024-06-20 12:00 UTC"},
	{"sun_azimuth", []float64{51.5, 0, 1718884800}, 179.1686, 0.01, "photometry handbook §12, two ephemeris libraries"},
	{"sun_noon", []float64{-105.1786, 1066392000}, 1066392000 + 6*3600 + 46*60 + 4.33, 30, "photometry handbook §12: the published report's transit, 18:46:04 UT (from memory)"},
	{"sun_rise", []float64{39.742476, -105.1786, 1066392000, -0.8333}, 1066396363, 60, "photometry handbook §12: the published report, 06:12:43 at UTC−7"},
	{"sun_set", []float64{39.742476, -105.1786, 1066392000, -0.8333}, 1066436331, 60, "photometry handbook §12: 17:18:51 at UTC−7"},
	{"sun_lux", []float64{30}, 84102.0, 0.05, "photometry handbook §5.2"},
	{"clear_sky_lux", []float64{60}, 15224.4, 0.05, "photometry handbook §5.2"},
	{"overcast_lux", []float64{60}, 18486.5, 0.05, "photometry handbook §5.2"},
	{"daylight_level", []float64{-6}, 3.4, 0.1, "published: 3.4 lx at the end of civil twilight"},
	{"air_mass", []float64{30}, 1.994293, 1e-6, "photometry handbook §5.2"},
	{"face_in_sun_lux", []float64{45}, 2.5 * 32768, 25000, "photometry handbook §2: full sun EV 15"},
	{"face_in_shade_lux", []float64{45}, 10240, 3000, "photometry handbook §2: open shade EV 12"},
	{"face_under_cloud_lux", []float64{60}, 9172.6, 1, "photometry handbook §5.2: EV 11.8412"},
	{"take_down", []float64{8, 6, 1}, 4.2426407, 1e-6, "the handbook's house limits: 6/√2"},
}

func TestWorkedExamples(t *testing.T) {
	done := map[string]bool{}
	for _, c := range worked {
		f, ok := formula.Lookup(c.name)
		if !ok {
			t.Errorf("no formula %s", c.name)
			continue
		}
		done[c.name] = true
		if got, err := f.Call(c.args); err != nil || math.Abs(got-c.want) > c.within {
			t.Errorf("%s of %v is %.8g (%v), want %g ± %g (%s)", f.Signature(), c.args, got, err, c.want, c.within, c.source)
		}
	}
	for _, f := range formula.Table {
		if !done[f.Name] {
			t.Errorf("%s has no worked example", f.Name)
		}
	}
}

func TestRowsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	identifier := regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	for _, f := range formula.Table {
		if !identifier.MatchString(f.Name) || seen[f.Name] || f.Doc == "" || f.Written == "" || f.Source == "" || f.Call == nil || len(f.Args) == 0 {
			t.Errorf("%+v", f)
		}
		seen[f.Name] = true
		names := map[string]bool{}
		for _, a := range f.Args {
			if !identifier.MatchString(a.Name) || names[a.Name] || !(a.Low < a.High) || math.IsInf(a.High-a.Low, 0) {
				t.Errorf("%s: %+v", f.Name, a)
			}
			names[a.Name] = true
		}
		for _, fact := range fact.Table {
			if fact.Name == f.Name {
				t.Errorf("%s is a fact's name too", f.Name)
			}
		}
	}
	if _, ok := formula.Lookup("guess"); ok {
		t.Error("found a formula to guess")
	}
}

// sample picks a value in a range: evenly over the orders of magnitude where
// the range spans many.
func sample(r *rand.Rand, a formula.Arg) float64 {
	u := r.Float64()
	if a.Low > 0 && a.High/a.Low > 50 {
		return min(max(a.Low*math.Pow(a.High/a.Low, u), a.Low), a.High)
	}
	return a.Low + u*(a.High-a.Low)
}

// Inside its ranges a formula is finite or says why not, and it computes at
// least a quarter of what its ranges promise (some arguments limit each other).
func TestInsideIsFinite(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, f := range formula.Table {
		const tries = 300
		fine := 0
		for range tries {
			args := make([]float64, len(f.Args))
			for i, a := range f.Args {
				args[i] = sample(r, a)
			}
			v, err := f.Call(args)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%s of %v is %g", f.Signature(), args, v)
			}
			if err == nil {
				fine++
			} else if v != 0 || !strings.HasPrefix(err.Error(), f.Name) {
				t.Errorf("%s of %v is %g with %v", f.Signature(), args, v, err)
			}
		}
		if fine < tries/4 {
			t.Errorf("%s computes only %d of %d samples of its ranges", f.Signature(), fine, tries)
		}
	}
}

func TestOutsideIsRefused(t *testing.T) {
	for _, f := range formula.Table {
		good := make([]float64, len(f.Args))
		for _, c := range worked {
			if c.name == f.Name {
				copy(good, c.args)
			}
		}
		for i, a := range f.Args {
			for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), a.Low - 1, a.High*2 + 1} {
				args := append([]float64(nil), good...)
				args[i] = v
				var outside *units.RangeError
				if got, err := f.Call(args); !errors.As(err, &outside) || got != 0 {
					t.Errorf("%s with %s %g is %g (%v)", f.Signature(), a.Name, v, got, err)
				}
			}
		}
		for _, args := range [][]float64{nil, append(append([]float64(nil), good...), 1)} {
			if _, err := f.Call(args); err == nil {
				t.Errorf("%s takes %d numbers", f.Signature(), len(args))
			}
		}
	}
}

// elsewhere lists what calc computes from numbers and no row calls, with the
// reason.
var elsewhere = map[string]string{
	"flash.Syncs":         "answers yes or no; a rule compares shutter and sync",
	"area.Bare":           "flash_exposure, for a head at its zoom",
	"stand.ForceRange":    "two ends; wind_force and force_wind serve rules",
	"stand.AdviseBallast": "ballast with the house's factor and floor, for answers",
	"face.SunAndSky":      "gives the lights of a scene, not a number",
	"balance.At":          "the light of a key whose guide number is a function",
}

// Every exported function of calc that turns numbers into a value or an error
// is called by a row, or stands in elsewhere with the reason why not.
func TestEveryCalculationIsReachable(t *testing.T) {
	called := map[string]bool{}
	for _, file := range parse(t, ".") {
		ast.Inspect(file, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				called[s.Sel.Name] = true
				if pkg, ok := s.X.(*ast.Ident); ok {
					called[pkg.Name+"."+s.Sel.Name] = true
				}
			}
			return true
		})
	}
	checked := 0
	for _, pkg := range []string{"exposure", "balance", "flash", "area", "face", "colour", "lens", "stand", "sun"} {
		for _, file := range parse(t, filepath.Join("..", "..", "calc", pkg)) {
			for _, d := range file.Decls {
				f, ok := d.(*ast.FuncDecl)
				if !ok || !f.Name.IsExported() || !computes(f.Type) {
					continue
				}
				checked++
				name := pkg + "." + f.Name.Name
				reached := called[name] || f.Recv != nil && called[f.Name.Name]
				if reason := elsewhere[name]; reached == (reason != "") {
					t.Errorf("%s: called by a row: %v, reason to stand elsewhere: %q", name, reached, reason)
				}
			}
		}
	}
	if checked < 80 {
		t.Errorf("only %d calculations found", checked)
	}
}

// computes reports whether a function takes what rules can give, numbers and
// what is made of them, and gives a value or an error.
func computes(f *ast.FuncType) bool {
	made := map[string]bool{"float64": true, "bool": true, "Panel": true, "Flash": true, "Sail": true, "Convention": true}
	for _, p := range f.Params.List {
		typ := p.Type
		if e, ok := typ.(*ast.Ellipsis); ok {
			typ = e.Elt
		}
		switch typ := typ.(type) {
		case *ast.Ident:
			if !made[typ.Name] {
				return false
			}
		case *ast.SelectorExpr:
			if typ.Sel.Name == "Mark" || typ.Sel.Name == "Dial" || typ.Sel.Name == "Tick" {
				return false
			}
		default:
			return false
		}
	}
	if f.Results == nil || f.Results.NumFields() < 2 {
		return false
	}
	last, ok := f.Results.List[len(f.Results.List)-1].Type.(*ast.Ident)
	return ok && last.Name == "error"
}

func parse(t *testing.T, dir string) []*ast.File {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var files []*ast.File
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(dir, e.Name()), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	return files
}
