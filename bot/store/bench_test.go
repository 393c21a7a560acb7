package store_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"panelhand/bot/memory"
	"panelhand/bot/store"
)

// filled is a store with n records of a team and as many of another's.
func filled(t testing.TB, n int) *store.Store {
	t.Helper()
	random := rand.New(rand.NewPCG(1, 2))
	pick := func(all ...string) string { return all[random.IntN(len(all))] }
	var records []memory.Record
	for i := range n {
		records = append(records, memory.Record{
			Title: fmt.Sprintf("%s %d", pick("Roof", "Quay", "Hall", "Kiosk"), i), When: time.Unix(int64(i)*3600, 0).UTC(),
			Venue: pick("Harbour Market", "Station Hall", "Rooftop Garden"),
			Light: []string{pick("dusk", "street night", "canopy", "sun", "window")}, Wants: []string{pick("softer", "brighter eyes", "darker background")},
			Kit: []string{"flash", pick("panel", "umbrella", "led")}, Said: []string{pick("dark hair, black coat", "two people, hats", "windy, one helper") + ", flash + panel, softer"},
			Numbers: map[string]float64{"iso": 400, "aperture": 5.6, "shutter_s": 0.005, "flash_power": 0.125},
		})
	}
	s := open(t, file(t))
	for _, team := range []string{"tide", "other"} {
		if err := s.SaveAll(ctx, team, records); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

var nightQuery = memory.Query{Terms: []memory.Term{{Word: "night"}, {Word: "dark"}, {Word: "hair"}}, Limit: 10}

// TestSearchIsQuick searches 10,000 records of a team in a file with as many
// of another's: the median stays under 20 ms.
func TestSearchIsQuick(t *testing.T) {
	if testing.Short() || raceDetector {
		t.Skip("times the search in a store of 20,000 records")
	}
	s := filled(t, 10000)
	queries := []memory.Query{
		nightQuery,
		{Terms: []memory.Term{{Word: "flash"}}, Limit: 10},                                 // in every record
		{Terms: []memory.Term{{Word: "roof"}, {Word: "hall"}}, Any: true, Limit: 10},       // in most
		{Terms: []memory.Term{{In: memory.InLight, Word: "dusk"}}, Limit: 10},              // in a fifth
		{Terms: []memory.Term{{Word: "nowhere"}}, Limit: 10},                               // in none
		{Venue: "station hall", Limit: 10, Terms: []memory.Term{{Word: "w"}, {Word: "h"}}}, // one letter
	}
	for _, q := range queries {
		var took []time.Duration
		found := 0
		for range 11 {
			start := time.Now()
			records, err := s.Records(ctx, "tide", q)
			if err != nil {
				t.Fatal(err)
			}
			took, found = append(took, time.Since(start)), len(records)
		}
		slices.Sort(took)
		median := took[len(took)/2]
		t.Logf("%v: %d found, median %v", q.Terms, found, median)
		if median > 20*time.Millisecond {
			t.Errorf("%v takes %v", q.Terms, median)
		}
	}
}

func BenchmarkSearch(b *testing.B) {
	s := filled(b, 10000)
	for b.Loop() {
		if _, err := s.Records(ctx, "tide", nightQuery); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSaveRecord(b *testing.B) {
	s := open(b, file(b))
	for b.Loop() {
		save(b, s, "one more")
	}
}

func BenchmarkOpen(b *testing.B) {
	path := file(b)
	s := open(b, path)
	save(b, s, "one")
	for b.Loop() {
		again, err := store.Open(path)
		if err != nil {
			b.Fatal(err)
		}
		again.Close()
	}
}
