// Package store keeps what the coach remembers in one SQLite file: pure Go, no
// server, one file to copy. It is the lasting memory.Store.
//
// A write that has returned is in the file: the journal is flushed to the disk
// before a call returns. The file is read and checked before anything is ever
// written to it; one that is damaged, or that a newer panelhand made, is left
// exactly as it is.
package store

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"modernc.org/sqlite" // the driver, and its errors

	"panelhand/bot/drill"
	"panelhand/bot/memory"
)

// patience is how long a call waits for another process.
const patience = 5 * time.Second

// A Store is one open file. It is safe for concurrent use, and several
// processes may have the same file open.
type Store struct {
	db     *sql.DB // what reads
	writes *sql.DB // what writes: one connection, so that this process's writes go in turn
	path   string
}

var _ memory.Store = (*Store)(nil)

// Open opens the file, makes it where there is none, and brings its schema up
// to date. Errors are memory.Faults: a damaged file (a copy of it is kept aside
// and the way back is named), a file of a newer panelhand, a folder that cannot
// be written.
func Open(path string) (*Store, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, &memory.Fault{Calm: "I can't make the folder " + filepath.Dir(path) + " for what I keep. Point PANELHAND_STORE at a place I may write to.", Cause: err}
	}
	if err := sound(path); err != nil {
		return nil, err
	}
	s := &Store{path: path}
	var err error
	if s.db, err = sql.Open("sqlite", dsn(path, "rwc", patience)); err != nil {
		return nil, s.fault(err)
	}
	s.db.SetMaxOpenConns(4)
	if s.writes, err = sql.Open("sqlite", dsn(path, "rwc", 0)); err != nil {
		s.db.Close()
		return nil, s.fault(err)
	}
	s.writes.SetMaxOpenConns(1)
	// The first of several to open a new file turns its journal on, and SQLite
	// sends the others away at once rather than let them wait.
	if err := insist(context.Background(), func() error { return s.migrate(context.Background()) }); err != nil {
		s.Close()
		return nil, s.fault(err)
	}
	return s, nil
}

// insist calls f again while another process is in its way. SQLite's own wait
// sleeps ten times as long after a few refusals, and a process that writes
// without a pause then keeps a sleeper out for all of it; here it asks every
// few milliseconds, at uneven times so that two who wait do not march in step.
func insist(ctx context.Context, f func() error) error {
	enough := time.After(patience)
	for {
		err := f()
		if !busy(err) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-enough:
			return err
		case <-time.After(time.Millisecond + rand.N(4*time.Millisecond)):
		}
	}
}

// dsn is the address of a file with the settings that make writes last. Every
// transaction takes the write lock at its beginning, so that none has to be
// rolled back for having read too early. A refused call is tried again by SQLite
// for as long as wait says.
func dsn(path, mode string, wait time.Duration) string {
	q := url.Values{"mode": {mode}}
	q["_pragma"] = []string{fmt.Sprintf("busy_timeout(%d)", wait.Milliseconds()), "foreign_keys(1)"}
	if mode != "ro" {
		q.Set("_txlock", "immediate")
		q["_pragma"] = append(q["_pragma"], "journal_mode(WAL)", "synchronous(FULL)")
	}
	return (&url.URL{Scheme: "file", Opaque: escaped(path), RawQuery: q.Encode()}).String()
}

// escaped is a path as SQLite's file addresses want it.
func escaped(path string) string {
	return strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(filepath.ToSlash(path))
}

// Close closes the file.
func (s *Store) Close() error { return errors.Join(s.writes.Close(), s.db.Close()) }

// change runs f in one transaction; it is kept where f returns no error.
func (s *Store) change(ctx context.Context, f func(*sql.Tx) error) error {
	var tx *sql.Tx
	err := insist(ctx, func() (err error) {
		tx, err = s.writes.BeginTx(ctx, nil)
		return err
	})
	if err != nil {
		return s.fault(err)
	}
	if err := f(tx); err != nil {
		_ = tx.Rollback() // the first error says more
		return s.fault(err)
	}
	return s.fault(tx.Commit())
}

