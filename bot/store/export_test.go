package store

import (
	"context"
	"database/sql"
	"fmt"

	"panelhand/bot/memory"
)

// Migrations are the steps of the schema.
func Migrations() []string { return migrations }

// LimitPages makes the file full at so many pages, for the connection that
// writes.
func (s *Store) LimitPages(n int) error {
	_, err := s.writes.Exec(fmt.Sprintf(`PRAGMA max_page_count = %d`, n))
	return err
}

// SaveAll keeps many records in one transaction.
func (s *Store) SaveAll(ctx context.Context, team string, records []memory.Record) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		for _, r := range records {
			done, err := tx.ExecContext(ctx, `INSERT INTO records(team, venue, made, body) VALUES (?, '', 0, '')`, team)
			if err != nil {
				return err
			}
			if r.ID, err = done.LastInsertId(); err != nil {
				return err
			}
			if err := putRecord(ctx, tx, team, r); err != nil {
				return err
			}
		}
		return nil
	})
}
