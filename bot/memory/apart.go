package memory

import (
	"context"
	"errors"
	"time"
)

// Apart is a store whose threads and messages last as long as the program; all
// else is kept in s. Closing it closes s.
func Apart(s Store) Store { return &apart{Store: s, talks: New()} }

type apart struct {
	Store
	talks Store
}

func (a *apart) Thread(ctx context.Context, team, key string) (ThreadState, error) {
	return a.talks.Thread(ctx, team, key)
}

func (a *apart) SaveThread(ctx context.Context, team, key string, s ThreadState) (int64, error) {
	return a.talks.SaveThread(ctx, team, key, s)
}

func (a *apart) DeleteThread(ctx context.Context, team, key string) error {
	return a.talks.DeleteThread(ctx, team, key)
}

func (a *apart) AddMessage(ctx context.Context, team string, m Message) error {
	return a.talks.AddMessage(ctx, team, m)
}

func (a *apart) Messages(ctx context.Context, team, thread string) ([]Message, error) {
	return a.talks.Messages(ctx, team, thread)
}

func (a *apart) Expire(ctx context.Context, team string, before time.Time) error {
	return errors.Join(a.talks.Expire(ctx, team, before), a.Store.Expire(ctx, team, before))
}

func (a *apart) ForgetPerson(ctx context.Context, team, name string) (int, error) {
	here, err := a.talks.ForgetPerson(ctx, team, name)
	if err != nil {
		return here, err
	}
	kept, err := a.Store.ForgetPerson(ctx, team, name)
	return here + kept, err
}
