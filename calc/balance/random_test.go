package balance_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"panelhand/calc/area"
	"panelhand/calc/balance"
	"panelhand/calc/exposure"
	"panelhand/calc/units"
)

func stops(all ...units.Stops) []units.Stops { return all }

func pick[T any](rng *rand.Rand, all ...T) T { return all[rng.IntN(len(all))] }

// randomScene is any job a crew may have: dark hall to sun, any way of using
// the flash or none, filters, high-speed sync, things already said and set.
func randomScene(rng *rand.Rand) balance.Scene {
	s := balance.Scene{
		Ambient: units.EV(2 + 14*rng.Float64()),
		Want: balance.Want{
			Ambient: units.Stops(-3 + 3*rng.Float64()), Background: units.Stops(-3 + 4*rng.Float64()),
			Aperture: pick(rng, units.FNumber(0), 2.8, 4, 5.6, 8, 11), Slowest: pick(rng, units.Seconds(0), 1.0/60, 1.0/125),
			Widest: pick(rng, units.FNumber(0), 0, 0, 4),
		},
		Camera: camera(),
	}
	s.Background = s.Ambient + units.EV(pick(rng, 0, 0, 3*rng.Float64(), -2*rng.Float64()))
	s.Camera.Sync = pick(rng, units.Seconds(1.0/200), 1.0/160, 1.0/250)
	s.Camera.ND = pick(rng, nil, nil, stops(3), stops(3, 6))
	if rng.IntN(4) > 0 {
		f := head(pick(rng, balance.Bare, balance.Through, balance.Through, balance.Bounce, balance.Umbrella, balance.Softbox, balance.Wall))
		f.Count, f.HSS, f.Loss = rng.IntN(3), rng.IntN(3) == 0, units.Stops(pick(rng, 0, 0, 0.5, 1))
		if rng.IntN(3) == 0 {
			f.Powers = units.PowerTenths(10, 8)
		}
		s.Key = f
	}
	if rng.IntN(4) == 0 {
		s.Given.Aperture = pick(rng, units.FNumber(1.8), 2.8, 5.6, 8)
	}
	if rng.IntN(6) == 0 {
		s.Given.ISO = pick(rng, units.ISO(100), 300, 800)
	}
	if rng.IntN(8) == 0 {
		s.Given.Shutter = pick(rng, units.Seconds(1.0/125), 1.0/90, 1.0/160)
	}
	if rng.IntN(8) == 0 {
		s.Given.Power = pick(rng, units.Fraction(1), 0.25, 1.0/16)
	}
	if rng.IntN(8) == 0 {
		s.Given.PanelSubject = pick(rng, units.Metres(1.016), 0.9, 1.37)
	}
	if rng.IntN(8) == 0 {
		s.Given.Zoom = pick(rng, units.Millimetres(24), 35, 50)
	}
	if rng.IntN(6) == 0 {
		s.Want.Face = pick(rng, units.Stops(-0.5), -1.0/3, 0.5)
	}
	if rng.IntN(5) == 0 {
		was := s
		was.Ambient += units.EV(2*rng.Float64() - 1)
		if sol, err := balance.Solve(was); err == nil {
			s.Now = &sol.Settings
		}
	}
	return s
}

