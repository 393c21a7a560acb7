package slack

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/slack-go/slack"
)

// takeIn decides on deliveries, one after another. What is taken on is
// claimed before it is acknowledged, so that a crash between the two loses
// nothing: Slack delivers again what nobody acknowledged.
func (b *Bot) takeIn(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case e := <-b.intake:
			b.decide(b.working, e) // also when stopping: it is in hand, and will be acknowledged
			if err := e.ack(nil); err != nil {
				b.count("ack failed")
			}
		}
	}
}

func (b *Bot) decide(ctx context.Context, e *envelope) {
	defer func() {
		if r := recover(); r != nil {
			b.count("panicked")
			b.log.Error("deciding on a delivery broke", "type", e.Type, "cause", fmt.Sprint(r))
		}
	}()
	var err error
	switch e.Type {
	case "events_api":
		var o outer
		if err = json.Unmarshal(e.Payload, &o); err == nil {
			b.event(ctx, o)
		}
	case "slash_commands":
		var c command
		if err = json.Unmarshal(e.Payload, &c); err == nil {
			b.slash(ctx, c)
		}
	case "interactive":
		var i interaction
		if err = json.Unmarshal(e.Payload, &i); err == nil {
			b.interaction(ctx, e, i)
		}
	default:
		err = fmt.Errorf("a delivery of type %.40q", e.Type)
	}
	if err != nil {
		b.count("not understood")
		if kind := fmt.Sprintf("%.40s %.80s", e.Type, err); b.unknown.add(kind, b.now(), 24*time.Hour) {
			b.log.Warn("a delivery that is not understood; it is acknowledged and left", "type", e.Type, "cause", err)
		}
	}
}

func (b *Bot) event(ctx context.Context, o outer) {
	e := o.Event
	switch {
	case e.Type == "app_home_opened" && e.Tab == "home":
		b.home(o.Team, e.User)
	case e.Type == "message" && e.Subtype == "message_deleted":
		b.deleted.add(messageKey(o.Team, e.Channel, e.Deleted), b.now(), time.Hour)
	case e.Type == "message" || e.Type == "app_mention":
		s, why, err := b.message(ctx, o)
		switch {
		case err != nil:
			b.noClaims(err)
		case why != "":
			b.count("silent: " + string(why))
		default:
			b.accept(ctx, s)
		}
	}
}

// accept claims what was said and queues it; false where somebody has it
// already, or nobody can tell.
func (b *Bot) accept(ctx context.Context, s said) bool {
	data, err := json.Marshal(s)
	if err != nil {
		b.log.Error("a message that cannot be kept", "cause", err)
		return false
	}
	asking, cancel := context.WithTimeout(ctx, b.pace.Store)
	defer cancel()
	fresh, err := b.claims.Claim(asking, s.Key, data, b.now())
	switch {
	case err != nil: // rather silence than two answers
		b.count("silent: " + string(noStore))
		b.noClaims(err)
		return false
	case !fresh:
		b.count("silent: " + string(redelivery))
		return false
	}
	if s.Parent != "" && !s.Aside && !s.Alone {
		if err := b.own(asking, s.Team, s.Channel, s.Parent, holding{By: s.Person, Thread: s.Thread}); err != nil {
			b.noClaims(err)
		}
	}
	if !b.lanes.put(s.lane(), s) {
		b.count("silent: " + string(overload))
		b.conclude(ctx, string(overload), s.Key)
		if b.pressed.add("busy|"+s.Person, b.now(), time.Minute) {
			b.background(func(ctx context.Context) {
				if err := b.respond(ctx, s, b.view.Error(b.phrase("slack-busy"))); err != nil {
					b.log.Warn("the asker could not be told to wait", "cause", err)
				}
			})
		}
	}
	return true
}

