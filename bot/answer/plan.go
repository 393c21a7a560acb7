package answer

// A Plan is the day ahead. Times are RFC 3339 where the date is known, hours
// and minutes where it is not.
type Plan struct {
	Date      string   `json:"date,omitempty"` // YYYY-MM-DD
	Zone      string   `json:"zone,omitempty"` // of the clock that it is told in
	Place     string   `json:"place,omitempty"`
	Contact   string   `json:"contact,omitempty"`
	Call      string   `json:"call,omitempty"` // when the crew meets
	Sun       []Moment `json:"sun,omitempty"`
	Slots     []Slot   `json:"slots,omitempty"`
	Batteries *Battery `json:"batteries,omitempty"`
	Wind      []string `json:"wind,omitempty"`
	Rain      []string `json:"rain,omitempty"`
	Pack      []string `json:"pack,omitempty"`
	Missing   []string `json:"missing,omitempty"` // of what is to be packed, what the kit lacks
	Before    []string `json:"before,omitempty"`  // to be done before the day
	Notes     []string `json:"notes,omitempty"`
	Brief     string   `json:"brief,omitempty"` // 90 seconds for the helper

	Title string `json:"-"` // date, place and hours in one line
	Light string `json:"-"` // the sun's moments in one line
}

// A Moment is when the light changes.
type Moment struct {
	Name string `json:"name"` // sunrise · overhead-ends · low-sun · sunset · twilight-ends
	Time string `json:"time"`
}

// A Slot is a stretch of the day with its light and the set-up for it. The sun
// is where it stands in the slot's middle.
type Slot struct {
	From      string   `json:"from"`
	To        string   `json:"to"`
	Elevation float64  `json:"sun_elevation_deg"`
	Azimuth   float64  `json:"sun_azimuth_deg"`
	EV100     float64  `json:"ev100"`            // on a face toward the camera, in the light of Kind
	Spread    float64  `json:"ev100_plus_minus"` // how far it can be off
	Shade     *float64 `json:"ev100_shade,omitempty"`
	Kind      string   `json:"light_kind"`
	Setup     string   `json:"setup,omitempty"` // its title
	SetupID   string   `json:"setup_id,omitempty"`
	Dials     string   `json:"dials,omitempty"`
	Text      string   `json:"text"`
}

// A Battery is what the frames take.
type Battery struct {
	Frames float64 `json:"frames"`
	Power  float64 `json:"power"` // fraction of full
	Full   float64 `json:"full"`  // flashes at full power that they are worth
	Sets   int     `json:"sets"`  // charged sets that they empty; one more is the spare
	Text   string  `json:"text"`
}
