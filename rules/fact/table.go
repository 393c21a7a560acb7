// Package fact is the one table of what the coach can know about a set-up:
// every fact's name, kind, unit, choices and the question that asks for it,
// and the Set that holds what one thread knows.
//
// The table is contract.md's "heard" written down once. Reading, conditions in
// rule files, JSON and documentation all come from it; nothing else lists facts.
package fact

// Kind is the shape of a fact's value.
type Kind int

// The kinds. Lists are closed: unsaid is empty. The others are open: unsaid
// is unknown until a default fills it.
const (
	Number Kind = iota // one number in the fact's unit
	Flag               // true or false
	Choice             // one of Choices
	Text               // free text as typed
	List               // any of Choices, each at most once
	Kit                // the list of Items
)

// A Fact is one row of the table.
type Fact struct {
	Path    string   // dotted path in JSON: "light.ev100"
	Name    string   // name in rule conditions: ev100, kind("canopy"), limit("wind")
	Kind    Kind     // shape of the value
	Unit    string   // unit of a Number, empty where it has none
	Choices []string // values of a Choice or List
	Doc     string   // one line for people
	Ask     string   // the question that asks for it; empty where it is never asked
	Low     float64  // a Number outside Low..High is not believed
	High    float64
}

// Closed reports whether an unsaid fact means "none" rather than "unknown".
func (f Fact) Closed() bool { return f.Kind == List || f.Kind == Kit }

