package store

import (
	"context"
	"database/sql"
	"time"
)

// A Report is an answer that somebody found wrong, for the playbook's owner.
type Report struct {
	When time.Time
	Said string // the message that was answered
	What string // what was wrong, in their words; may be empty
}

// AddReport keeps a report.
func (s *Store) AddReport(ctx context.Context, team string, r Report) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO reports(team, made, said, what) VALUES (?, ?, ?, ?)`, team, stamp(r.When), r.Said, r.What)
		return err
	})
}

// Reports are a team's reports, the oldest first.
func (s *Store) Reports(ctx context.Context, team string) ([]Report, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT made, said, what FROM reports WHERE team = ? ORDER BY id`, team)
	if err != nil {
		return nil, s.fault(err)
	}
	defer rows.Close()
	var all []Report
	for rows.Next() {
		var r Report
		var made int64
		if err := rows.Scan(&made, &r.Said, &r.What); err != nil {
			return nil, s.fault(err)
		}
		r.When = unstamp(made)
		all = append(all, r)
	}
	return all, s.fault(rows.Err())
}
