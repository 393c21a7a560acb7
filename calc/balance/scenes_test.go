package balance_test

import (
	"math"
	"testing"

	"panelhand/calc/area"
	"panelhand/calc/balance"
	"panelhand/calc/flash"
	"panelhand/calc/units"
)

// camera is the handbook's default: full frame, sync 1/200, ISO 100 to 6400,
// f/2.8 to f/16.
func camera() balance.Camera {
	return balance.Camera{
		ISO: units.ISOThirds().Between(100, 6400), Aperture: units.ApertureThirds().Between(2.8, 16),
		Shutter: units.ShutterThirds(), BaseISO: 100, Sync: 1.0 / 200,
	}
}

func at(best, near, far units.Metres) balance.Reach {
	return balance.Reach{Best: best, Near: near, Far: far}
}

// head is the handbook's default flash.
func head(way balance.Way) *balance.Flash {
	f := &balance.Flash{
		Way: way, Guide: flash.AssumedGuideNumber, Powers: units.PowerThirds(1.0 / 128),
		Panel: area.RoundPanel(1), Zooms: []units.Millimetres{14, 20, 24, 28, 35, 50, 70, 105}, RecycleFull: 2.5,
	}
	switch way {
	case balance.Through:
		f.Pass, f.Zoom, f.FlashPanel, f.PanelSubject = area.TranslucentPasses, 24, at(1, 0.6, 1.5), at(1.2, 0.75, 1.5)
	case balance.Bounce:
		f.Pass, f.Zoom, f.PanelSubject = area.WhiteReturns, 35, at(1.2, 0.75, 1.5)
		f.Side, f.Up, f.CameraSubject = 35, 22, 2.25
	case balance.Umbrella, balance.Softbox:
		f.Pass, f.Zoom, f.PanelSubject = area.TranslucentPasses, 24, at(1.2, 0.75, 1.5)
	case balance.Bare:
		f.Zoom, f.FlashSubject = 35, at(2, 1, 3)
	case balance.Wall:
		f.Pass, f.Zoom = area.PaintReturns, 35
		f.Path = area.Wall{Flash: 1.2, Face: 1.8, In: 40, Out: 55}
	}
	return f
}

func natural(ev units.EV) balance.Scene {
	return balance.Scene{
		Ambient: ev, Background: ev,
		Want:   balance.Want{Ambient: -0.6, Background: -0.3, Aperture: 5.6, Slowest: 1.0 / 80},
		Camera: camera(),
	}
}

func solve(t testing.TB, s balance.Scene) balance.Solution {
	t.Helper()
	sol, err := balance.Solve(s)
	if err != nil {
		t.Fatalf("%+v: %v", s, err)
	}
	return sol
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.4f, want %.4f ± %g", what, got, want, tolerance)
	}
}

func must[T any](v T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}
