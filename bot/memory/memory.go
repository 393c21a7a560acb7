// Package memory says what the coach remembers between messages and between
// days, and the small interface behind which it is kept: records of set-ups
// that worked, notes about venues, the crew's kit list, drafts of rules, threads
// and, for a month, the messages themselves.
//
// Everything belongs to a team. Nothing here reads a clock: times come in with
// what happened.
package memory

import (
	"context"
	"encoding/json"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/drill"
	"panelhand/rules/fact"
)

// Retention is how long messages and idle threads are kept unless a team says
// otherwise. Records, notes and kit are kept until they are deleted.
const Retention = 30 * 24 * time.Hour

// A Record is a set-up that was worth keeping, with all its numbers.
type Record struct {
	ID      int64
	Title   string // as typed
	When    time.Time
	Who     string `json:",omitempty"` // who saved it, where a channel tells; never needed
	Venue   string `json:",omitempty"` // as typed
	Setup   *answer.Setup
	Numbers map[string]float64 `json:",omitempty"` // by the contract's keys
	Heard   map[string]any     `json:",omitempty"` // by the contract's paths
	Light   []string           `json:",omitempty"` // what it is found by, in the words of the facts
	Wants   []string           `json:",omitempty"`
	Kit     []string           `json:",omitempty"`
	Said    []string           `json:",omitempty"` // the messages that led to it
}

// A Note is a sentence to remember, word for word. One about a venue is a rule
// of that venue as far as it forbids or allows something.
type Note struct {
	ID     int64
	Text   string // as typed
	When   time.Time
	Who    string `json:",omitempty"`
	Venue  string `json:",omitempty"`
	Record int64  `json:",omitempty"` // the record it belongs to; 0 for none
}

// A KitList is what the crew owns and how it works, said once and for all.
type KitList struct {
	Items        []fact.Item   `json:"items,omitempty"`
	Cameras      []Camera      `json:"cameras,omitempty"`
	Lenses       []Lens        `json:"lenses,omitempty"`
	Calibrations []Calibration `json:"calibrations,omitempty"`

	Feet  bool   `json:"feet,omitempty"`  // lengths are told in feet and inches
	Venue string `json:"venue,omitempty"` // where they mostly shoot
}

// Empty reports whether no thing is on the list.
func (k KitList) Empty() bool {
	return len(k.Items) == 0 && len(k.Cameras) == 0 && len(k.Lenses) == 0 && len(k.Calibrations) == 0
}

// A Camera is a body. A zero field was not said.
type Camera struct {
	Format string  `json:"format,omitempty"` // of fact camera.format
	SyncS  float64 `json:"sync_s,omitempty"`
	ISOMin float64 `json:"iso_min,omitempty"`
	ISOMax float64 `json:"iso_max,omitempty"`
}

// A Lens is one lens; LongMM is zero for a fixed focal length.
type Lens struct {
	FocalMM  float64 `json:"focal_mm"`
	LongMM   float64 `json:"long_mm,omitempty"`
	Aperture float64 `json:"aperture,omitempty"` // the widest
}

// A Calibration is one test frame: how much more light was lost on one way of
// lighting than the model computes.
type Calibration struct {
	Way   string    `json:"way"` // through bounce bare umbrella softbox
	Stops float64   `json:"stops"`
	When  time.Time `json:"when"`
	Said  string    `json:"said"` // the message, word for word
}

// A Draft is a change of the team's playbook that waits for a lead's word.
type Draft struct {
	ID    int64
	Kind  DraftKind
	Title string            `json:",omitempty"` // as typed
	Rule  string            `json:",omitempty"` // id of the rule
	Who   string            `json:",omitempty"` // whose draft it is, as the channel names them
	When  time.Time         //
	Why   string            `json:",omitempty"` // the reason; what was wrong, of an answer to mend
	Files map[string]string `json:",omitempty"` // text by name in the team's folder
	Said  []string          `json:",omitempty"` // the messages that led to it
}

// A DraftKind is what a draft would add to the playbook.
type DraftKind string

// The kinds of draft.
const (
	DraftRule DraftKind = "rule" // a set-up that worked
	DraftMend DraftKind = "mend" // a case, of an answer that was wrong
)