// recompute works a solution's levels out of its printed marks alone, by way of
// lux·seconds: nothing of the solver's own evaluation is called.
func recompute(t *testing.T, s balance.Scene, x balance.Settings) balance.Levels {
	t.Helper()
	iso, n, time := units.ISO(x.ISO.Value), units.FNumber(x.Aperture.Value), units.Seconds(x.Shutter.Value)
	needed := must(exposure.Needed(n, iso))(t)
	passed := math.Exp2(-float64(x.ND))
	steady := func(ev units.EV) float64 {
		return float64(must(exposure.Steady(must(exposure.Lux(ev))(t), time))(t)) * passed
	}
	level := func(h float64) units.Stops { return units.Stops(math.Log2(h / float64(needed))) }
	l := balance.Levels{Ambient: level(steady(s.Ambient)), Background: level(steady(s.Background))}
	total := steady(s.Ambient)
	if x.Flash {
		f := s.Key
		gn, err := f.Guide(x.Zoom)
		if err != nil {
			t.Fatal(err)
		}
		lamp := area.Flash{Guide: gn, Zoom: x.Zoom, Power: units.Fraction(x.Power.Value)}
		var light area.Light
		switch f.Way {
		case balance.Bare:
			light.Face, err = area.Bare(lamp, x.FlashSubject)
		case balance.Through:
			light, err = area.Through(lamp, f.Panel, f.Pass, x.FlashPanel, x.PanelSubject)
		case balance.Bounce:
			light, err = area.Bounce(lamp, f.Panel, f.Pass, f.Side, f.Up, x.PanelSubject, f.CameraSubject)
		case balance.Wall:
			light, err = f.Path.Off(lamp, f.Pass)
		default:
			light, err = area.Boxed(lamp, f.Panel, f.Pass, x.PanelSubject)
		}
		if err != nil {
			t.Fatal(err)
		}
		h := float64(light.Face) * float64(max(1, f.Count)) * passed * math.Exp2(-float64(f.Loss))
		if x.Shutter.Value < float64(s.Camera.Sync)*0.97 { // high-speed sync: 2 stops and the shutter's own
			h *= 0.25 * x.Shutter.Value / float64(s.Camera.Sync)
		}
		l.Flash, total = level(h), total+h
	}
	l.Subject = level(total)
	return l
}

func TestTenThousandScenes(t *testing.T) {
	n := 10_000
	if testing.Short() {
		n = 1000
	}
	rng := rand.New(rand.NewPCG(2026, 11))
	right := 0
	for i := range n {
		s := randomScene(rng)
		sol, err := balance.Solve(s)
		var sync *balance.SyncError
		if errors.As(err, &sync) {
			if s.Key == nil || s.Key.HSS || float64(s.Given.Shutter) >= float64(s.Camera.Sync)*0.97 {
				t.Fatalf("scene %d: %v, but %v follows", i, err, s.Given.Shutter)
			}
			continue
		}
		if err != nil {
			t.Fatalf("scene %d: %v", i, err)
		}
		x := sol.Settings
		l := recompute(t, s, x)
		for _, c := range [...]struct{ got, want units.Stops }{
			{sol.Levels.Subject, l.Subject}, {sol.Levels.Ambient, l.Ambient}, {sol.Levels.Flash, l.Flash}, {sol.Levels.Background, l.Background},
		} {
			if !(math.Abs(float64(c.got-c.want)) < 1e-9) {
				t.Fatalf("scene %d: levels %+v, from the printed marks %+v", i, sol.Levels, l)
			}
		}
		if off := math.Abs(float64(l.Subject - s.Want.Face)); sol.Right != (off <= balance.Tolerance) || sol.Right == (sol.Short != 0) {
			t.Fatalf("scene %d: face at %v, right %v, short %v", i, l.Subject, sol.Right, sol.Short)
		}
		if sol.Right {
			right++
		}
		kept(t, i, s, sol)
		noClickIsCheaper(t, i, s, sol)
	}
	t.Logf("%d of %d scenes have the face right", right, n)
	if right < n*3/4 {
		t.Errorf("only %d of %d scenes come out right", right, n)
	}
}