// stamp is a time as it is filed: order and equality of the numbers are those
// of the times.
func stamp(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

func unstamp(n int64) time.Time {
	if n == 0 {
		return time.Time{}
	}
	return time.UnixMicro(n).UTC()
}

// SaveRecord implements memory.Store.
func (s *Store) SaveRecord(ctx context.Context, team string, r memory.Record) (int64, error) {
	err := s.change(ctx, func(tx *sql.Tx) error {
		if r.ID == 0 {
			done, err := tx.ExecContext(ctx, `INSERT INTO records(team, venue, made, body) VALUES (?, '', 0, '')`, team)
			if err != nil {
				return err
			}
			if r.ID, err = done.LastInsertId(); err != nil {
				return err
			}
		}
		return putRecord(ctx, tx, team, r)
	})
	if err != nil {
		return 0, err
	}
	return r.ID, nil
}

// putRecord writes a record that has its number, and files its words.
func putRecord(ctx context.Context, tx *sql.Tx, team string, r memory.Record) error {
	body, err := json.Marshal(r)
	if err != nil {
		return err
	}
	done, err := tx.ExecContext(ctx, `UPDATE records SET venue = ?, place = ?, made = ?, body = ? WHERE team = ? AND id = ?`, r.Venue, memory.Key(r.Venue), stamp(r.When), string(body), team, r.ID)
	if err := touched(done, err); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM record_words WHERE rowid = ?`, r.ID); err != nil {
		return err
	}
	args := []any{r.ID, teamWord(team)}
	for _, f := range memory.Fields {
		args = append(args, strings.Join(r.Words(f), " "))
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO record_words(rowid, team, title, place, light, wants, kit, words) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`, args...)
	return err
}

// teamWord is a team's name as one word of the search index.
func teamWord(team string) string { return fmt.Sprintf("t%x", team) }

// touched turns a change that met no row into ErrNone.
func touched(done sql.Result, err error) error {
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n > 0 {
		return err
	}
	return memory.ErrNone
}

// Records implements memory.Store.
func (s *Store) Records(ctx context.Context, team string, q memory.Query) ([]memory.Record, error) {
	ask := `SELECT id, body FROM records WHERE team = ?`
	args := []any{team}
	if q.ID != 0 {
		ask, args = ask+` AND id = ?`, append(args, q.ID)
	}
	if q.Venue != "" {
		ask, args = ask+` AND place = ?`, append(args, memory.Key(q.Venue))
	}
	if len(q.Terms) > 0 {
		ask, args = ask+` AND id IN (SELECT rowid FROM record_words WHERE record_words MATCH ?)`, append(args, match(team, q))
	}
	ask += ` ORDER BY made DESC, id DESC`
	if q.Limit > 0 {
		ask, args = ask+` LIMIT ?`, append(args, q.Limit)
	}
	rows, err := s.db.QueryContext(ctx, ask, args...)
	if err != nil {
		return nil, s.fault(err)
	}
	defer rows.Close()
	var found []memory.Record
	for rows.Next() {
		var id int64
		var body string
		var r memory.Record
		if err := rows.Scan(&id, &body); err != nil {
			return nil, s.fault(err)
		}
		if err := json.Unmarshal([]byte(body), &r); err != nil {
			return nil, s.fault(err)
		}
		r.ID = id
		found = append(found, r)
	}
	return found, s.fault(rows.Err())
}

// match is a query in the search index's own language. Terms are cut into
// bare words first, so that nothing typed is ever read as that language.
func match(team string, q memory.Query) string {
	var terms []string
	for _, t := range q.Terms {
		for _, w := range memory.Tokens(t.Word) {
			term := `"` + w + `"*`
			if t.In == memory.Anywhere {
				term = `{title place light wants kit words} : ` + term
			} else if slices.Contains(memory.Fields, t.In) {
				term = string(t.In) + ` : ` + term
			}
			terms = append(terms, "("+term+")")
		}
	}
	join := " AND "
	if q.Any {
		join = " OR "
	}
	ours := `team : "` + teamWord(team) + `"`
	if len(terms) == 0 {
		return ours
	}
	return ours + " AND (" + strings.Join(terms, join) + ")"
}

