// Package slack is the coach in a team's Slack.
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
	Answer(*answer.Answer, Asker) Post
	Photo(last *answer.Answer, to Asker) Post
	Shared(text string, by Asker) Post
	Error(calm string) Post
	Help() Post
}

// The buttons a View may lay out.
const (
	Say   = "say"
	Show  = "show"
	Share = "share"
)

// Windows are what Slack shows outside a conversation.
type Windows interface {
	Home(context.Context, Asker) (slack.HomeTabViewRequest, error)
	Open(ctx context.Context, from Asker, action, value string) (*slack.ModalViewRequest, error)
	Submit(ctx context.Context, from Asker, form slack.View) (response *slack.ViewSubmissionResponse, say string, err error)
}
