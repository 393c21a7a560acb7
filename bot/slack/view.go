package slack

import (
	"context"

	"github.com/slack-go/slack"

	"panelhand/bot/answer"
)

// A Post is one outgoing message: Text is the notification and what is read
// aloud, and carries the whole short answer; Blocks are what is seen, nil for
// a post of text alone.
type Post struct {
	Text   string
	Blocks []slack.Block
}

// An Asker is whom a post answers, and where.
type Asker struct {
	Team    string
	Channel string // the channel or direct message
	Thread  string // the conversation, as the coach knows it
	Person  string // a user's id

	Said   string   // what they typed, or the words of the button they pressed
	Button bool     // Said came from a button, so nobody else saw it being said
	Also   []string // earlier messages of the thread that the same post answers, oldest first
	Alone  bool     // only the asker sees the post: it wants a button to share it
	Photo  bool     // a photo came with the message, which nobody here can see
}

// A View lays out posts. It is safe for concurrent use and touches no network.
type View interface {
	// Answer is the coach's answer to a message.
	Answer(*answer.Answer, Asker) Post
	// Photo answers a photo that came without words: it cannot be seen, and
	// these are the faults likeliest for the set-up of the last answer, nil
	// where there was none.
	Photo(last *answer.Answer, to Asker) Post
	// Shared is an answer that its asker, until now the only one to see it,
	// shows to all. The text is the value of the button that was pressed.
	Shared(text string, by Asker) Post
	// Error is a calm sentence about trouble.
	Error(calm string) Post
	// Help is what to type.
	Help() Post
}

// The buttons a View may lay out. A button's action id is one of these,
// alone or followed by ":" and anything that sets it apart from the others of
// its message; an action id that is none of these opens a window.
const (
	// Say stands for typing: the button's value is the message.
	Say = "say"
	// Show shows the button's value, a text, to the one who pressed it.
	Show = "show"
	// Share posts an answer only its asker sees for all to see: the button's
	// value is the text given to View.Shared.
	Share = "share"
)

// Windows are what Slack shows outside a conversation: forms, and the app's
// own page. A nil Windows has none.
type Windows interface {
	// Home is the app's own page as this person sees it.
	Home(context.Context, Asker) (slack.HomeTabViewRequest, error)
	// Open is the form behind a button or shortcut; nil where there is none.
	Open(ctx context.Context, from Asker, action, value string) (*slack.ModalViewRequest, error)
	// Submit takes a form that was filled in. A nil response closes it; say,
	// if any, is then answered as though the person had typed it to the
	// coach. It has two seconds.
	Submit(ctx context.Context, from Asker, form slack.View) (response *slack.ViewSubmissionResponse, say string, err error)
}
