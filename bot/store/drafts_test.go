package store_test

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"panelhand/bot/memory"
	"panelhand/bot/store"
)

// Answers that were reported as wrong before there were drafts wait for a lead
// like those of today.
func TestReportsBecomeDrafts(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	raw(t, path, strings.Join(store.Migrations()[:3], ";\n")+`;
		INSERT INTO reports(team, made, said, what) VALUES ('tide', 1777716000000000, 'flash “bare”, dusk', 'blown cheek'), ('others', 0, 'x', ''), ('tide', 0, 'two', '');
		PRAGMA user_version = 3`)
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	got, err := s.Drafts(context.Background(), "tide")
	if err != nil || len(got) != 2 {
		t.Fatalf("%d drafts, %v", len(got), err)
	}
	if d := got[0]; d.Kind != memory.DraftMend || d.Why != "blown cheek" || len(d.Said) != 1 || d.Said[0] != "flash “bare”, dusk" || !d.When.Equal(time.Date(2026, 5, 2, 10, 0, 0, 0, time.UTC)) {
		t.Errorf("the first is %+v", d)
	}
	if d := got[1]; d.Said[0] != "two" || !d.When.IsZero() {
		t.Errorf("the second is %+v", d)
	}
}