// DeleteRecord implements memory.Store.
func (s *Store) DeleteRecord(ctx context.Context, team string, id int64) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		if err := touched(tx.ExecContext(ctx, `DELETE FROM records WHERE team = ? AND id = ?`, team, id)); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM record_words WHERE rowid = ?`, id)
		return err
	})
}

// AddNote implements memory.Store.
func (s *Store) AddNote(ctx context.Context, team string, n memory.Note) (id int64, err error) {
	err = s.change(ctx, func(tx *sql.Tx) error {
		var of any
		if n.Record != 0 {
			var ours int
			err := tx.QueryRowContext(ctx, `SELECT count(*) FROM records WHERE team = ? AND id = ?`, team, n.Record).Scan(&ours)
			if err != nil {
				return err
			}
			if ours == 0 {
				return memory.ErrNone
			}
			of = n.Record
		}
		done, err := tx.ExecContext(ctx, `INSERT INTO notes(team, venue, place, record, who, made, text) VALUES (?, ?, ?, ?, ?, ?, ?)`,
			team, n.Venue, memory.Key(n.Venue), of, n.Who, stamp(n.When), n.Text)
		if err != nil {
			return err
		}
		id, err = done.LastInsertId()
		return err
	})
	return id, err
}

// Notes implements memory.Store.
func (s *Store) Notes(ctx context.Context, team string, q memory.NoteQuery) ([]memory.Note, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT id, venue, ifnull(record, 0), who, made, text FROM notes
		WHERE team = ? AND (? = '' OR place = ?) AND (? = 0 OR record = ?) ORDER BY made DESC, id DESC`,
		team, memory.Key(q.Venue), memory.Key(q.Venue), q.Record, q.Record)
	if err != nil {
		return nil, s.fault(err)
	}
	defer rows.Close()
	var found []memory.Note
	for rows.Next() && (q.Limit == 0 || len(found) < q.Limit) {
		var n memory.Note
		var made int64
		if err := rows.Scan(&n.ID, &n.Venue, &n.Record, &n.Who, &made, &n.Text); err != nil {
			return nil, s.fault(err)
		}
		n.When = unstamp(made)
		if q.Matches(n) {
			found = append(found, n)
		}
	}
	return found, s.fault(rows.Err())
}

// DeleteNote implements memory.Store.
func (s *Store) DeleteNote(ctx context.Context, team string, id int64) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		return touched(tx.ExecContext(ctx, `DELETE FROM notes WHERE team = ? AND id = ?`, team, id))
	})
}

// Venues implements memory.Store. It steps from place to place along an index
// rather than read every record: each message asks for it.
func (s *Store) Venues(ctx context.Context, team string) ([]string, error) {
	type named struct {
		made  int64
		venue string
	}
	newest := map[string]named{}
	for _, table := range []string{"notes", "records"} {
		rows, err := s.db.QueryContext(ctx, `WITH RECURSIVE places(place) AS (
				SELECT min(place) FROM `+table+` WHERE team = ?1 AND place > ''
				UNION ALL
				SELECT (SELECT min(place) FROM `+table+` WHERE team = ?1 AND place > places.place) FROM places WHERE place IS NOT NULL)
			SELECT place, (SELECT venue FROM `+table+` AS t WHERE t.team = ?1 AND t.place = places.place ORDER BY made DESC, venue DESC LIMIT 1),
				(SELECT max(made) FROM `+table+` AS t WHERE t.team = ?1 AND t.place = places.place)
			FROM places WHERE place IS NOT NULL`, team)
		if err != nil {
			return nil, s.fault(err)
		}
		for rows.Next() {
			var place string
			var n named
			if err := rows.Scan(&place, &n.venue, &n.made); err != nil {
				rows.Close()
				return nil, s.fault(err)
			}
			if old, ok := newest[place]; !ok || cmp.Or(cmp.Compare(n.made, old.made), cmp.Compare(n.venue, old.venue)) > 0 {
				newest[place] = n
			}
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return nil, s.fault(err)
		}
	}
	var all []string
	for _, place := range slices.Sorted(maps.Keys(newest)) {
		all = append(all, newest[place].venue)
	}
	return all, nil
}

// Kit implements memory.Store.
func (s *Store) Kit(ctx context.Context, team string) (memory.KitList, error) {
	k, err := kitList(s.db.QueryRowContext(ctx, kitQuery, team))
	return k, s.fault(err)
}

const kitQuery = `SELECT body FROM kit WHERE team = ?`

func kitList(row *sql.Row) (k memory.KitList, err error) {
	var body string
	switch err := row.Scan(&body); {
	case errors.Is(err, sql.ErrNoRows):
		return k, nil
	case err != nil:
		return k, err
	}
	return k, json.Unmarshal([]byte(body), &k)
}

