package slack

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/slack-go/slack"

	"panelhand/bot/answer"
	"panelhand/bot/render"
)

// A Phone lays answers out for a phone, in the words of a playbook and in the
// document's one order. What anybody typed goes into rich text, where nothing is
// a mark, and never into a text that Slack reads marks in.
type Phone struct {
	say    answer.Phrases
	labels render.Labels
}

// NewPhone lays out in the words of a playbook.
func NewPhone(say answer.Phrases) *Phone {
	return &Phone{say, render.LabelsFrom(say)}
}

// Wrong is the button that opens the form on a wrong answer; its value is the
// message that was answered.
const Wrong = "wrong"

// Answer is the coach's answer to a message: the set-up and the dials first, as
// the lock screen shows them; a stop before all else and without anything to
// press that would go on.
func (p *Phone) Answer(a *answer.Answer, to Asker) Post {
	if a == nil {
		return p.Help()
	}
	var l layout
	p.document(&l, a)
	if to.Photo {
		l.small(p.say("slack-photo-too"))
	}
	p.asked(&l, to)
	l.buttons("next", p.next(a)...)
	l.buttons("more", p.more(a, to)...)
	return l.post(a.Text, p.tail(to))
}

// document lays the sections out as a phone's text has them.
func (p *Phone) document(l *layout, a *answer.Answer) {
	sections := render.Short(a.Sections, p.labels)
	if len(sections) == 0 { // an answer that was kept: only its text is left
		sections = render.Short([]answer.Section{{Part: answer.Prose, Lines: strings.Split(a.Text, "\n")}}, nil)
	}
	for _, s := range sections {
		label := p.labels[s.Part]
		switch s.Part {
		case answer.Stop:
			l.header(p.say("slack-stop"))
			l.lines("", bold, s.Lines...)
			l.add(slack.NewDividerBlock())
		case answer.Lead:
			l.lines("", bold, s.Lines...)
		case answer.Helper: // to be read out
			l.lines(label, plainly)
			l.quote(s.Lines...)
		case answer.Assume:
			l.small(labelled(label, strings.Join(s.Lines, " ")))
		case answer.Camera, answer.Flash:
			l.join(label, s.Lines...)
		default:
			l.lines(label, plainly, s.Lines...)
		}
	}
}

// next are the follow-ups that fit; where nothing was understood, what can be
// typed.
func (p *Phone) next(a *answer.Answer) []button {
	var row []button
	if !a.Stops() {
		for _, n := range a.Next {
			row = append(row, button{action: Say, label: n.Label, value: n.Say})
		}
	}
	if a.Kind == answer.KindUnsure {
		row = append(row, button{action: Say, label: p.say("slack-words"), value: p.say("slack-words-say")})
	}
	return row
}

// more are the buttons on the answer itself.
func (p *Phone) more(a *answer.Answer, to Asker) []button {
	var row []button
	if to.Alone {
		row = append(row, button{action: Share, label: p.say("slack-share"), value: a.Text, strong: true})
	}
	if working := p.working(a); working != "" && !a.Stops() {
		row = append(row, button{action: Show, label: p.say("slack-working"), value: working})
	}
	if others := p.others(a); others != "" && !a.Stops() {
		row = append(row, button{action: Show, label: p.say("slack-others"), value: others})
	}
	if a.Setup != nil && a.Numbers != nil && !a.Stops() {
		row = append(row, button{action: Say, label: p.say("slack-save"), value: p.say("slack-save-say")})
	}
	if a.Kind != answer.KindHelp {
		row = append(row, button{action: Wrong, label: p.say("slack-wrong"), value: to.Said})
	}
	return row
}

// working is every number's formula with its numbers put in, as many as a
// button holds.
func (p *Phone) working(a *answer.Answer) string {
	var lines []string
	for _, w := range a.Working {
		lines = append(lines, w.Told())
	}
	return whole(lines, roomValue)
}

// others are the set-ups that came next, and those that a limit ruled out.
func (p *Phone) others(a *answer.Answer) string {
	var lines []string
	for _, o := range a.Others {
		lines = append(lines, labelled(o.Title, o.Why))
	}
	for i, o := range a.Dropped {
		if i == 0 {
			lines = append(lines, p.say("slack-not-here")+":")
		}
		lines = append(lines, labelled(o.Title, o.Why))
	}
	return whole(lines, roomValue)
}

