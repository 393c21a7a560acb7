package slack

import (
	"fmt"

	"github.com/slack-go/slack"
)

// A Page is what a team keeps, in words, for the app's own page and the
// forms.
type Page struct {
	Kit    []string // a line each, as the crew would say it
	Setups []Kept   // the newest first
	Notes  []string // of today
	Feet   bool     // lengths are in feet and inches
}

// Kept is a set-up that was kept.
type Kept struct {
	Title string
	Dials string // and where and when, in one line
	Say   string // the message that shows it again
}

// How much of a page a phone shows.
const (
	mostSetups = 8
	mostNotes  = 8
	mostKit    = 20
)

// Buttons of the page and of first use; each opens a form.
const (
	Kit   = "kit"   // the kit list
	First = "first" // the questions before the first set-up
)

// Home is the app's own page: the kit, the set-ups that were kept, today's
// notes, and what to type, in words.
func (p *Phone) Home(page Page) slack.HomeTabViewRequest {
	var l layout
	l.lines("", bold, p.say("slack-home-lead"))
	list := func(head, none string, lines []string, most int) {
		l.header(p.say(head))
		if len(lines) == 0 {
			l.small(p.say(none))
		}
		l.list(lines[:min(len(lines), most)]...)
	}
	list("slack-home-kit", "slack-home-kit-none", page.Kit, mostKit)
	open := button{action: First, label: p.say("slack-home-first"), strong: true}
	if len(page.Kit) > 0 {
		open = button{action: Kit, label: p.say("slack-home-kit-change")}
	}
	l.buttons("home", open)

	l.header(p.say("slack-home-setups"))
	if len(page.Setups) == 0 {
		l.small(p.say("slack-home-setups-none"))
	}
	for i, s := range page.Setups[:min(len(page.Setups), mostSetups)] {
		l.lines("", bold, s.Title)
		l.join("", s.Dials)
		if s.Say != "" {
			l.buttons(fmt.Sprint("setup", i), button{action: Say, label: p.say("slack-home-again"), value: s.Say})
		}
	}
	list("slack-home-notes", "slack-home-notes-none", page.Notes, mostNotes)

	l.header(p.say("slack-home-type"))
	l.list(numbered(p.say, "slack-home-type-")...)
	l.small(p.say("slack-home-type-where"))
	l.flush()
	return slack.HomeTabViewRequest{Type: slack.VTHomeTab, Blocks: slack.Blocks{BlockSet: l.blocks}}
}

// list is lines with a mark before each. Not the list that rich text has: the
// library writes a key into it that the official types lack.
func (l *layout) list(lines ...string) {
	l.flush()
	for _, line := range lines {
		if line = cut(oneLine(line), roomSaid); line != "" {
			l.join("", "• "+line)
		}
	}
}