// kept checks sync, ranges, limits, what was given.
func kept(t *testing.T, i int, s balance.Scene, sol balance.Solution) {
	t.Helper()
	x, g, c := sol.Settings, s.Given, s.Camera
	fail := func(why string) { t.Fatalf("scene %d: %s: %+v given %+v", i, why, x, g) }
	on := func(d units.Dial, m units.Mark) bool { _, ok := d.Index(m.Value); return ok }
	switch {
	case g.ISO > 0 && x.ISO.Value != float64(g.ISO), g.Aperture > 0 && x.Aperture.Value != float64(g.Aperture),
		g.Shutter > 0 && x.Shutter.Value != float64(g.Shutter):
		fail("a given camera value was changed")
	case g.ISO == 0 && !on(c.ISO, x.ISO), g.Aperture == 0 && !on(c.Aperture, x.Aperture), g.Shutter == 0 && !on(c.Shutter, x.Shutter):
		fail("not a mark of the camera")
	case g.Aperture == 0 && x.Aperture.Value < float64(s.Want.Widest)*0.999:
		fail("wider than depth allows")
	case g.Shutter == 0 && s.Want.Slowest > 0 && x.Shutter.Value > max(float64(s.Want.Slowest), float64(c.Sync))*1.04:
		fail("slower than motion allows")
	case x.Flash != (s.Key != nil):
		fail("flash fired without being there, or left out")
	}
	if s.Key == nil {
		return
	}
	f := s.Key
	in := func(m units.Metres, r balance.Reach) bool { return m >= r.Near-1e-9 && m <= r.Far+1e-9 }
	switch {
	case x.Shutter.Value < float64(c.Sync)*0.965 && !f.HSS:
		fail("faster than sync")
	case x.HSS != (x.Shutter.Value < float64(c.Sync)*0.965):
		fail("high-speed sync is not what the shutter needs")
	case g.Power > 0 && math.Abs(x.Power.Value/float64(g.Power)-1) > 1e-3, g.Power == 0 && !on(f.Powers, x.Power):
		fail("power off its dial, or changed")
	case g.Zoom > 0 && x.Zoom != g.Zoom:
		fail("zoom changed")
	case f.Way == balance.Through && !in(x.FlashPanel, f.FlashPanel):
		fail("flash out of reach")
	case f.Way == balance.Bare && !in(x.FlashSubject, f.FlashSubject):
		fail("bare flash out of reach")
	case f.Way != balance.Bare && f.Way != balance.Wall && g.PanelSubject == 0 && !in(x.PanelSubject, f.PanelSubject):
		fail("panel out of reach")
	case f.Way != balance.Bare && f.Way != balance.Wall && g.PanelSubject > 0 && x.PanelSubject != g.PanelSubject:
		fail("panel moved from where it was said to be")
	}
}

// noClickIsCheaper turns every dial that is free by one mark each way.
func noClickIsCheaper(t *testing.T, i int, s balance.Scene, sol balance.Solution) {
	t.Helper()
	_, cost, err := balance.Rate(s, sol.Settings)
	if err != nil {
		t.Fatal(err)
	}
	least := cost.Total()
	if math.Abs(least-sol.Cost.Total()) > 1e-9 || math.IsNaN(least) {
		t.Fatalf("scene %d: cost %v, rated %v", i, sol.Cost.Total(), least)
	}
	compare := func(what string, x balance.Settings) {
		_, c, err := balance.Rate(s, x)
		if err == nil && c.Total() < least-1e-6 {
			t.Fatalf("scene %d: %s costs %.6f, the answer %.6f\n%+v\n%+v\n%+v\n%+v", i, what, c.Total(), least, x, sol.Settings, c, cost)
		}
	}
	g, w := s.Given, s.Want
	for _, by := range []int{1, -1} {
		turn := func(d units.Dial, m units.Mark) (units.Mark, bool) {
			k, _ := d.Index(m.Value)
			return d.At(k + by), k+by >= 0 && k+by < d.Len()
		}
		x := sol.Settings
		if m, ok := turn(s.Camera.ISO, x.ISO); ok && g.ISO == 0 {
			x.ISO = m
			compare("ISO "+m.Text, x)
		}
		x = sol.Settings
		if m, ok := turn(s.Camera.Aperture, x.Aperture); ok && g.Aperture == 0 && m.Value >= float64(w.Widest) {
			x.Aperture = m
			compare(m.Text, x)
		}
		x = sol.Settings
		if m, ok := turn(s.Camera.Shutter, x.Shutter); ok && g.Shutter == 0 && (w.Slowest == 0 || m.Value <= float64(w.Slowest)) &&
			(s.Key == nil || s.Key.HSS || m.Value >= float64(s.Camera.Sync)*0.97) {
			x.Shutter = m
			compare(m.Text, x)
		}
		x = sol.Settings
		filters := append(stops(0), s.Camera.ND...)
		for k, nd := range filters {
			if nd == x.ND && k+by >= 0 && k+by < len(filters) && g.ND == 0 {
				x.ND = filters[k+by]
				compare("filter", x)
				break
			}
		}
		if s.Key == nil {
			continue
		}
		f := s.Key
		x = sol.Settings
		if m, ok := turn(f.Powers, x.Power); ok && g.Power == 0 {
			x.Power = m
			compare("power "+m.Text, x)
		}
		x = sol.Settings
		for k, z := range f.Zooms {
			if z == x.Zoom && k+by >= 0 && k+by < len(f.Zooms) && g.Zoom == 0 {
				x.Zoom = f.Zooms[k+by]
				compare("zoom", x)
				break
			}
		}
		step := units.Metres(by) * balance.Step
		move := func(what string, m *units.Metres, r balance.Reach) {
			if to := *m + step; *m > 0 && to >= r.Near-1e-9 && to <= r.Far+1e-9 {
				was := *m
				*m = to
				compare(what, x)
				*m = was
			}
		}
		x = sol.Settings
		switch {
		case f.Way == balance.Bare:
			move("flash to face", &x.FlashSubject, f.FlashSubject)
		case f.Way != balance.Wall:
			if g.PanelSubject == 0 {
				move("panel to face", &x.PanelSubject, f.PanelSubject)
			}
			if f.Way == balance.Through {
				move("flash to panel", &x.FlashPanel, f.FlashPanel)
			}
		}
	}
}