// ChangeKit implements memory.Store.
func (s *Store) ChangeKit(ctx context.Context, team string, change func(*memory.KitList) error) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		k, err := kitList(tx.QueryRowContext(ctx, kitQuery, team))
		if err != nil {
			return err
		}
		if err := change(&k); err != nil {
			return err
		}
		body, err := json.Marshal(k)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO kit(team, body) VALUES (?, ?) ON CONFLICT(team) DO UPDATE SET body = excluded.body`, team, string(body))
		return err
	})
}

// Training implements memory.Store.
func (s *Store) Training(ctx context.Context, team string) (map[string]drill.Progress, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT who, body FROM training WHERE team = ?`, team)
	if err != nil {
		return nil, s.fault(err)
	}
	defer rows.Close()
	people := map[string]drill.Progress{}
	for rows.Next() {
		var who, body string
		var p drill.Progress
		if err := rows.Scan(&who, &body); err != nil {
			return nil, s.fault(err)
		}
		if err := json.Unmarshal([]byte(body), &p); err != nil {
			return nil, s.fault(err)
		}
		people[who] = p
	}
	return people, s.fault(rows.Err())
}

// ChangeTraining implements memory.Store.
func (s *Store) ChangeTraining(ctx context.Context, team, person string, change func(drill.Progress) drill.Progress) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		var p drill.Progress
		var body string
		err := tx.QueryRowContext(ctx, `SELECT body FROM training WHERE team = ? AND who = ?`, team, person).Scan(&body)
		if err == nil {
			err = json.Unmarshal([]byte(body), &p)
		} else if errors.Is(err, sql.ErrNoRows) {
			err = nil
		}
		if err != nil {
			return err
		}
		after, err := json.Marshal(change(p))
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO training(team, who, body) VALUES (?, ?, ?) ON CONFLICT(team, who) DO UPDATE SET body = excluded.body`, team, person, string(after))
		return err
	})
}

// forgetTraining deletes a person's training.
func forgetTraining(ctx context.Context, tx *sql.Tx, team, name string) (n int, err error) {
	var people []string
	err = each(ctx, tx, `SELECT who FROM training WHERE team = ?`, team, func(scan func(...any) error) error {
		var who string
		if err := scan(&who); err != nil {
			return err
		}
		if memory.Named(who, name) {
			people = append(people, who)
		}
		return nil
	})
	for _, who := range people {
		if err == nil {
			_, err = tx.ExecContext(ctx, `DELETE FROM training WHERE team = ? AND who = ?`, team, who)
		}
	}
	return len(people), err
}

// Thread implements memory.Store.
func (s *Store) Thread(ctx context.Context, team, key string) (memory.ThreadState, error) {
	var state memory.ThreadState
	var made int64
	var data []byte
	err := s.db.QueryRowContext(ctx, `SELECT version, made, data FROM threads WHERE team = ? AND name = ?`, team, key).Scan(&state.Version, &made, &data)
	if errors.Is(err, sql.ErrNoRows) {
		return state, nil
	}
	state.When, state.Data = unstamp(made), data
	return state, s.fault(err)
}

// SaveThread implements memory.Store.
func (s *Store) SaveThread(ctx context.Context, team, key string, state memory.ThreadState) (int64, error) {
	err := s.change(ctx, func(tx *sql.Tx) error {
		var done sql.Result
		var err error
		if state.Version == 0 {
			done, err = tx.ExecContext(ctx, `INSERT INTO threads(team, name, version, made, data) VALUES (?, ?, 1, ?, ?) ON CONFLICT DO NOTHING`, team, key, stamp(state.When), []byte(state.Data))
		} else {
			done, err = tx.ExecContext(ctx, `UPDATE threads SET version = version + 1, made = ?, data = ? WHERE team = ? AND name = ? AND version = ?`,
				stamp(state.When), []byte(state.Data), team, key, state.Version)
		}
		if err := touched(done, err); errors.Is(err, memory.ErrNone) {
			return memory.ErrStale
		} else if err != nil {
			return err
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return state.Version + 1, nil
}

// DeleteThread implements memory.Store.
func (s *Store) DeleteThread(ctx context.Context, team, key string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM threads WHERE team = ? AND name = ?`, team, key); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM messages WHERE team = ? AND thread = ?`, team, key)
		return err
	})
}

// AddMessage implements memory.Store.
func (s *Store) AddMessage(ctx context.Context, team string, m memory.Message) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO messages(team, thread, who, made, text) VALUES (?, ?, ?, ?, ?)`, team, m.Thread, m.Who, stamp(m.When), m.Text)
		return err
	})
}

// Messages implements memory.Store.
func (s *Store) Messages(ctx context.Context, team, thread string) ([]memory.Message, error) {
	return s.messages(ctx, s.db, `team = ? AND thread = ?`, team, thread)
}

