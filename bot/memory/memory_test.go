package memory_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"panelhand/bot/memory"
	"panelhand/bot/memory/memorytest"
)

func TestInMemory(t *testing.T) {
	memorytest.Run(t, func(*testing.T) memory.Store { return memory.New() })
}

func TestKey(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"Net Shed Yard", "net shed yard"}, {"the Net-Shed  yard!", "net shed yard"}, {"The", "the"}, {"Café nº 3", "cafe no 3"}, {"", ""}, {"👍", ""},
	} {
		if got := memory.Key(c.name); got != c.want {
			t.Errorf("Key(%q) = %q, want %q", c.name, got, c.want)
		}
	}
}

func TestCalm(t *testing.T) {
	cause := errors.New("disk I/O error (778)")
	f := &memory.Fault{Calm: "The disk is full.", Cause: cause}
	wrapped := fmt.Errorf("saving: %w", f)
	if got := memory.Calm(wrapped); got != "The disk is full." {
		t.Errorf("crew reads %q", got)
	}
	if !errors.Is(wrapped, cause) || f.Error() != "The disk is full. (disk I/O error (778))" {
		t.Errorf("the cause is lost: %v", f)
	}
	if got := memory.Calm(cause); got == "" || got == cause.Error() {
		t.Errorf("an error without a sentence reads %q", got)
	}
}

// FuzzTokens cuts any text into words that cut into themselves: what is filed
// is found again.
func FuzzTokens(f *testing.F) {
	for _, s := range []string{"Net Shed Yard", "Café nº 3", "ǅ ½ 👍🏽", "a_b-c", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, w := range memory.Tokens(s) {
			if again := memory.Tokens(w); !slices.Equal(again, []string{w}) {
				t.Errorf("%q of %q is cut again, into %q", w, s, again)
			}
		}
	})
}

func TestApart(t *testing.T) {
	memorytest.Run(t, func(*testing.T) memory.Store { return memory.Apart(memory.New()) })
}