// Table is every fact, in the order of the contract.
var Table = []Fact{
	{Path: "light.from", Name: "from", Kind: List, Choices: []string{"overhead", "front", "side", "back", "below", "flat"}, Doc: "where the light that is there comes from, seen from the face"},
	{Path: "light.kind", Name: "kind", Kind: Choice, Choices: lightKinds, Doc: "what the light that is there is", Ask: "What light is on them: sun, shade, a roof, a window, lamps?"},
	{Path: "light.was", Name: "was", Kind: Choice, Choices: lightKinds, Doc: "what it was before a message of the talk named another"},
	{Path: "light.hard", Name: "hard", Kind: Flag, Doc: "whether that light draws hard shadows"},
	{Path: "light.ev100", Name: "ev100", Kind: Number, Unit: "EV", Low: -6, High: 18, Doc: "exposure value at ISO 100 of the light at the face, toward the camera", Ask: "What does a meter or a test frame at the face say (f, shutter, ISO)?"},
	{Path: "light.background_ev100", Name: "background_ev100", Kind: Number, Unit: "EV", Low: -6, High: 18, Doc: "the background's own exposure value"},
	{Path: "light.cct_k", Name: "cct", Kind: Number, Unit: "K", Low: 1500, High: 25000, Doc: "colour temperature of the light that is there"},
	{Path: "light.cast", Name: "cast", Kind: List, Choices: []string{"green", "orange", "blue", "red", "mixed"}, Doc: "colour cast of the light that is there"},
	{Path: "wants", Name: "wants", Kind: List, Choices: []string{"softer", "harder", "brighter-eyes", "fill-shadows", "more-shape", "flatter", "darker-background", "brighter-background", "darker-subject", "brighter-subject", "shallower-depth", "deeper-depth", "freeze-motion", "show-motion", "warmer", "cooler", "less-shine", "separation", "natural-look", "low-noise", "match-colour", "even-light", "no-glare", "clean-background"}, Doc: "what is wished for", Ask: "What should change: softer, brighter eyes, a darker background?"},
	{Path: "look", Name: "look", Kind: Choice, Choices: []string{"airy", "natural", "friendly", "shaped", "moody", "dramatic", "harsh"}, Doc: "the look as one word"},
	{Path: "faults", Name: "fault", Kind: List, Choices: Faults, Doc: "what a test frame or the bare eye shows"},
	{Path: "keep", Name: "keep", Kind: List, Choices: []string{"face", "background", "depth", "softness", "colour"}, Doc: "what must not change"},
	{Path: "kit", Name: "has", Kind: Kit, Choices: KitKinds, Doc: "the kit at hand", Ask: "What is in the bag: flash, panel, reflector?"},
	{Path: "says", Name: "says", Kind: List, Choices: Techniques, Doc: "ways of lighting the message itself names: \"flash thru the panel\", \"bounced\", \"scrim over her\""},
	{Path: "limits", Name: "limit", Kind: List, Choices: []string{"no-stands", "no-flash", "no-helper", "wind", "rain", "low-ceiling", "crowd", "tight-space", "hurry", "children", "photosensitive", "animals", "traffic", "water", "edge", "power-lines", "heat", "cold", "dark", "quiet", "mist"}, Doc: "what the place, the weather or the people forbid or threaten"},
	{Path: "hazards", Name: "hazard", Kind: List, Choices: Hazards, Doc: "what only cautions read: dangers named and unsafe things asked for"},
	{Path: "subject.people", Name: "people", Kind: Number, Low: 1, High: 500, Doc: "how many are in the picture"},
	{Path: "subject.traits", Name: "trait", Kind: List, Choices: []string{"adult", "child", "baby", "pet", "couple", "group", "glasses", "deep-set-eyes", "shiny-skin", "bald", "dark-skin", "light-skin", "white-clothes", "dark-clothes", "hat", "veil", "seated"}, Doc: "what about the sitter changes the light"},
	{Path: "subject.framing", Name: "framing", Kind: Choice, Choices: []string{"headshot", "half-length", "full-length"}, Doc: "how much of the sitter is in the frame"},
	{Path: "subject.moving", Name: "moving", Kind: Flag, Doc: "whether the sitter moves"},
	{Path: "camera.iso", Name: "iso", Kind: Number, Low: 25, High: 409600, Doc: "ISO set"},
	{Path: "camera.iso_max", Name: "iso_max", Kind: Number, Low: 25, High: 409600, Doc: "highest ISO that is allowed"},
	{Path: "camera.aperture", Name: "aperture", Kind: Number, Low: 0.7, High: 64, Doc: "f-number set"},
	{Path: "camera.shutter_s", Name: "shutter", Kind: Number, Unit: "s", Low: 1.0 / 32000, High: 60, Doc: "exposure time set"},
	{Path: "camera.wb_k", Name: "wb", Kind: Number, Unit: "K", Low: 1500, High: 25000, Doc: "white balance dialled"},
	{Path: "camera.focal_mm", Name: "focal", Kind: Number, Unit: "mm", Low: 4, High: 1200, Doc: "focal length of the lens"},
	{Path: "camera.sync_s", Name: "sync", Kind: Number, Unit: "s", Low: 1.0 / 2000, High: 1.0 / 15, Doc: "shortest time that syncs with the flash"},
	{Path: "camera.format", Name: "format", Kind: Choice, Choices: []string{"full-frame", "aps-c", "four-thirds", "medium-format", "phone"}, Doc: "sensor format; a phone has no dials to set"},
	{Path: "distance.flash_subject_m", Name: "flash_subject", Kind: Number, Unit: "m", Low: 0.1, High: 100, Doc: "flash to near eye"},
	{Path: "distance.flash_panel_m", Name: "flash_panel", Kind: Number, Unit: "m", Low: 0.05, High: 20, Doc: "flash to panel"},
	{Path: "distance.panel_subject_m", Name: "panel_subject", Kind: Number, Unit: "m", Low: 0.1, High: 50, Doc: "panel or cloth to near eye"},
	{Path: "distance.camera_subject_m", Name: "camera_subject", Kind: Number, Unit: "m", Low: 0.2, High: 200, Doc: "camera to near eye"},
	{Path: "distance.subject_background_m", Name: "subject_background", Kind: Number, Unit: "m", Low: 0, High: 5000, Doc: "sitter to background"},
	{Path: "helpers", Name: "helpers", Kind: Number, Low: 0, High: 20, Doc: "hands besides the lead's"},
	{Path: "weather.wind_ms", Name: "wind", Kind: Number, Unit: "m/s", Low: 0, High: 60, Doc: "mean wind", Ask: "How strong is the wind: leaves rustle, twigs move, or dust lifts?"},
	{Path: "weather.gust_ms", Name: "gust", Kind: Number, Unit: "m/s", Low: 0, High: 90, Doc: "wind in gusts"},
	{Path: "weather.temp_c", Name: "temp", Kind: Number, Unit: "°C", Low: -50, High: 60, Doc: "air temperature"},
	{Path: "venue", Name: "venue", Kind: Text, Doc: "the place's name as typed"},
	{Path: "when.date", Name: "date", Kind: Text, Doc: "date"},
	{Path: "when.time", Name: "time", Kind: Text, Doc: "time of day"},
	{Path: "when.utc_offset", Name: "utc_offset", Kind: Text, Doc: "offset from UTC"},
	{Path: "when.ahead_min", Name: "ahead", Kind: Number, Unit: "min", Low: 0, High: 1440, Doc: "minutes from the time that is spoken of, or from now"},
	{Path: "when.zone", Name: "zone", Kind: Text, Doc: "time zone by name"},
	{Path: "where.lat", Name: "lat", Kind: Number, Unit: "degree", Low: -90, High: 90, Doc: "latitude, north positive"},
	{Path: "where.lon", Name: "lon", Kind: Number, Unit: "degree", Low: -180, High: 180, Doc: "longitude, east positive"},
	{Path: "key.side_deg", Name: "key_side", Kind: Number, Unit: "degree", Low: 0, High: 90, Doc: "how far to the side of the lens the crew has its key"},
	{Path: "plan.start", Name: "plan_start", Kind: Text, Doc: "when a planned day's pictures start, hours and minutes"},
	{Path: "plan.end", Name: "plan_end", Kind: Text, Doc: "when they end"},
	{Path: "plan.more", Name: "plan_more", Kind: Text, Doc: "further stretches of the same day, as 17:00-19:00 with a space between"},
	{Path: "plan.call", Name: "plan_call", Kind: Text, Doc: "when the crew meets"},
	{Path: "plan.sunset", Name: "plan_sunset", Kind: Text, Doc: "sunset as the asker knows it"},
	{Path: "plan.sunrise", Name: "plan_sunrise", Kind: Text, Doc: "sunrise as the asker knows it"},
	{Path: "plan.spots", Name: "spots", Kind: Number, Low: 1, High: 24, Doc: "how many spots or looks a planned day has"},
	{Path: "plan.frames", Name: "frames", Kind: Number, Low: 1, High: 100000, Doc: "how many frames are planned"},
	{Path: "plan.power", Name: "frame_power", Kind: Number, Low: 1.0 / 512, High: 1, Doc: "flash power that they are planned at, as a fraction of full"},
	{Path: "plan.full", Name: "frames_full", Kind: Number, Low: 1, High: 100000, Doc: "what frames at several powers come to, in flashes at full power"},
	{Path: "plan.sets", Name: "battery_sets", Kind: Number, Low: 0, High: 200, Doc: "charged sets of cells at hand for each flash"},
	{Path: "plan.sky", Name: "sky", Kind: Choice, Choices: []string{"clear", "broken", "overcast"}, Doc: "the sky that is forecast"},
	{Path: "plan.contact", Name: "contact", Kind: Text, Doc: "who is asked for on site"},
	{Path: "plan.day", Name: "day", Kind: List, Choices: DayTraits, Doc: "what a planned day is like, as computed; read by the lines of a plan"},
	{Path: "turn", Name: "turns", Kind: List, Choices: Turns, Doc: "a dial, a light or a thing that the message asks to be moved"},
	{Path: "amount.stops", Name: "by_stops", Kind: Number, Unit: "stop", Low: 0, High: 10, Doc: "how many stops it asks for"},
	{Path: "amount.m", Name: "by_m", Kind: Number, Unit: "m", Low: 0, High: 10, Doc: "how far it asks something to go"},
	{Path: "amount.k", Name: "by_k", Kind: Number, Unit: "K", Low: 0, High: 10000, Doc: "how many kelvin it asks for"},
	{Path: "amount.times", Name: "by_times", Kind: Number, Low: 0.01, High: 100, Doc: "how many times as much it asks for"},
	{Path: "amount.share", Name: "by_share", Kind: Number, Low: 0.1, High: 4, Doc: "how much of a first move it asks for: a touch, a lot"},
	{Path: "amount.deg", Name: "by_deg", Kind: Number, Unit: "degree", Low: 0, High: 180, Doc: "how many degrees it asks for"},
	{Path: "ask", Name: "asks", Kind: List, Choices: Asks, Doc: "what kind of answer the message asks for"},
	{Path: "term", Name: "term", Kind: Text, Doc: "the word whose meaning is asked for"},
}

