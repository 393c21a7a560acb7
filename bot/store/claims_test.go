package store_test

import (
	"testing"
	"time"

	"panelhand/bot/channel"
	"panelhand/bot/channel/channeltest"
	"panelhand/bot/memory"
	"panelhand/bot/store"
	"panelhand/rules/fact"
)

func TestStoreIsClaims(t *testing.T) {
	channeltest.Claims(t, func(t *testing.T) channel.Claims { return open(t, file(t)).Claims() })
}

// TestClaimsLast: two processes with one file claim a key once, and a claim
// outlives the program.
func TestClaimsLast(t *testing.T) {
	path := file(t)
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	one, other := open(t, path), open(t, path)
	if ok, err := one.Claims().Claim(t.Context(), "k", []byte("said"), now); !ok || err != nil {
		t.Fatal(ok, err)
	}
	if ok, err := other.Claims().Claim(t.Context(), "k", nil, now); ok || err != nil {
		t.Errorf("claimed twice: %v, %v", ok, err)
	}
	one.Close()
	other.Close()
	left, err := open(t, path).Claims().Unfinished(t.Context())
	if err != nil || len(left) != 1 || string(left[0].Message) != "said" {
		t.Errorf("after the end: %+v, %v", left, err)
	}
}

// TestOlderSchema: a file of the first panelhand is brought up to date with
// everything in it.
func TestOlderSchema(t *testing.T) {
	path := file(t)
	raw(t, path, store.Migrations()[0]+`; PRAGMA user_version = 1`)
	raw(t, path, `INSERT INTO kit(team, body) VALUES ('tide', '{"items":[{"kind":"flash"}]}')`)
	s := open(t, path)
	kit, err := s.Kit(t.Context(), "tide")
	if err != nil || len(kit.Items) != 1 || kit.Items[0].Kind != "flash" {
		t.Errorf("the kit became %+v, %v", kit, err)
	}
	if ok, err := s.Claims().Claim(t.Context(), "k", nil, time.Time{}); !ok || err != nil {
		t.Errorf("no claims: %v, %v", ok, err)
	}
	if err := s.ChangeKit(t.Context(), "tide", func(k *memory.KitList) error {
		k.Items = append(k.Items, fact.Item{Kind: "panel"})
		return nil
	}); err != nil {
		t.Error(err)
	}
}