func TestSolveIsDeterministic(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 200 {
		s := randomScene(rng)
		a, errA := balance.Solve(s)
		b, errB := balance.Solve(s)
		if (errA == nil) != (errB == nil) || a.Settings != b.Settings || a.Cost != b.Cost {
			t.Fatalf("one scene, two answers:\n%+v\n%+v", a, b)
		}
	}
}

// What a change is said to buy is what turning that one dial gives.
func TestBuysAreTrue(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 12))
	checked := map[string]int{}
	for range 3000 {
		s := randomScene(rng)
		s.Now = nil
		sol, err := balance.Solve(s)
		if err != nil || sol.Right {
			if err == nil && len(sol.Buys) > 0 {
				t.Fatalf("right, and yet %+v", sol.Buys)
			}
			continue
		}
		for _, c := range sol.Buys {
			if c.Stops <= 0 || math.IsInf(c.Value, 0) || math.IsNaN(c.Value) {
				t.Fatalf("%+v buys nothing", c)
			}
			x, scene := sol.Settings, s
			switch c.What {
			case balance.MoreISO:
				x.ISO.Value = c.Value
			case balance.Aperture:
				x.Aperture.Value = c.Value
			case balance.Shutter:
				x.Shutter.Value = c.Value
			case balance.Power:
				x.Power.Value = c.Value
			case balance.NoFlash:
				x.Flash = false
			case balance.WiderZoom:
				x.Zoom = units.Millimetres(c.Value)
			case balance.NoFilter:
				x.ND = 0
			case balance.SecondFlash:
				key := *s.Key
				key.Count = int(c.Value)
				scene.Key = &key
			case balance.Closer:
				if s.Key.Way == balance.Bare {
					x.FlashSubject = units.Metres(c.Value)
				} else {
					x.PanelSubject = units.Metres(c.Value)
				}
			default:
				continue
			}
			if sol.Short > 0 && x.Flash && c.What != balance.Power {
				continue // over: the flash's power follows, see TestShallowInBrightLight
			}
			l := recompute(t, scene, x)
			gain := math.Abs(float64(sol.Short)) - math.Abs(float64(l.Subject-s.Want.Face))
			if math.Abs(gain-float64(c.Stops)) > 1e-6 || c.Enough != (math.Abs(float64(l.Subject-s.Want.Face)) <= balance.Tolerance+1e-12) {
				t.Fatalf("%+v gives the face %v from %v: %.3f stops", c, l.Subject, sol.Short, gain)
			}
			checked[c.What]++
		}
	}
	t.Log(checked)
	for _, what := range []string{balance.MoreISO, balance.Aperture, balance.Shutter, balance.Power, balance.SecondFlash, balance.Closer} {
		if checked[what] == 0 {
			t.Errorf("no scene was short in a way that %q helps: nothing was checked", what)
		}
	}
}