// asked tells at the end what nobody saw being typed: the button that was
// pressed, and other messages that the same post answers.
func (p *Phone) asked(l *layout, to Asker) {
	for _, said := range p.unseen(to) {
		l.typed(p.say("slack-asked"), said)
	}
}

func (p *Phone) unseen(to Asker) []string {
	said := to.Also
	if to.Button {
		said = append(append([]string(nil), said...), to.Said)
	}
	return said
}

// tail is what the fallback adds to the answer's own text.
func (p *Phone) tail(to Asker) string {
	var lines []string
	if to.Photo {
		lines = append(lines, p.say("slack-photo-too"))
	}
	for _, said := range p.unseen(to) {
		lines = append(lines, labelled(p.say("slack-asked"), "“"+cut(oneLine(said), roomSaid)+"”"))
	}
	return strings.Join(lines, "\n")
}

// Photo answers a photo that came without words: it cannot be seen. What
// fits the set-up that stands can be pressed; where none stands, what is wrong
// most often (common practice).
func (p *Phone) Photo(last *answer.Answer, to Asker) Post {
	var l layout
	text := p.say("slack-photo")
	l.lines("", plainly, text)
	var row []button
	if last != nil {
		row = p.next(last)
	}
	for i := 1; len(row) < 4; i++ {
		fault := p.say("slack-photo-fault-" + strconv.Itoa(i))
		if fault == "" {
			break
		}
		row = append(row, button{action: Say, label: fault, value: fault})
	}
	l.buttons("next", row...)
	return l.post(text, "")
}

// Shared is an answer that its asker shows to all.
func (p *Phone) Shared(text string, by Asker) Post {
	var l layout
	first, rest, _ := strings.Cut(text, "\n")
	l.lines("", bold, first)
	l.lines("", plainly, strings.Split(rest, "\n")...)
	l.small(p.say("slack-shared"))
	return l.post(text, p.say("slack-shared"))
}

// Error is a calm sentence about trouble.
func (p *Phone) Error(calm string) Post {
	var l layout
	l.lines("", plainly, calm)
	return l.post(calm, "")
}

// Help is what to type.
func (p *Phone) Help() Post {
	var l layout
	lead, lines := p.say("slack-home-lead"), numbered(p.say, "slack-home-type-")
	l.lines("", bold, lead)
	l.quote(lines...)
	where := p.say("slack-home-type-where")
	l.small(where)
	return l.post(lead+"\n"+strings.Join(lines, "\n"), where)
}

// numbered are the phrases prefix+"1", prefix+"2" and so on.
func numbered(say answer.Phrases, prefix string) []string {
	var out []string
	for i := 1; say(prefix+strconv.Itoa(i)) != ""; i++ {
		out = append(out, say(prefix+strconv.Itoa(i)))
	}
	return out
}

func labelled(label, text string) string {
	if label == "" {
		return text
	}
	return label + ": " + text
}

// whole joins as many whole lines as there is room for.
func whole(lines []string, room int) string {
	var b strings.Builder
	for _, line := range lines {
		line = oneLine(line)
		if room -= utf8.RuneCountInString(line) + 1; room < 0 {
			break
		}
		b.WriteString(line + "\n")
	}
	return strings.TrimRight(b.String(), "\n")
}

// --- blocks -----------------------------------------------------------------

// A layout is the blocks of a message as they are put together.
type layout struct {
	blocks []slack.Block
	rich   []slack.RichTextElement // lines that stand close together, not yet a block
}

type style int

const (
	plainly style = iota
	bold
	italic
)

func (s style) slack() *slack.RichTextSectionTextStyle {
	switch s {
	case bold:
		return &slack.RichTextSectionTextStyle{Bold: true}
	case italic:
		return &slack.RichTextSectionTextStyle{Italic: true}
	}
	return nil
}