type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func (s *Store) messages(ctx context.Context, q querier, where string, args ...any) ([]memory.Message, error) {
	rows, err := q.QueryContext(ctx, `SELECT thread, who, made, text FROM messages WHERE `+where+` ORDER BY id`, args...)
	if err != nil {
		return nil, s.fault(err)
	}
	defer rows.Close()
	var found []memory.Message
	for rows.Next() {
		var m memory.Message
		var made int64
		if err := rows.Scan(&m.Thread, &m.Who, &made, &m.Text); err != nil {
			return nil, s.fault(err)
		}
		m.When = unstamp(made)
		found = append(found, m)
	}
	return found, s.fault(rows.Err())
}

// Expire implements memory.Store.
func (s *Store) Expire(ctx context.Context, team string, before time.Time) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		for _, table := range []string{"messages", "threads"} {
			if _, err := tx.ExecContext(ctx, `DELETE FROM `+table+` WHERE team = ? AND made < ?`, team, stamp(before)); err != nil {
				return err
			}
		}
		return nil
	})
}

// ForgetPerson implements memory.Store.
func (s *Store) ForgetPerson(ctx context.Context, team, name string) (n int, err error) {
	err = s.change(ctx, func(tx *sql.Tx) error {
		n = 0
		for _, forget := range []func(context.Context, *sql.Tx, string, string) (int, error){s.forgetMessages, forgetNotes, forgetInRecords, forgetTraining, forgetDrafts} {
			touched, err := forget(ctx, tx, team, name)
			if err != nil {
				return err
			}
			n += touched
		}
		return nil
	})
	return n, err
}

// forgetMessages deletes a person's messages and the threads that hold them.
func (s *Store) forgetMessages(ctx context.Context, tx *sql.Tx, team, name string) (n int, err error) {
	threads := map[string]bool{}
	var messages []int64
	err = each(ctx, tx, `SELECT id, thread, who, text FROM messages WHERE team = ?`, team, func(scan func(...any) error) error {
		var id int64
		var m memory.Message
		if err := scan(&id, &m.Thread, &m.Who, &m.Text); err != nil {
			return err
		}
		if m.Names(name) {
			messages, threads[m.Thread] = append(messages, id), true
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	err = each(ctx, tx, `SELECT name, data FROM threads WHERE team = ?`, team, func(scan func(...any) error) error {
		var key string
		var data []byte
		if err := scan(&key, &data); err != nil {
			return err
		}
		threads[key] = threads[key] || memory.Named(string(data), name)
		return nil
	})
	if err != nil {
		return 0, err
	}
	for key, named := range threads {
		if named {
			if _, err := tx.ExecContext(ctx, `DELETE FROM threads WHERE team = ? AND name = ?`, team, key); err != nil {
				return 0, err
			}
		}
	}
	return len(messages), deleteAll(ctx, tx, "messages", messages)
}

func forgetNotes(ctx context.Context, tx *sql.Tx, team, name string) (int, error) {
	var notes []int64
	err := each(ctx, tx, `SELECT id, who, text FROM notes WHERE team = ?`, team, func(scan func(...any) error) error {
		var note memory.Note
		if err := scan(&note.ID, &note.Who, &note.Text); err != nil {
			return err
		}
		if note.Names(name) {
			notes = append(notes, note.ID)
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return len(notes), deleteAll(ctx, tx, "notes", notes)
}

func forgetInRecords(ctx context.Context, tx *sql.Tx, team, name string) (int, error) {
	var changed []memory.Record
	err := each(ctx, tx, `SELECT id, body FROM records WHERE team = ?`, team, func(scan func(...any) error) error {
		var id int64
		var body string
		var r memory.Record
		if err := scan(&id, &body); err != nil {
			return err
		}
		if err := json.Unmarshal([]byte(body), &r); err != nil {
			return err
		}
		r.ID = id
		if r.Forget(name) {
			changed = append(changed, r)
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	for _, r := range changed {
		if err := putRecord(ctx, tx, team, r); err != nil {
			return 0, err
		}
	}
	return len(changed), nil
}

// each reads the rows of a team's query one by one.
func each(ctx context.Context, tx *sql.Tx, query, team string, row func(scan func(...any) error) error) error {
	rows, err := tx.QueryContext(ctx, query, team)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := row(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}

func deleteAll(ctx context.Context, tx *sql.Tx, table string, ids []int64) error {
	for _, id := range ids {
		if _, err := tx.ExecContext(ctx, `DELETE FROM `+table+` WHERE id = ?`, id); err != nil {
			return err
		}
	}
	return nil
}

// code is SQLite's own number of an error, without its refinements; 0 for
// another's error.
func code(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}