// lightKinds are the kinds of light that is there.
var lightKinds = []string{"sun", "dappled", "open-shade", "overcast", "canopy", "window", "tungsten", "fluorescent", "led-indoor", "street-night", "dusk", "low-sun", "stage"}

// KitKinds are the kinds of kit an Item can be.
var KitKinds = []string{"flash", "strobe", "led", "panel", "reflector", "diffuser", "umbrella", "softbox", "grid", "snoot", "bounce-card", "gel", "stand", "weight", "clamp", "tripod", "trigger", "nd-filter", "polarizer", "meter"}

// Surfaces are the sides a panel or reflector can show.
var Surfaces = []string{"white", "silver", "gold", "black", "translucent"}

// Gels are the filters that have a name of their own.
var Gels = []string{"full-cto", "three-quarter-cto", "half-cto", "quarter-cto", "eighth-cto", "full-ctb", "half-ctb", "quarter-ctb", "plus-green", "half-plus-green"}

// Techniques say what the light of a set-up is made of.
var Techniques = []string{"edge", "turn", "window", "scrim", "reflect", "through", "bounce", "umbrella", "softbox", "wall", "bare", "fill", "negative-fill", "led", "rim", "gel", "clamshell", "background-light", "decline"}

// Faults are the signs that can be seen on a face or a frame (trade handbook
// §2 and §4).
var Faults = []string{
	"glass-reflection",
	"dark-sockets", "dead-eyes", "hot-forehead", "hot-nose", "blown-hair", "squint", "dappled-face", "half-dark-face", "long-nose-shadow", "hard-nose-shadow",
	"chin-shadow", "flat-face", "light-from-below", "green-skin", "tinted-skin", "blue-skin", "mixed-light", "grey-skin", "chalky-skin",
	"glasses-glare", "double-catchlight", "bright-hands", "dark-face", "bright-background", "dark-background", "two-shadows", "flicker-bands", "skin-shine",
	"ghosting", "flashy", "half-lit-panel", "hot-spot", "panel-in-frame", "wall-shadow", "uneven-group", "dark-back-row", "black-stripe", "no-fire", "motion-blur",
	"bright-face", "veiling-flare", "flash-spill", "low-catchlight", "rim-on-nose", "wide-face", "narrow-face", "uneven-frames", "orange-background", "weak-flash", "slow-flash",
}