// A ThreadState is what one conversation remembers, opaque to whoever keeps
// it. Version is 0 for one that was never kept.
type ThreadState struct {
	Data    json.RawMessage
	When    time.Time
	Version int64
}

// A Message is one message as it came in.
type Message struct {
	Thread string
	Who    string
	When   time.Time
	Text   string
}

// A Store keeps what teams remember. Every method names the team first and
// sees nothing of any other's. What a call returns is the caller's own. When a
// method that writes has returned without an error, a crash of the program
// loses nothing of it. Errors that people should read are Faults.
type Store interface {
	// SaveRecord keeps a record and returns its number. An ID of 0 is a new
	// record; another replaces the record of that number.
	SaveRecord(ctx context.Context, team string, r Record) (int64, error)
	// Records finds records, the newest first.
	Records(ctx context.Context, team string, q Query) ([]Record, error)
	// DeleteRecord deletes a record and its notes; ErrNone where there is none.
	DeleteRecord(ctx context.Context, team string, id int64) error

	// AddNote keeps a note and returns its number.
	AddNote(ctx context.Context, team string, n Note) (int64, error)
	// Notes finds notes, the newest first.
	Notes(ctx context.Context, team string, q NoteQuery) ([]Note, error)
	// DeleteNote deletes a note; ErrNone where there is none.
	DeleteNote(ctx context.Context, team string, id int64) error
	// Venues lists the venues that notes or records name, as typed last, in
	// the order of their words.
	Venues(ctx context.Context, team string) ([]string, error)

	// Kit is the team's kit list, empty where it has none.
	Kit(ctx context.Context, team string) (KitList, error)
	// ChangeKit changes the list. Nothing is kept where change returns an
	// error. Two changes at once come one after the other.
	ChangeKit(ctx context.Context, team string, change func(*KitList) error) error

	// AddDraft keeps a draft and returns its number.
	AddDraft(ctx context.Context, team string, d Draft) (int64, error)
	// Drafts are those that wait, the oldest first.
	Drafts(ctx context.Context, team string) ([]Draft, error)
	// DeleteDraft deletes a draft that was decided; ErrNone where there is none.
	DeleteDraft(ctx context.Context, team string, id int64) error

	// Training is what each person's drills have come to, by person.
	Training(ctx context.Context, team string) (map[string]drill.Progress, error)
	// ChangeTraining changes one person's. Two changes at once come one after
	// the other.
	ChangeTraining(ctx context.Context, team, person string, change func(drill.Progress) drill.Progress) error

	// Thread is a conversation's state, the zero state for an unknown one.
	Thread(ctx context.Context, team, key string) (ThreadState, error)
	// SaveThread keeps a state that was read as s.Version and returns the
	// version it has now; ErrStale where another message was quicker.
	SaveThread(ctx context.Context, team, key string, s ThreadState) (int64, error)
	// DeleteThread deletes a conversation and its messages.
	DeleteThread(ctx context.Context, team, key string) error

	// AddMessage logs a message.
	AddMessage(ctx context.Context, team string, m Message) error
	// Messages are those of a thread, the oldest first.
	Messages(ctx context.Context, team, thread string) ([]Message, error)
	// Expire deletes messages and idle threads from before a time.
	Expire(ctx context.Context, team string, before time.Time) error
	// ForgetPerson deletes a person's training, every note, draft and message that a person wrote or that
	// names them, with the threads that hold such a message, and takes the name
	// and the lines that name them out of records. It returns how many notes,
	// messages, trainings and records were touched.
	ForgetPerson(ctx context.Context, team, name string) (int, error)

	Close() error
}

// A Query says which records are wanted. The zero Query wants all.
type Query struct {
	ID    int64  // this one
	Venue string // of this venue, whatever its case
	Terms []Term
	Any   bool // one of the terms is enough
	Limit int  // 0 for no limit
}

// A NoteQuery says which notes are wanted. The zero NoteQuery wants all.
type NoteQuery struct {
	Venue  string // of this venue, whatever its case
	Record int64  // of this record
	Words  []string
	Limit  int
}
