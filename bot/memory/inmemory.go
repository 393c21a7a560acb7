package memory

import (
	"cmp"
	"context"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"panelhand/bot/drill"
)

// New is a store that lasts as long as the program.
func New() Store { return &inMemory{teams: map[string]*team{}} }

type inMemory struct {
	mu    sync.Mutex
	teams map[string]*team
}

// A team is all that one team remembers. Entries are held as JSON, so that
// nothing is shared with callers.
type team struct {
	last     int64 // number given last
	records  map[int64]json.RawMessage
	words    map[int64]map[Field][]string
	notes    map[int64]Note
	kit      json.RawMessage
	drafts   map[int64]json.RawMessage
	training map[string]json.RawMessage
	threads  map[string]ThreadState
	messages []Message
}

// of locks the store and returns the team's part and the unlocking.
func (s *inMemory) of(ctx context.Context, name string) (*team, func(), error) {
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	s.mu.Lock()
	t := s.teams[name]
	if t == nil {
		t = &team{records: map[int64]json.RawMessage{}, words: map[int64]map[Field][]string{}, notes: map[int64]Note{}, drafts: map[int64]json.RawMessage{}, threads: map[string]ThreadState{}, training: map[string]json.RawMessage{}}
		s.teams[name] = t
	}
	return t, s.mu.Unlock, nil
}

func (s *inMemory) SaveRecord(ctx context.Context, name string, r Record) (int64, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return 0, err
	}
	defer done()
	if r.ID == 0 {
		t.last++
		r.ID = t.last
	} else if t.records[r.ID] == nil {
		return 0, ErrNone
	}
	return r.ID, t.keep(r)
}

func (t *team) keep(r Record) error {
	data, err := json.Marshal(r)
	if err != nil {
		return err
	}
	t.records[r.ID], t.words[r.ID] = data, map[Field][]string{}
	for _, f := range Fields {
		t.words[r.ID][f] = r.Words(f)
	}
	return nil
}

func (s *inMemory) Records(ctx context.Context, name string, q Query) ([]Record, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return nil, err
	}
	defer done()
	var found []Record
	for id, data := range t.records {
		if q.ID != 0 && q.ID != id || !q.fits(t.words[id]) {
			continue
		}
		var r Record
		if err := json.Unmarshal(data, &r); err != nil {
			return nil, err
		}
		if q.Venue == "" || Key(q.Venue) == Key(r.Venue) {
			found = append(found, r)
		}
	}
	slices.SortFunc(found, func(a, b Record) int { return cmp.Or(b.When.Compare(a.When), cmp.Compare(b.ID, a.ID)) })
	return first(found, q.Limit), nil
}

// fits reports whether a record's words hold the terms.
func (q Query) fits(words map[Field][]string) bool {
	if len(q.Terms) == 0 {
		return true
	}
	holds := func(t Term) bool {
		for _, f := range Fields {
			if (t.In == Anywhere || t.In == f) && begins(words[f], t.Word) {
				return true
			}
		}
		return false
	}
	if q.Any {
		return slices.ContainsFunc(q.Terms, holds)
	}
	return !slices.ContainsFunc(q.Terms, func(t Term) bool { return !holds(t) })
}

func first[T any](all []T, limit int) []T {
	if limit > 0 && len(all) > limit {
		return all[:limit]
	}
	return all
}

func (s *inMemory) DeleteRecord(ctx context.Context, name string, id int64) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	if t.records[id] == nil {
		return ErrNone
	}
	delete(t.records, id)
	delete(t.words, id)
	for n, note := range t.notes {
		if note.Record == id {
			delete(t.notes, n)
		}
	}
	return nil
}

func (s *inMemory) AddNote(ctx context.Context, name string, n Note) (int64, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return 0, err
	}
	defer done()
	if n.Record != 0 && t.records[n.Record] == nil {
		return 0, ErrNone
	}
	t.last++
	n.ID = t.last
	t.notes[n.ID] = n
	return n.ID, nil
}

func (s *inMemory) Notes(ctx context.Context, name string, q NoteQuery) ([]Note, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return nil, err
	}
	defer done()
	var found []Note
	for _, n := range t.notes {
		if q.Matches(n) {
			found = append(found, n)
		}
	}
	slices.SortFunc(found, func(a, b Note) int { return cmp.Or(b.When.Compare(a.When), cmp.Compare(b.ID, a.ID)) })
	return first(found, q.Limit), nil
}

func (s *inMemory) DeleteNote(ctx context.Context, name string, id int64) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	if _, ok := t.notes[id]; !ok {
		return ErrNone
	}
	delete(t.notes, id)
	return nil
}

func (s *inMemory) Venues(ctx context.Context, name string) ([]string, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return nil, err
	}
	defer done()
	type named struct {
		when time.Time
		name string
	}
	latest := map[string]named{}
	see := func(when time.Time, venue string) {
		key := Key(venue)
		if key == "" {
			return
		}
		if old, ok := latest[key]; !ok || cmp.Or(when.Compare(old.when), strings.Compare(venue, old.name)) > 0 {
			latest[key] = named{when, venue}
		}
	}
	for _, n := range t.notes {
		see(n.When, n.Venue)
	}
	for _, data := range t.records {
		var r Record
		if err := json.Unmarshal(data, &r); err != nil {
			return nil, err
		}
		see(r.When, r.Venue)
	}
	var all []string
	for _, v := range latest {
		all = append(all, v.name)
	}
	slices.SortFunc(all, func(a, b string) int { return strings.Compare(Key(a), Key(b)) })
	return all, nil
}