// Hazards are the dangers and the unsafe requests that cautions read. They
// are words of ours: the contract's limits say what constrains a set-up,
// these say what could hurt someone.
var Hazards = []string{
	// places, permissions, people in charge
	"public-place", "private-place", "indoors", "outdoors", "permit", "venue-said-no", "do-it-anyway", "official", "says-move", "told-to-stop", "flash-not-brought",
	// weather
	"thunder", "thunder-forecast", "wet-ground", "wind-question", "strong-wind", "sail-pulls", "in-lee",
	// what a wind takes hold of
	"on-stand", "in-hand", "raised-sail", "stand-question",
	// electricity
	"mains", "mains-protected", "mains-unprotected", "generator", "wet-unit", "damaged-cell", "cells-by-air", "cable-crossing",
	// wires overhead
	"overhead-line", "rail-wire", "raised-pole", "on-a-ladder", "clear-of-lines",
	// those who must not be dazzled or startled
	"operators", "aim-at-operators", "toward-operators", "light-on-somebody", "at-the-controls", "platform", "duty-animal", "livestock",
	// drops, water, roads
	"drop", "by-edge", "guarded", "unguarded", "clear-of-edge", "lean-out", "go-to-edge", "walks-backwards", "kerb", "on-carriageway", "road-closed",
	// people in front of the camera
	"minor", "school", "guardian-absent", "mother-away", "father-away", "guardian-present", "leader-present", "adult-named", "declined", "no-consent", "identity-hidden",
	"rapid-flashes", "strobing", "burst", "slow-burst", "flash-asked",
	"close-to-eyes", "infant", "direct-at-infant", "light-in-eyes", "into-eyes", "mirror", "look-at-sun", "sun-in-lens",
	// passers-by
	"way-out", "blocks-exit", "narrow-path",
	// bodies
	"heat-illness", "deep-chill", "hot-kit",
}