// background does what needs the network and no order. It ends with the work.
func (b *Bot) background(do func(context.Context)) {
	ctx := b.working
	b.aside.Go(func() {
		defer func() {
			if r := recover(); r != nil {
				b.count("panicked")
				b.log.Error("something broke", "cause", fmt.Sprint(r))
			}
		}()
		do(ctx)
	})
}

func (b *Bot) slash(ctx context.Context, c command) {
	thread, err := b.private(ctx, c.Team, c.Channel, c.User)
	if err != nil {
		b.noClaims(err)
		return
	}
	s := said{
		Key: "trigger|" + c.Trigger, Team: c.Team, Channel: c.Channel, Thread: thread, Person: c.User,
		Text: b.read.plain(c.Text), URL: c.URL, At: b.now(), Alone: true,
	}
	if strings.EqualFold(s.Text, "help") {
		s.Text = ""
	}
	b.accept(ctx, s)
}

func (b *Bot) interaction(ctx context.Context, e *envelope, i interaction) {
	switch i.Type {
	case "block_actions":
		for _, a := range i.Actions {
			b.press(ctx, i, a)
		}
	case "message_action":
		b.about(ctx, i)
	case "shortcut":
		b.open(i, Asker{Team: i.team(), Person: i.User.ID}, i.Callback, "")
	case "view_submission":
		b.submit(ctx, e, i)
	}
}

// press is a button. A double press comes as two of everything, so the time
// between tells them apart.
func (b *Bot) press(ctx context.Context, i interaction, a action) {
	what, _, _ := strings.Cut(a.ID, ":")
	value := a.Value
	if value == "" {
		value = a.Selected.Value
	}
	where := fmt.Sprintf("%s|%s|%s|%s", i.channel(), i.In.Message, a.ID, i.User.ID)
	if !b.pressed.add(where, b.now(), b.pace.Double) {
		b.count("silent: pressed twice")
		return
	}
	s := said{
		Key: "trigger|" + i.Trigger, Team: i.team(), Channel: i.channel(), Person: i.User.ID,
		Text: value, URL: i.URL, At: b.now(), Button: true, Alone: i.In.Ephemeral,
	}
	s.Direct = strings.HasPrefix(s.Channel, "D")
	var err error
	switch {
	case what != Say && what != Show && what != Share:
		if i.Trigger != "" && what != "" {
			b.open(i, s.asker(), what, value)
		}
		return
	case value == "" || s.Channel == "":
		return
	case i.In.Ephemeral:
		s.Thread = addressed(a.Block)
		if s.Thread == "" {
			s.Thread, err = b.private(ctx, s.Team, s.Channel, s.Person)
		}
	case s.Direct:
		s.Thread, s.Parent = s.Channel, i.parent()
		if s.Parent != "" {
			s.Thread += "/" + s.Parent
		}
	default:
		s.Parent = i.parent()
		if s.Parent == "" {
			s.Parent = i.In.Message
		}
		var own holding
		var ok bool
		own, ok, err = b.owned(ctx, s.Team, s.Channel, s.Parent)
		s.Thread = s.Channel + "/" + s.Parent
		if ok {
			s.Thread = own.Thread
		}
	}
	if err != nil {
		b.noClaims(err)
		return
	}
	switch what {
	case Show:
		s.Do, s.Alone = Show, true
	case Share:
		s.Do, s.Alone, s.Parent = Share, false, ""
		s.Key = "share|" + where // once, however often it is pressed
	}
	b.accept(ctx, s)
}

func (i interaction) channel() string {
	if i.In.Channel != "" {
		return i.In.Channel
	}
	return i.Channel.ID
}

// parent is the thread a pressed message is in.
func (i interaction) parent() string {
	if i.In.Parent != "" {
		return i.In.Parent
	}
	return i.Message.Parent
}

