package hear

import "testing"

func TestNormalise(t *testing.T) {
	for say, want := range map[string]string{
		"It’s “fine”":            `it's "fine"`,
		"4′6″":                   `4'6"`,
		"½ power, 3½ ft":         "1/2 power, 3 1/2 ft",
		"ƒ2.8":                   "f2.8",
		"ｆ２．８":                   "f2.8",
		"panel\u00a01\u200bm":    "panel 1m",
		"flash &amp; panel":      "flash & panel",
		"6&#39; &lt;2m":          "6' <2m",
		"caf\u00e9, cafe\u0301":  "cafe, cafe",
		"a\x00b\xffc":            "abc",
		"−6°C – 5":               "-6°c - 5",
		"☀️":                     "☀",
		"60×90":                  "60x90",
		"tab\tand\nline":         "tab and\nline",
		"bogus &nothing; entity": "bogus &nothing; entity",
	} {
		if got := normalise(say).text; got != want {
			t.Errorf("%q became %q, want %q", say, got, want)
		}
	}
}

// A span points at what was typed, whatever the plain text looks like.
func TestSpansPointIntoTheMessage(t *testing.T) {
	const say = "“soft” &amp; 3½ ft panel, ＩＳＯ 400"
	ear := house(t)
	f := ear.Read(say, nil).Facts
	v, _ := f.Get("camera.iso")
	if got := say[v.Span.Start:v.Span.End]; got != "ＩＳＯ 400" {
		t.Errorf("the ISO came from %q", got)
	}
	item, _ := f.Item("panel")
	if got := say[item.Span.Start:item.Span.End]; got != "3½ ft panel" {
		t.Errorf("the panel came from %q", got)
	}
}