// Acts are the hazards that someone asks for or does: they belong to the one
// message. The others are how things stand, and stay so until told otherwise.
var Acts = []string{
	"do-it-anyway", "official", "says-move", "told-to-stop", "wind-question", "stand-question", "aim-at-operators", "toward-operators", "light-on-somebody", "on-a-ladder",
	"lean-out", "go-to-edge", "walks-backwards", "on-carriageway", "rapid-flashes", "strobing", "burst", "slow-burst", "flash-asked", "close-to-eyes", "direct-at-infant", "light-in-eyes",
	"into-eyes", "look-at-sun", "sun-in-lens", "blocks-exit", "cells-by-air", "cable-crossing",
}

// Asks are the kinds of answer a message can ask for, besides a set-up. The
// last row is what a follow-up can say of the answer before it.
var Asks = []string{
	"meaning", "why", "safety", "number", "change", "save", "list", "recall", "forget", "drill", "plan", "help", "permission", "script", "hands",
	"undo", "redo", "again", "restart", "keep-it", "what-if", "more", "less", "other-side", "moved", "cost", "first",
}

// DayTraits say what a planned day is like: which light its slots have, what
// their set-ups are made of, what is known of it.
var DayTraits = []string{
	"overhead-light", "low-sun", "twilight", "night", "polar-day", "polar-night", "outdoors", "indoors", "long",
	"flash", "panel", "has-slots",
}

// Turns are the moves that a message asks for by name.
var Turns = []string{
	"power-up", "power-down", "power-to", "shutter-slower", "shutter-faster", "aperture-wider", "aperture-smaller", "iso-up", "iso-down", "exposure-up", "exposure-down",
	"key-closer", "key-farther", "key-up", "key-down", "key-out", "key-in", "key-other-side", "feather-more", "feather-less", "zoom-wider", "zoom-longer", "flash-back", "flash-nearer",
	"fill-in", "fill-out", "fill-off", "black-in", "gel-on", "gel-off", "filter-on", "filter-off", "tighter", "looser", "off-the-wall", "hss-on", "hss-off",
	"light-down", "light-up", "sky-down", "sky-up", "cloud-over", "sun-out", "flash-lost", "flash-more", "one-more", "restless", "only-this", "only-daylight", "she-is-back", "he-is-back", // not asked for: it happened
}

var byPath, byName = index()

func index() (path, name map[string]*Fact) {
	path, name = map[string]*Fact{}, map[string]*Fact{}
	for i := range Table {
		path[Table[i].Path], name[Table[i].Name] = &Table[i], &Table[i]
	}
	return path, name
}

// Lookup finds a fact by its path.
func Lookup(path string) (*Fact, bool) { f, ok := byPath[path]; return f, ok }

// Named finds a fact by its name in conditions.
func Named(name string) (*Fact, bool) { f, ok := byName[name]; return f, ok }