// about answers a message that somebody points at, in its thread.
func (b *Bot) about(ctx context.Context, i interaction) {
	m := i.Message
	s := said{
		Key: messageKey(i.team(), i.channel(), m.TS), Team: i.team(), Channel: i.channel(), TS: m.TS, Parent: m.Parent,
		Person: i.User.ID, Text: b.read.plain(m.text()), URL: i.URL, At: when(m.TS), Photo: m.photo(), Direct: strings.HasPrefix(i.channel(), "D"),
	}
	switch {
	case m.TS == "" || s.Channel == "":
		return
	case m.User == b.self.user || m.Bot != "" && m.Bot == b.self.bot:
		b.tell(s, "slack-own-words")
		return
	case s.Parent == "":
		s.Parent = m.TS
	}
	s.Thread = s.Channel + "/" + s.Parent
	own, ok, err := b.owned(ctx, s.Team, s.Channel, s.Parent)
	if err != nil {
		b.noClaims(err)
		return
	}
	if ok {
		s.Thread = own.Thread
	}
	if !b.accept(ctx, s) && b.Health().OK {
		b.tell(s, "slack-answered")
	}
}

// tell tells the asker alone one of our sentences.
func (b *Bot) tell(s said, phrase string) {
	if b.dry {
		return
	}
	b.background(func(ctx context.Context) {
		if err := b.respond(ctx, s, b.view.Error(b.phrase(phrase))); err != nil {
			b.log.Warn("not told", "phrase", phrase, "cause", err)
		}
	})
}

// home shows somebody the app's own page.
func (b *Bot) home(team, person string) {
	if b.windows == nil || b.dry || !b.pressed.add("home|"+team+"|"+person, b.now(), b.pace.Double/2) {
		return
	}
	b.background(func(ctx context.Context) {
		ctx, cancel := context.WithTimeout(ctx, b.pace.Request)
		defer cancel()
		page, err := b.windows.Home(ctx, Asker{Team: team, Person: person})
		if err == nil {
			_, err = b.api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: person, View: page})
		}
		if err != nil {
			b.count("page failed")
			b.log.Warn("the app's page could not be shown", "cause", err)
		}
	})
}

// open opens the form behind a button or shortcut. It has three seconds.
func (b *Bot) open(i interaction, from Asker, action, value string) {
	if b.windows == nil || b.dry {
		return
	}
	b.background(func(ctx context.Context) {
		ctx, cancel := context.WithTimeout(ctx, b.pace.Form)
		defer cancel()
		form, err := b.windows.Open(ctx, from, action, value)
		if err == nil && form != nil {
			_, err = b.api.OpenViewContext(ctx, i.Trigger, *form)
		}
		if err == nil {
			return
		}
		b.count("form failed")
		b.log.Warn("a form could not be opened", "action", action, "cause", err)
		if i.URL != "" {
			b.tell(said{URL: i.URL, Person: from.Person, Channel: from.Channel}, "slack-no-form")
		}
	})
}

// submit takes a filled form. Its answer is in the acknowledgement.
func (b *Bot) submit(ctx context.Context, e *envelope, i interaction) {
	var form slack.View
	if err := json.Unmarshal(i.View, &form); err != nil || b.windows == nil {
		b.count("not understood")
		return
	}
	from := Asker{Team: i.team(), Person: i.User.ID}
	thinking, cancel := context.WithTimeout(ctx, b.pace.Form)
	defer cancel()
	response, say, err := b.windows.Submit(thinking, from, form)
	if err != nil {
		b.count("form failed")
		b.log.Warn("a form could not be taken", "cause", err)
	}
	if response != nil {
		err = e.ack(response)
	} else {
		err = e.ack(nil)
	}
	if err != nil {
		b.count("ack failed")
	}
	if say == "" {
		return
	}
	// A form has no place of its own: its answer comes as a direct message.
	b.accept(ctx, said{
		Key: "form|" + form.ID + "|" + form.Hash, Team: from.Team, Channel: from.Person, Thread: from.Person, Person: from.Person,
		Text: say, At: b.now(), Button: true, Direct: true,
	})
}
