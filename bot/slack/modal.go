package slack

import (
	"strings"
	"unicode/utf8"

	"github.com/slack-go/slack"

	"panelhand/bot/answer"
)

// The forms, by their callback ids, and the fields in them.
const (
	formKit   = "kit"
	formFirst = "first"
	formWrong = "wrong"

	fieldBag   = "bag"   // kit that is ticked
	fieldLines = "lines" // kit in the crew's own words
	fieldUnits = "units"
	fieldVenue = "venue"
	fieldWhat  = "what"
)

// Room in the forms' fields, in characters.
const (
	roomKit   = 1500 // a message that the coach still reads
	roomVenue = 80
	roomWhat  = 1500
	roomTold  = 2500 // of private_metadata
)

// KitForm is the kit list as a form: what the crew has, a line each in its own
// words, to be changed there.
func (p *Phone) KitForm(page Page) slack.ModalViewRequest {
	f := p.form(formKit, "slack-kit-title", "slack-keep")
	f.kit(page.Kit, false)
	f.units(page.Feet)
	return f.view
}

// FirstForm asks before the first set-up: what is in the bag, lengths in
// what, and where. All of it can be left out.
func (p *Phone) FirstForm(page Page) slack.ModalViewRequest {
	f := p.form(formFirst, "slack-first-title", "slack-keep")
	f.lead("slack-first-lead")
	var options []*slack.OptionBlockObject
	for _, item := range numbered(p.say, "slack-kit-") {
		options = append(options, slack.NewOptionBlockObject(item, plain(item), nil))
	}
	f.field(fieldBag, "slack-kit-tick", "slack-kit-tick-hint", slack.NewCheckboxGroupsBlockElement(fieldBag, options...), true)
	f.kit(page.Kit, true)
	f.units(page.Feet)
	venue := slack.NewPlainTextInputBlockElement(nil, fieldVenue)
	venue.MaxLength = roomVenue
	f.field(fieldVenue, "slack-venue", "slack-venue-hint", venue, true)
	return f.view
}

// WrongForm asks what was wrong with an answer. It carries the message that was
// answered, so that the case can be kept whole.
func (p *Phone) WrongForm(said string) slack.ModalViewRequest {
	f := p.form(formWrong, "slack-wrong-title", "slack-wrong-send")
	f.lead("slack-wrong-lead")
	what := slack.NewPlainTextInputBlockElement(nil, fieldWhat)
	what.Multiline, what.MaxLength = true, roomWhat
	f.field(fieldWhat, "slack-wrong-what", "", what, true)
	f.view.PrivateMetadata = cut(clean(said), roomTold)
	return f.view
}

// A form is a modal as it is put together.
type form struct {
	say  answer.Phrases
	view slack.ModalViewRequest
}

func (p *Phone) form(id, title, submit string) *form {
	text := func(phrase string) *slack.TextBlockObject { return plain(cut(oneLine(p.say(phrase)), 22)) }
	return &form{p.say, slack.ModalViewRequest{Type: slack.VTModal, CallbackID: id, Title: text(title), Submit: text(submit), Close: text("slack-close")}}
}

func (f *form) lead(phrase string) {
	f.view.Blocks.BlockSet = append(f.view.Blocks.BlockSet, slack.NewRichTextBlock("", section("", plainly, f.say(phrase))))
}

// field adds one field; its block is named as it is, so that a mistake can be
// told beside it.
func (f *form) field(name, label, hint string, e slack.BlockElement, optional bool) {
	block := slack.NewInputBlock(name, plain(f.say(label)), nil, e)
	if text := f.say(hint); text != "" {
		block.Hint = plain(text)
	}
	block.Optional = optional
	f.view.Blocks.BlockSet = append(f.view.Blocks.BlockSet, block)
}

func (f *form) kit(now []string, optional bool) {
	lines := slack.NewPlainTextInputBlockElement(plain(f.say("slack-kit-example")), fieldLines)
	lines.Multiline, lines.MaxLength = true, roomKit
	lines.InitialValue = cut(clean(strings.Join(now, "\n")), roomKit)
	f.field(fieldLines, "slack-kit-lines", "slack-kit-lines-hint", lines, optional)
}

const (
	metric   = "metric"
	imperial = "imperial"
)

func (f *form) units(feet bool) {
	metres := slack.NewOptionBlockObject(metric, plain(f.say("slack-units-metric")), nil)
	inches := slack.NewOptionBlockObject(imperial, plain(f.say("slack-units-imperial")), nil)
	radio := slack.NewRadioButtonsBlockElement(fieldUnits, metres, inches)
	radio.InitialOption = metres
	if feet {
		radio.InitialOption = inches
	}
	f.field(fieldUnits, "slack-units", "", radio, true)
}

// A Filled form is what came back.
type Filled struct {
	Say   string  // the kit as a message, to be answered as though it was typed
	Feet  *bool   // the lengths asked for; nil where the form does not ask
	Venue string  // where they mostly shoot, as typed
	Wrong *Report // of the form on a wrong answer
}

// A Report is an answer that somebody found wrong.
type Report struct {
	Said string // the message that was answered
	What string // what was wrong, in their words; may be empty
}

// Read reads a form that was sent: what to do with it, or the mistakes by the
// name of their field, to be told beside them. Fields may be missing, and their
// values may be null.
func (p *Phone) Read(v slack.View) (Filled, map[string]string) {
	value := func(field string) (slack.BlockAction, bool) {
		if v.State == nil {
			return slack.BlockAction{}, false
		}
		action, ok := v.State.Values[field][field]
		return action, ok
	}
	text := func(field string) string {
		action, _ := value(field)
		return clean(action.Value)
	}
	var out Filled
	switch v.CallbackID {
	case formWrong:
		out.Wrong = &Report{Said: v.PrivateMetadata, What: cut(text(fieldWhat), roomWhat)}
		return out, nil
	case formKit, formFirst:
	default:
		return out, nil
	}
	if action, ok := value(fieldUnits); ok && action.SelectedOption.Value != "" {
		feet := action.SelectedOption.Value == imperial
		out.Feet = &feet
	}
	var items []string
	bag, _ := value(fieldBag)
	for _, option := range bag.SelectedOptions {
		items = append(items, oneLine(option.Value))
	}
	for line := range strings.Lines(text(fieldLines)) {
		if line = strings.Trim(oneLine(line), " ,;•-"); line != "" {
			items = append(items, line)
		}
	}
	kit := strings.Join(items, ", ")
	venue := oneLine(text(fieldVenue))
	switch {
	case utf8.RuneCountInString(kit) > roomKit:
		return Filled{}, map[string]string{fieldLines: p.say("slack-kit-long")}
	case kit == "" && v.CallbackID == formKit:
		return Filled{}, map[string]string{fieldLines: p.say("slack-kit-empty")}
	}
	if kit != "" {
		out.Say = strings.ReplaceAll(p.say("slack-kit-say"), "<kit>", kit)
	}
	out.Venue = cut(venue, roomVenue)
	return out, nil
}
