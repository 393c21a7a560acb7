package store

import (
	"context"
	"database/sql"
	"encoding/json"

	"panelhand/bot/memory"
)

// AddDraft implements memory.Store.
func (s *Store) AddDraft(ctx context.Context, team string, d memory.Draft) (id int64, err error) {
	when := stamp(d.When)
	d.ID, d.When = 0, unstamp(0) // both have columns
	body, err := json.Marshal(d)
	if err != nil {
		return 0, err
	}
	err = s.change(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `INSERT INTO drafts(team, made, body) VALUES (?, ?, ?)`, team, when, string(body))
		if err != nil {
			return err
		}
		id, err = done.LastInsertId()
		return err
	})
	return id, err
}

// Drafts implements memory.Store.
func (s *Store) Drafts(ctx context.Context, team string) ([]memory.Draft, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT id, made, body FROM drafts WHERE team = ? ORDER BY id`, team)
	if err != nil {
		return nil, s.fault(err)
	}
	defer rows.Close()
	var all []memory.Draft
	for rows.Next() {
		d, err := draft(rows.Scan)
		if err != nil {
			return nil, s.fault(err)
		}
		all = append(all, d)
	}
	return all, s.fault(rows.Err())
}

func draft(scan func(...any) error) (d memory.Draft, err error) {
	var id, made int64
	var body string
	if err := scan(&id, &made, &body); err != nil {
		return d, err
	}
	err = json.Unmarshal([]byte(body), &d)
	d.ID, d.When = id, unstamp(made)
	return d, err
}

// DeleteDraft implements memory.Store.
func (s *Store) DeleteDraft(ctx context.Context, team string, id int64) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `DELETE FROM drafts WHERE team = ? AND id = ?`, team, id)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return memory.ErrNone
	})
}

func forgetDrafts(ctx context.Context, tx *sql.Tx, team, name string) (int, error) {
	var drafts []int64
	err := each(ctx, tx, `SELECT id, made, body FROM drafts WHERE team = ?`, team, func(scan func(...any) error) error {
		d, err := draft(scan)
		if err == nil && d.Names(name) {
			drafts = append(drafts, d.ID)
		}
		return err
	})
	if err != nil {
		return 0, err
	}
	return len(drafts), deleteAll(ctx, tx, "drafts", drafts)
}
