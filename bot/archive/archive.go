// Package archive is what the coach and a team's folder know of each other:
// files are written together and what stood before is kept.
package archive

import (
	"context"
	"time"
)

// A Change is files of a team's folder that change together.
type Change struct {
	Files map[string]string // text by name, with slashes; "" takes a file away
	What  string            // was done, in a line
	Why   string            // the reason, as typed; may be empty
	Who   string            // whose change it is; may be empty
	When  time.Time
}

// A Version is a change that was made.
type Version struct {
	ID   string // for Read
	What string
	Why  string
	Who  string
	When time.Time
}

// A Keeper writes a team's folder. It is safe for concurrent use. Errors that
// people should read are memory.Faults.
type Keeper interface {
	// Write makes a change: all of it, or nothing and an error.
	Write(context.Context, Change) error
	// Versions are the changes of some files, the newest first.
	Versions(ctx context.Context, names ...string) ([]Version, error)
	// Read is a file as a version left it, "" where it took it away.
	Read(ctx context.Context, version, name string) (string, error)
}