func (s *inMemory) Kit(ctx context.Context, name string) (KitList, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return KitList{}, err
	}
	defer done()
	return t.kitList()
}

func (t *team) kitList() (k KitList, err error) {
	if t.kit != nil {
		err = json.Unmarshal(t.kit, &k)
	}
	return k, err
}

func (s *inMemory) ChangeKit(ctx context.Context, name string, change func(*KitList) error) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	k, err := t.kitList()
	if err != nil {
		return err
	}
	if err := change(&k); err != nil {
		return err
	}
	data, err := json.Marshal(k)
	if err == nil {
		t.kit = data
	}
	return err
}

func (s *inMemory) AddDraft(ctx context.Context, name string, d Draft) (int64, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return 0, err
	}
	defer done()
	t.last++
	d.ID = t.last
	t.drafts[d.ID], err = json.Marshal(d)
	return d.ID, err
}

func (s *inMemory) Drafts(ctx context.Context, name string) ([]Draft, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return nil, err
	}
	defer done()
	return t.waiting()
}

func (t *team) waiting() ([]Draft, error) {
	var all []Draft
	for _, id := range slices.Sorted(maps.Keys(t.drafts)) {
		var d Draft
		if err := json.Unmarshal(t.drafts[id], &d); err != nil {
			return nil, err
		}
		all = append(all, d)
	}
	return all, nil
}

func (s *inMemory) DeleteDraft(ctx context.Context, name string, id int64) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	if t.drafts[id] == nil {
		return ErrNone
	}
	delete(t.drafts, id)
	return nil
}

func (s *inMemory) Training(ctx context.Context, name string) (map[string]drill.Progress, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return nil, err
	}
	defer done()
	people := map[string]drill.Progress{}
	for person := range t.training {
		if people[person], err = t.trained(person); err != nil {
			return nil, err
		}
	}
	return people, nil
}

func (t *team) trained(person string) (p drill.Progress, err error) {
	if data := t.training[person]; data != nil {
		err = json.Unmarshal(data, &p)
	}
	return p, err
}

func (s *inMemory) ChangeTraining(ctx context.Context, name, person string, change func(drill.Progress) drill.Progress) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	p, err := t.trained(person)
	if err != nil {
		return err
	}
	data, err := json.Marshal(change(p))
	if err == nil {
		t.training[person] = data
	}
	return err
}

func (s *inMemory) Thread(ctx context.Context, name, key string) (ThreadState, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return ThreadState{}, err
	}
	defer done()
	state := t.threads[key]
	state.Data = slices.Clone(state.Data)
	return state, nil
}

func (s *inMemory) SaveThread(ctx context.Context, name, key string, state ThreadState) (int64, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return 0, err
	}
	defer done()
	if t.threads[key].Version != state.Version {
		return 0, ErrStale
	}
	state.Version++
	state.Data = slices.Clone(state.Data)
	t.threads[key] = state
	return state.Version, nil
}

func (s *inMemory) DeleteThread(ctx context.Context, name, key string) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	delete(t.threads, key)
	t.messages = slices.DeleteFunc(t.messages, func(m Message) bool { return m.Thread == key })
	return nil
}

func (s *inMemory) AddMessage(ctx context.Context, name string, m Message) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	t.messages = append(t.messages, m)
	return nil
}

func (s *inMemory) Messages(ctx context.Context, name, thread string) ([]Message, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return nil, err
	}
	defer done()
	var found []Message
	for _, m := range t.messages {
		if m.Thread == thread {
			found = append(found, m)
		}
	}
	return found, nil
}

func (s *inMemory) Expire(ctx context.Context, name string, before time.Time) error {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	t.messages = slices.DeleteFunc(t.messages, func(m Message) bool { return m.When.Before(before) })
	for key, state := range t.threads {
		if state.When.Before(before) {
			delete(t.threads, key)
		}
	}
	return nil
}

func (s *inMemory) ForgetPerson(ctx context.Context, name, person string) (int, error) {
	t, done, err := s.of(ctx, name)
	if err != nil {
		return 0, err
	}
	defer done()
	touched := len(t.messages)
	for key, state := range t.threads {
		if Named(string(state.Data), person) || slices.ContainsFunc(t.messages, func(m Message) bool { return m.Thread == key && m.Names(person) }) {
			delete(t.threads, key)
		}
	}
	t.messages = slices.DeleteFunc(t.messages, func(m Message) bool { return m.Names(person) })
	touched -= len(t.messages)
	for who := range t.training {
		if Named(who, person) {
			delete(t.training, who)
			touched++
		}
	}
	for id, n := range t.notes {
		if n.Names(person) {
			delete(t.notes, id)
			touched++
		}
	}
	drafts, err := t.waiting()
	if err != nil {
		return touched, err
	}
	for _, d := range drafts {
		if d.Names(person) {
			delete(t.drafts, d.ID)
			touched++
		}
	}
	for _, data := range t.records {
		var r Record
		if err := json.Unmarshal(data, &r); err != nil {
			return touched, err
		}
		if r.Forget(person) {
			if err := t.keep(r); err != nil {
				return touched, err
			}
			touched++
		}
	}
	return touched, nil
}

func (s *inMemory) Close() error { return nil }
