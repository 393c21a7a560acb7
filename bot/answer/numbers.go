package answer

import (
	"bytes"
	"encoding/json"
	"math"
)

// Quantity says in which unit a number is kept and so how it is printed.
type Quantity int

// The quantities a number can be.
const (
	Ratio Quantity = iota
	ISO
	Aperture
	Shutter
	Kelvin
	Focal
	Stops
	HowMany // stops without a sign: how much, not which way
	EV
	Lux
	Power
	Length
	Guide // metres at ISO 100; never in the asker's inches
	Degrees
	Millimetres
	Kilograms
	Speed
	Seconds
	Count
	Percent // of a share, 0 to 1
)

// A Key is one number of a set-up's state.
type Key struct {
	Name     string
	Quantity Quantity
	Doc      string
}

// Keys is every number of the contract, in its order.
var Keys = []Key{
	{"iso", ISO, "speed to set"},
	{"aperture", Aperture, "f-number to set"},
	{"shutter_s", Shutter, "exposure time to set"},
	{"wb_k", Kelvin, "white balance to set"},
	{"focal_mm", Focal, "focal length"},
	{"nd_stops", HowMany, "filter on the lens"},
	{"ambient_ev100", EV, "the light at the face"},
	{"background_ev100", EV, "the background's own light"},
	{"flash_power", Power, "share of full power"},
	{"flash_gn_m", Guide, "guide number used, ISO 100, full power, at this zoom"},
	{"flash_zoom_mm", Focal, "zoom of the flash head"},
	{"flash_panel_m", Length, "flash to panel"},
	{"panel_subject_m", Length, "cloth to near eye"},
	{"flash_subject_m", Length, "flash to near eye"},
	{"led_subject_m", Length, "LED to near eye"},
	{"camera_subject_m", Length, "camera to near eye"},
	{"panel_size_m", Length, "panel used"},
	{"panel_pass", Ratio, "share of light its fabric passes or returns"},
	{"panel_tilt_stops", HowMany, "lost to the cosines at a turned panel"},
	{"flash_loss_stops", HowMany, "further loss: gel, cap, high-speed sync, calibration"},
	{"key_side_deg", Degrees, "key to the side of the lens axis"},
	{"key_up_deg", Degrees, "key above the eye line"},
	{"key_height_m", Length, "key's centre above the ground"},
	{"feather_deg", Degrees, "turned past the face"},
	{"fill_panel_m", Length, "fill panel to face"},
	{"fill_stops", Stops, "the fill's part on the shadow side"},
	{"rim_power", Power, "share of full power of the light behind"},
	{"rim_subject_m", Length, "light behind to the head"},
	{"rim_zoom_mm", Focal, "zoom of the light behind"},
	{"background_light_power", Power, "share of full power of the light on the background"},
	{"background_light_m", Length, "that light to the background"},
	{"subject_stops", Stops, "lit side of the face against right"},
	{"ambient_stops", Stops, "the light that is there, alone"},
	{"flash_stops", Stops, "the flash, alone"},
	{"background_stops", Stops, "the background against right"},
	{"key_fill_stops", Stops, "lit side against shadow side"},
	{"key_fill_ratio", Ratio, "2 to that power"},
	{"source_deg", Degrees, "angular width of the lit source from the face"},
	{"shadow_edge_mm", Millimetres, "penumbra 25 mm behind an edge"},
	{"socket_cheek_stops", Stops, "eye socket against the lit cheek"},
	{"socket_cheek_stops_before", Stops, "the same without the set-up"},
	{"chin_cheek_stops", Stops, "under the chin against the lit cheek"},
	{"chin_cheek_stops_before", Stops, "the same without the set-up"},
	{"forehead_cheek_stops", Stops, "forehead against the lit cheek"},
	{"forehead_cheek_stops_before", Stops, "the same without the set-up"},
	{"depth_near_m", Length, "near limit of sharpness"},
	{"depth_far_m", Length, "far limit of sharpness"},
	{"flashes", Count, "a full charge at this power"},
	{"recycle_s", Seconds, "until the flash is ready again"},
	{"pace_s", Seconds, "wait between frames, never more than one flash a second"},
	{"ballast_kg", Kilograms, "weight to add on the stand"},
	{"tip_gust_ms", Speed, "gust that tips it as it stands"},
	{"wind_limit_ms", Speed, "when to take it down"},
}

var keyByName = func() map[string]Key {
	m := make(map[string]Key, len(Keys))
	for _, k := range Keys {
		m[k.Name] = k
	}
	return m
}()

// KeyNamed finds a number's key.
func KeyNamed(name string) (Key, bool) { k, ok := keyByName[name]; return k, ok }

// A Light is one light of the set-up, the key first.
type Light struct {
	Role      string  `json:"role"`
	Kind      string  `json:"kind"`
	Power     float64 `json:"power,omitempty"`
	ZoomMM    float64 `json:"zoom_mm,omitempty"`
	DistanceM float64 `json:"distance_m,omitempty"`
	SideDeg   float64 `json:"side_deg"`
	UpDeg     float64 `json:"up_deg"`
	Gel       string  `json:"gel,omitempty"`
}

// Numbers is one set-up's state. A number that was neither given nor
// computable is absent, never zero.
type Numbers struct {
	values map[string]float64
	texts  map[string]string
	Lights []Light
}

// Tell keeps the words in which a key is shown: a power as its dial shows it,
// the gel on the flash ("flash_gel"), which has no number.
func (n *Numbers) Tell(key, text string) {
	if n.texts == nil {
		n.texts = map[string]string{}
	}
	n.texts[key] = text
}

// Set keeps a number under a key of Keys. A value that is not finite is left
// out: absent is honest, NaN is not.
func (n *Numbers) Set(key string, value float64) {
	if _, ok := keyByName[key]; !ok {
		panic("answer: no number is called " + key)
	}
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return
	}
	if n.values == nil {
		n.values = map[string]float64{}
	}
	n.values[key] = value
}

// Drop takes numbers out that are of no use to whoever asked.
func (n *Numbers) Drop(keys ...string) {
	for _, key := range keys {
		delete(n.values, key)
		delete(n.texts, key)
	}
}

// Get returns a number, and whether it is there.
func (n *Numbers) Get(key string) (float64, bool) {
	if n == nil {
		return 0, false
	}
	v, ok := n.values[key]
	return v, ok
}

// Text is the words in which a key is shown, "" where its number is.
func (n *Numbers) Text(key string) string { return n.texts[key] }

// Map is the numbers by key, as rules read them.
func (n *Numbers) Map() map[string]float64 {
	if n == nil {
		return nil
	}
	return n.values
}

// MarshalJSON writes the numbers in the contract's order, rounded once to
// what the eye or a further sum could use: six significant digits.
func (n *Numbers) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	sep := ""
	put := func(key string, v any) error {
		data, err := json.Marshal(v)
		if err != nil {
			return err
		}
		b.WriteString(sep + `"` + key + `":`)
		b.Write(data)
		sep = ","
		return nil
	}
	for _, k := range Keys {
		v, ok := n.values[k.Name]
		if !ok {
			continue
		}
		if err := put(k.Name, sixDigits(v)); err != nil {
			return nil, err
		}
		if text := n.texts[k.Name]; text != "" {
			if err := put(k.Name+"_text", text); err != nil {
				return nil, err
			}
		}
	}
	if len(n.Lights) > 0 {
		if err := put("lights", n.Lights); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

func sixDigits(v float64) float64 {
	if v == 0 {
		return 0
	}
	scale := math.Pow(10, 5-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*scale) / scale
}
