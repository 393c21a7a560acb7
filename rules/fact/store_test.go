package fact

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestSetIsKept: what a thread knows is the same after a store has had it.
func TestSetIsKept(t *testing.T) {
	s := &Set{}
	s.Put("light.kind", Value{Text: "canopy", Origin: Said})
	s.Put("light.ev100", Value{Number: 9.5, Origin: Kept})
	s.Put("subject.moving", Value{Flag: true, Origin: Assumed})
	s.Add("wants", "softer", Value{Origin: Kept})
	s.Add("wants", "warmer", Value{Origin: Said})
	s.SetKit([]Item{{Kind: "panel", Count: 2, SizeM: 1.016, Surfaces: []string{"white"}, Origin: FromKit}})
	s.Deny("wind", Span{3, 7})
	data, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	back := &Set{}
	if err := json.Unmarshal(data, back); err != nil {
		t.Fatal(err)
	}
	s.denied["wind"] = Span{} // the message is gone
	if diff := cmp.Diff(s, back, cmp.AllowUnexported(Set{})); diff != "" {
		t.Errorf("kept and read back (-was +is):\n%s", diff)
	}
	if HeardJSON(back)["denied"] == nil {
		t.Error("what was denied is lost")
	}
}

// TestOldSetOpens: a fact that the table no longer has does not lock a thread.
func TestOldSetOpens(t *testing.T) {
	s := &Set{}
	if err := json.Unmarshal([]byte(`{"values":{"light.kind":{"t":"sun"},"light.gone":{"n":1}},"lists":{"gone":{"x":{}}}}`), s); err != nil {
		t.Fatal(err)
	}
	if v, ok := s.Get("light.kind"); !ok || v.Text != "sun" {
		t.Errorf("light.kind is %v", v)
	}
	if _, ok := s.Get("light.gone"); ok {
		t.Error("an unknown fact was kept")
	}
	if err := json.Unmarshal([]byte(`{"values":7}`), s); err == nil {
		t.Error("nonsense was read")
	}
}
