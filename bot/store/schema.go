package store

import (
	"context"
	"database/sql"
	"fmt"

	"panelhand/bot/memory"
)

// migrations bring a file's schema from one user_version to the next: the
// first makes an empty file version 1. One that has been released is never
// changed; a new one is added.
var migrations = []string{
	`CREATE TABLE records (
		id    INTEGER PRIMARY KEY AUTOINCREMENT,
		team  TEXT NOT NULL,
		venue TEXT NOT NULL,
		place TEXT NOT NULL DEFAULT '', -- the venue's key
		made  INTEGER NOT NULL,         -- microseconds since 1970
		body  TEXT NOT NULL             -- a memory.Record
	) STRICT;
	CREATE INDEX records_made ON records(team, made DESC, id DESC);
	CREATE INDEX records_place ON records(team, place, made DESC, venue DESC);
	CREATE VIRTUAL TABLE record_words USING fts5(team, title, place, light, wants, kit, words, content = '', contentless_delete = 1, prefix = '2 3');
	CREATE TABLE notes (
		id     INTEGER PRIMARY KEY AUTOINCREMENT,
		team   TEXT NOT NULL,
		venue  TEXT NOT NULL,
		place  TEXT NOT NULL,
		record INTEGER REFERENCES records(id) ON DELETE CASCADE,
		who    TEXT NOT NULL,
		made   INTEGER NOT NULL,
		text   TEXT NOT NULL
	) STRICT;
	CREATE INDEX notes_place ON notes(team, place, made DESC, venue DESC);
	CREATE INDEX notes_record ON notes(record);
	CREATE TABLE kit (
		team TEXT PRIMARY KEY,
		body TEXT NOT NULL -- a memory.KitList
	) STRICT;
	CREATE TABLE threads (
		team    TEXT NOT NULL,
		name    TEXT NOT NULL,
		version INTEGER NOT NULL,
		made    INTEGER NOT NULL,
		data    BLOB,
		PRIMARY KEY (team, name)
	) STRICT;
	CREATE TABLE messages (
		id     INTEGER PRIMARY KEY AUTOINCREMENT,
		team   TEXT NOT NULL,
		thread TEXT NOT NULL,
		who    TEXT NOT NULL,
		made   INTEGER NOT NULL,
		text   TEXT NOT NULL
	) STRICT;
	CREATE INDEX messages_thread ON messages(team, thread, id);
	CREATE INDEX messages_made ON messages(team, made);`,
	`CREATE TABLE training (
		team TEXT NOT NULL,
		who  TEXT NOT NULL,
		body TEXT NOT NULL, -- a drill.Progress
		PRIMARY KEY (team, who)
	) STRICT;`,

	`CREATE TABLE claims (
		key     TEXT PRIMARY KEY,
		message BLOB,
		post    BLOB, -- only between ready and finished
		receipt TEXT NOT NULL DEFAULT '',
		touched INTEGER NOT NULL
	) STRICT;
	CREATE INDEX claims_open ON claims(touched, key) WHERE receipt = '';
	CREATE INDEX claims_touched ON claims(touched);
	CREATE TABLE reports (
		id   INTEGER PRIMARY KEY AUTOINCREMENT,
		team TEXT NOT NULL,
		made INTEGER NOT NULL,
		said TEXT NOT NULL, -- the message whose answer was wrong
		what TEXT NOT NULL  -- what was wrong with it
	) STRICT;`,

	// Reports become drafts: of cases to mend.
	`CREATE TABLE drafts (
		id   INTEGER PRIMARY KEY AUTOINCREMENT,
		team TEXT NOT NULL,
		made INTEGER NOT NULL,
		body TEXT NOT NULL -- a memory.Draft
	) STRICT;
	CREATE INDEX drafts_team ON drafts(team, id);
	INSERT INTO drafts(team, made, body)
		SELECT team, made, json_object('Kind', 'mend', 'Why', what, 'Said', json_array(said)) FROM reports ORDER BY id;
	DROP TABLE reports;`,
}

// schemaVersion is the user_version of a file that this program has written.
func schemaVersion() int { return len(migrations) }

// migrate brings the schema up to date in one transaction, so that two
// processes that start at once do it once.
func (s *Store) migrate(ctx context.Context) error {
	var version int
	if err := s.db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&version); err != nil {
		return err
	}
	if version == schemaVersion() {
		return nil
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		if err := tx.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&version); err != nil {
			return err
		}
		if version > schemaVersion() {
			return newer(s.path, version)
		}
		for _, step := range migrations[version:] {
			if _, err := tx.ExecContext(ctx, step); err != nil {
				return fmt.Errorf("schema %d: %w", version+1, err)
			}
			version++
		}
		_, err := tx.ExecContext(ctx, fmt.Sprintf(`PRAGMA user_version = %d`, version))
		return err
	})
}

// newer is the fault of a file that a later panelhand has written.
func newer(path string, version int) error {
	return &memory.Fault{
		Calm:  path + " was written by a newer panelhand. Nothing in it was changed; use that newer one.",
		Cause: fmt.Errorf("schema %d, this program knows up to %d", version, schemaVersion()),
	}
}
