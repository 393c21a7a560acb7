package store

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"panelhand/bot/channel"
)

// Claims are what channels have taken on, kept in the same file: an answer is
// as lasting as the memory it was given from.
func (s *Store) Claims() channel.Claims { return claims{s} }

type claims struct{ *Store }

// Claim implements channel.Claims.
func (c claims) Claim(ctx context.Context, key string, message []byte, now time.Time) (fresh bool, err error) {
	err = c.change(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `INSERT INTO claims(key, message, touched) VALUES (?, ?, ?) ON CONFLICT DO NOTHING`, key, message, stamp(now))
		if err != nil {
			return err
		}
		n, err := done.RowsAffected()
		fresh = n > 0
		return err
	})
	return fresh && err == nil, err
}

// Ready implements channel.Claims.
func (c claims) Ready(ctx context.Context, post []byte, now time.Time, keys ...string) error {
	return c.touch(ctx, `post = ?`, post, now, keys)
}

// Finish implements channel.Claims.
func (c claims) Finish(ctx context.Context, receipt string, now time.Time, keys ...string) error {
	return c.touch(ctx, `post = NULL, receipt = ?`, receipt, now, keys)
}

func (c claims) touch(ctx context.Context, set string, value any, now time.Time, keys []string) error {
	if len(keys) == 0 {
		return nil
	}
	args := []any{value, stamp(now)}
	for _, k := range keys {
		args = append(args, k)
	}
	return c.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE claims SET `+set+`, touched = ? WHERE key IN (?`+strings.Repeat(`, ?`, len(keys)-1)+`)`, args...)
		return err
	})
}

const claimQuery = `SELECT key, message, post, receipt, touched FROM claims WHERE `

func claim(scan func(...any) error) (k channel.Claim, err error) {
	var touched int64
	err = scan(&k.Key, &k.Message, &k.Post, &k.Receipt, &touched)
	k.Touched = unstamp(touched)
	return k, err
}

// Find implements channel.Claims.
func (c claims) Find(ctx context.Context, key string) (channel.Claim, bool, error) {
	k, err := claim(c.db.QueryRowContext(ctx, claimQuery+`key = ?`, key).Scan)
	if errors.Is(err, sql.ErrNoRows) {
		return channel.Claim{}, false, nil
	}
	return k, err == nil, c.fault(err)
}

// Unfinished implements channel.Claims.
func (c claims) Unfinished(ctx context.Context) ([]channel.Claim, error) {
	rows, err := c.db.QueryContext(ctx, claimQuery+`receipt = '' ORDER BY touched, key`)
	if err != nil {
		return nil, c.fault(err)
	}
	defer rows.Close()
	var open []channel.Claim
	for rows.Next() {
		k, err := claim(rows.Scan)
		if err != nil {
			return nil, c.fault(err)
		}
		open = append(open, k)
	}
	return open, c.fault(rows.Err())
}

// Forget implements channel.Claims.
func (c claims) Forget(ctx context.Context, before time.Time) error {
	return c.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM claims WHERE touched < ?`, stamp(before))
		return err
	})
}
