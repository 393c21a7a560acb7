// Package channeltest holds what every channel, and every store of claims, has
// to pass.
package channeltest

import (
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"panelhand/bot/channel"
)

// Claims checks an implementation of channel.Claims; open returns an empty
// one.
func Claims(t *testing.T, open func(*testing.T) channel.Claims) {
	noon := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	claim := func(t *testing.T, c channel.Claims, key, message string, at time.Time) bool {
		t.Helper()
		ok, err := c.Claim(t.Context(), key, []byte(message), at)
		if err != nil {
			t.Fatalf("Claim(%q): %v", key, err)
		}
		return ok
	}
	find := func(t *testing.T, c channel.Claims, key string) channel.Claim {
		t.Helper()
		got, ok, err := c.Find(t.Context(), key)
		if err != nil || !ok {
			t.Fatalf("Find(%q) = %v, %v", key, ok, err)
		}
		return got
	}
	unfinished := func(t *testing.T, c channel.Claims) string {
		t.Helper()
		list, err := c.Unfinished(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		var keys []string
		for _, x := range list {
			keys = append(keys, x.Key)
		}
		return strings.Join(keys, " ")
	}
	must := func(t *testing.T, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}

	t.Run("a key is claimed once", func(t *testing.T) {
		c := open(t)
		if !claim(t, c, "k", "first", noon) {
			t.Fatal("the first claim was refused")
		}
		if claim(t, c, "k", "second", noon.Add(time.Hour)) {
			t.Fatal("a key was claimed twice")
		}
		got := find(t, c, "k")
		if string(got.Message) != "first" || !got.Touched.Equal(noon) {
			t.Errorf("the second claim changed the first: %+v", got)
		}
		must(t, c.Finish(t.Context(), "there", noon, "k"))
		if claim(t, c, "k", "third", noon) {
			t.Error("a finished key was claimed again")
		}
	})

	t.Run("nobody's claim", func(t *testing.T) {
		c := open(t)
		if _, ok, err := c.Find(t.Context(), "k"); ok || err != nil {
			t.Errorf("Find on nothing = %v, %v", ok, err)
		}
		if got := unfinished(t, c); got != "" {
			t.Errorf("Unfinished on nothing = %q", got)
		}
		must(t, c.Ready(t.Context(), []byte("p"), noon, "k"))
		must(t, c.Finish(t.Context(), "there", noon, "k"))
		if _, ok, _ := c.Find(t.Context(), "k"); ok {
			t.Error("finishing made a claim")
		}
	})

	t.Run("claimed, ready, finished", func(t *testing.T) {
		c := open(t)
		for i, key := range []string{"b", "a", "c"} {
			claim(t, c, key, "message "+key, noon.Add(time.Duration(i)*time.Second))
		}
		if got := unfinished(t, c); got != "b a c" {
			t.Errorf("Unfinished = %q, want the longest untouched first", got)
		}
		must(t, c.Ready(t.Context(), []byte("post"), noon.Add(time.Minute), "b", "a"))
		for _, key := range []string{"b", "a"} {
			got := find(t, c, key)
			if string(got.Post) != "post" || string(got.Message) != "message "+key || !got.Touched.Equal(noon.Add(time.Minute)) {
				t.Errorf("after Ready: %+v", got)
			}
		}
		if got := unfinished(t, c); got != "c a b" && got != "c b a" {
			t.Errorf("Unfinished after Ready = %q", got)
		}
		must(t, c.Finish(t.Context(), "there", noon.Add(time.Hour), "a", "b"))
		if got := unfinished(t, c); got != "c" {
			t.Errorf("Unfinished after Finish = %q, want c", got)
		}
		if got := find(t, c, "a"); got.Receipt != "there" || len(got.Post) > 0 || string(got.Message) != "message a" {
			t.Errorf("finished: %+v", got)
		}
		must(t, c.Finish(t.Context(), "elsewhere", noon.Add(time.Hour), "a"))
		if got := find(t, c, "a").Receipt; got != "elsewhere" {
			t.Errorf("receipt %q after finishing anew", got)
		}
	})

	t.Run("forgetting", func(t *testing.T) {
		c := open(t)
		claim(t, c, "old", "", noon)
		claim(t, c, "kept", "", noon)
		claim(t, c, "new", "", noon.Add(time.Hour))
		must(t, c.Finish(t.Context(), "there", noon.Add(time.Hour), "kept"))
		must(t, c.Forget(t.Context(), noon.Add(time.Minute)))
		if _, ok, _ := c.Find(t.Context(), "old"); ok {
			t.Error("an old claim was not forgotten")
		}
		find(t, c, "kept")
		find(t, c, "new")
		if !claim(t, c, "old", "", noon) {
			t.Error("a forgotten key cannot be claimed")
		}
	})

	t.Run("raced", func(t *testing.T) {
		c := open(t)
		var wins atomic.Int64
		var all sync.WaitGroup
		for i := range 64 {
			all.Go(func() {
				ok, err := c.Claim(t.Context(), fmt.Sprint("k", i%8), nil, noon)
				if err != nil {
					t.Error(err)
				}
				if ok {
					wins.Add(1)
				}
			})
		}
		all.Wait()
		if wins.Load() != 8 {
			t.Errorf("8 keys were claimed %d times", wins.Load())
		}
	})

	t.Run("odd keys", func(t *testing.T) {
		c := open(t)
		for _, key := range []string{"", "a'b\"c;--", "T1|C1|1.2", "日本", strings.Repeat("x", 1000)} {
			if !claim(t, c, key, "\x00\xff", noon) || claim(t, c, key, "", noon) {
				t.Errorf("key %.20q is not claimed once", key)
			}
			if got := find(t, c, key); string(got.Message) != "\x00\xff" {
				t.Errorf("key %.20q: message %q", key, got.Message)
			}
		}
	})
}
