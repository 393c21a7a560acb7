package slack

import (
	"encoding/json"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

var coachReader = newReader("UBOT", "zap flash, sunny sun")

// The handbook's bound for any text is 200 ms (source: Slack handbook §8.2,
// fault 21).
func TestAnyTextIsReadInTime(t *testing.T) {
	for _, text := range []string{
		strings.Repeat("<", 40_000), strings.Repeat("<@U1", 10_000), strings.Repeat("*_~`", 10_000), strings.Repeat(":a", 20_000),
		strings.Repeat(":zap:", 8_000), strings.Repeat("&amp;", 8_000), strings.Repeat("*a* ", 10_000), strings.Repeat("&gt; \n", 6_000), strings.Repeat("\u200b\x00", 10_000),
	} {
		began := time.Now()
		coachReader.plain(text)
		coachReader.mentions(text)
		if took := time.Since(began); took > 200*time.Millisecond {
			t.Errorf("%.10q… took %v", text, took)
		}
	}
}

func TestTextOfBlocks(t *testing.T) {
	for _, c := range []struct{ event, want string }{
		{`{"text":"typed","blocks":[{"type":"section","text":{"type":"mrkdwn","text":"laid out"}}]}`, "typed"},
		{`{"blocks":[{"type":"section","text":{"type":"mrkdwn","text":"laid out"}}]}`, "laid out"},
		{`{"blocks":[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"text","text":"open"},{"type":"text","text":"shade"}]}]}]}`, "open shade"},
		{`{"attachments":[{"text":"forwarded"}]}`, "forwarded"},
		{`{"blocks":[{"type":"x","text":5,"style":[1]}]}`, ""},
		{`{}`, ""},
	} {
		var e event
		if err := json.Unmarshal([]byte(c.event), &e); err != nil {
			t.Errorf("%s: %v", c.event, err)
		}
		if got := e.text(); got != c.want {
			t.Errorf("%s says %q, want %q", c.event, got, c.want)
		}
	}
}

func FuzzPlain(f *testing.F) {
	for _, s := range []string{"<@UBOT> open shade", "f/2.8 &amp; &lt;1/125", "```code``` `x` *b*", "<https://x|y>", ":zap::+1::skin-tone-3:", "&gt; quoted", "<!here>", "\xff\x00<"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got := coachReader.plain(text)
		if !utf8.ValidString(got) || strings.ContainsAny(got, "\x00\u200b") {
			t.Errorf("%q is read as %q", text, got)
		}
		if strings.Contains(strings.Join(angled.FindAllString(got, -1), ""), "<@") && !strings.Contains(text, "&") {
			t.Errorf("a mention is left of %q: %q", text, got)
		}
		coachReader.mentions(text)
	})
}

func FuzzEvent(f *testing.F) {
	f.Add([]byte(`{"team_id":"T1","event":{"type":"message","user":"U1","text":"x","ts":"1.2","blocks":[{"type":"rich_text","elements":[{"type":"user","user_id":"UBOT","style":{"code":true}}]}]}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var o outer
		if json.Unmarshal(data, &o) == nil {
			o.Event.text()
			o.Event.photo()
			coachReader.mentionsIn(o.Event.Blocks)
			when(o.Event.TS)
		}
	})
}