// section is one line: a label, and a text as it is.
func section(label string, s style, text string) *slack.RichTextSection {
	var parts []slack.RichTextSectionElement
	if label = oneLine(label); label != "" {
		if text != "" {
			label += ": "
		}
		parts = append(parts, slack.NewRichTextSectionTextElement(cut(label, roomTitle), bold.slack()))
	}
	if text = cut(oneLine(text), roomLine); text != "" {
		parts = append(parts, slack.NewRichTextSectionTextElement(text, s.slack()))
	}
	if len(parts) == 0 {
		return nil
	}
	return slack.NewRichTextSection(parts...)
}

func (l *layout) add(b slack.Block) {
	l.flush()
	l.blocks = append(l.blocks, b)
}

// flush makes a block of the lines so far.
func (l *layout) flush() {
	if len(l.rich) > 0 {
		l.blocks = append(l.blocks, slack.NewRichTextBlock("", l.rich...))
		l.rich = nil
	}
}

// lines is a paragraph of its own, with a label before its first line.
func (l *layout) lines(label string, s style, lines ...string) {
	l.flush()
	l.put(label, s, lines...)
}

// join puts lines under those before, without a gap.
func (l *layout) join(label string, lines ...string) { l.put(label, plainly, lines...) }

func (l *layout) put(label string, s style, lines ...string) {
	if len(lines) == 0 {
		lines = []string{""}
	}
	for i, line := range lines {
		if i > 0 {
			label = ""
		}
		if one := section(label, s, line); one != nil {
			l.rich = append(l.rich, one)
		}
	}
}

// quote sets lines apart that are to be read out.
func (l *layout) quote(lines ...string) {
	for _, line := range lines {
		if line = cut(oneLine(line), roomLine); line != "" {
			l.rich = append(l.rich, &slack.RichTextQuote{Type: slack.RTEQuote, Elements: []slack.RichTextSectionElement{slack.NewRichTextSectionTextElement(line, nil)}})
		}
	}
}

// typed is what somebody typed, told again.
func (l *layout) typed(label, text string) {
	l.flush()
	if one := section(label, italic, cut(oneLine(text), roomSaid)); one != nil {
		l.rich = append(l.rich, one)
	}
}

// small is a line in small letters. Plain text: nothing in it is a mark.
func (l *layout) small(text string) {
	if text = cut(oneLine(text), roomLine); text != "" {
		l.add(slack.NewContextBlock("", plain(text)))
	}
}

func (l *layout) header(text string) {
	if text = cut(oneLine(text), roomTitle); text != "" {
		l.add(slack.NewHeaderBlock(plain(text)))
	}
}

// plain is a text in which nothing is a mark and no code becomes a picture.
func plain(text string) *slack.TextBlockObject {
	return slack.NewTextBlockObject(slack.PlainTextType, text, false, false)
}

// A button does action with value; see Say and its kin.
type button struct {
	action, label, value string
	strong               bool
}

// mostButtons is how many stand in one row.
const mostButtons = 6

// buttons is a row of them. Their ids are told apart by the row and their
// place in it.
func (l *layout) buttons(row string, all ...button) {
	var elements []slack.BlockElement
	for i, b := range all {
		label := cut(oneLine(b.label), roomLabel)
		if label == "" || len(elements) == mostButtons {
			continue
		}
		e := slack.NewButtonBlockElement(fmt.Sprintf("%s:%s-%d", b.action, row, i), cut(clean(b.value), roomValue), plain(label))
		if b.strong {
			e.Style = slack.StylePrimary
		}
		elements = append(elements, e)
	}
	if len(elements) > 0 {
		l.add(slack.NewActionBlock("", elements...))
	}
}

// post is the message: the blocks, and everything again as one text. What
// would be too long for Slack loses blocks from its end; the text still has it
// all.
func (l *layout) post(text, tail string) Post {
	l.flush()
	if tail != "" {
		text += "\n" + tail
	}
	post := Post{Text: fallback(text), Blocks: l.blocks}
	if post.Text == "" {
		post.Text = "…"
	}
	for post.Check() != nil && len(post.Blocks) > 0 {
		post.Blocks = post.Blocks[:len(post.Blocks)-1]
	}
	if len(post.Blocks) == 0 {
		post.Blocks = nil
	}
	return post
}
