package fact

import (
	"encoding/json"
	"testing"
)

func TestHeardJSON(t *testing.T) {
	s := &Set{}
	s.Put("light.kind", Value{Text: "canopy"})
	s.Put("light.ev100", Value{Number: 10})
	s.Put("subject.moving", Value{Flag: false})
	s.Add("wants", "warmer", Value{})
	s.Add("wants", "softer", Value{})
	s.SetKit([]Item{{Kind: "flash", Count: 1}, {Kind: "panel", SizeM: 1.016, Surfaces: []string{"white"}}})
	s.Deny("wind", Span{})
	got, err := json.Marshal(HeardJSON(s))
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"denied":["wind"],"kit":[{"kind":"flash","count":1},{"kind":"panel","size_m":1.016,"surfaces":["white"]}],"light":{"ev100":10,"kind":"canopy"},"subject":{"moving":false},"wants":["softer","warmer"]}`
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if len(HeardJSON(&Set{})) != 0 {
		t.Error("a set that knows nothing has something to tell")
	}
}
