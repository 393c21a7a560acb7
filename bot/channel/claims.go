package channel

import (
	"cmp"
	"context"
	"slices"
	"sync"
	"time"
)

// A Claim is one human message that somebody has taken on, and how far its
// answer is. A channel that delivers a message at least once gets it answered
// at most once because of it.
type Claim struct {
	Key     string    // names the message, whatever delivered it
	Message []byte    // what it takes to answer it after a crash
	Post    []byte    // the answer as it is to be posted; only between Ready and Finish
	Receipt string    // where the answer went; "" until Finish
	Touched time.Time // when it was last claimed, readied or finished
}

// Claims keeps claims. It is safe for concurrent use by several processes, and
// what a call did is durable once it returned nil.
type Claims interface {
	// Claim takes a message on; false where its key was taken before.
	Claim(ctx context.Context, key string, message []byte, now time.Time) (bool, error)
	// Ready keeps an answer before it is posted, for all the messages that it
	// answers, so that after a crash nobody works it out twice.
	Ready(ctx context.Context, post []byte, now time.Time, keys ...string) error
	// Finish says that the messages need nothing more; the receipt, which is
	// not "", tells where their answer went. It may be finished anew.
	Finish(ctx context.Context, receipt string, now time.Time, keys ...string) error
	// Find looks a claim up; false where there is none.
	Find(ctx context.Context, key string) (Claim, bool, error)
	// Unfinished lists what was claimed and not finished, the longest
	// untouched first.
	Unfinished(ctx context.Context) ([]Claim, error)
	// Forget drops what was not touched since, finished or not.
	Forget(ctx context.Context, before time.Time) error
}

// Memory is Claims that last as long as the process. The zero Memory is empty.
type Memory struct {
	mu     sync.Mutex
	claims map[string]Claim
}

// Claim takes a message on.
func (m *Memory) Claim(_ context.Context, key string, message []byte, now time.Time) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, taken := m.claims[key]; taken {
		return false, nil
	}
	if m.claims == nil {
		m.claims = map[string]Claim{}
	}
	m.claims[key] = Claim{Key: key, Message: slices.Clone(message), Touched: now}
	return true, nil
}

// Ready keeps an answer before it is posted.
func (m *Memory) Ready(_ context.Context, post []byte, now time.Time, keys ...string) error {
	m.change(keys, func(c *Claim) { c.Post, c.Touched = slices.Clone(post), now })
	return nil
}

// Finish says that the messages need nothing more.
func (m *Memory) Finish(_ context.Context, receipt string, now time.Time, keys ...string) error {
	m.change(keys, func(c *Claim) { c.Post, c.Receipt, c.Touched = nil, receipt, now })
	return nil
}

func (m *Memory) change(keys []string, change func(*Claim)) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, key := range keys {
		if c, ok := m.claims[key]; ok {
			change(&c)
			m.claims[key] = c
		}
	}
}

// Find looks a claim up.
func (m *Memory) Find(_ context.Context, key string) (Claim, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	c, ok := m.claims[key]
	return c, ok, nil
}

// Unfinished lists what was claimed and not finished.
func (m *Memory) Unfinished(context.Context) ([]Claim, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var open []Claim
	for _, c := range m.claims {
		if c.Receipt == "" {
			open = append(open, c)
		}
	}
	slices.SortFunc(open, func(a, b Claim) int {
		return cmp.Or(a.Touched.Compare(b.Touched), cmp.Compare(a.Key, b.Key))
	})
	return open, nil
}

// Forget drops what was not touched since.
func (m *Memory) Forget(_ context.Context, before time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for key, c := range m.claims {
		if c.Touched.Before(before) {
			delete(m.claims, key)
		}
	}
	return nil
}
