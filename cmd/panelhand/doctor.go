package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"panelhand/bot/folder"
	"panelhand/bot/memory"
	"panelhand/bot/slack"
	"panelhand/bot/store"
)

// errUnwell ends doctor with exit status 1; what is wrong was already written.
var errUnwell = errors.New("not ready")

// mostSkew is how far this machine's clock may be off: a light that is an hour
// away should not be told for now.
const mostSkew = 2 * time.Minute

// A prober is what doctor asks of Slack.
type prober interface {
	Identify(ctx context.Context, token string) (slack.Identity, error)
	Socket(ctx context.Context, token string) error
}

// A finding is one thing looked at. An empty remedy means that all is well.
type finding struct{ what, found, remedy string }

// doctor looks at everything that serve needs and says what to do next.
func (p process) doctor(args []string) error {
	if len(args) > 0 {
		return usageError{p.usage("doctor")}
	}
	var ask prober
	base, err := slack.CheckAPI(p.getenv("SLACK_API_URL"))
	if err == nil {
		ask = slack.Probe{Base: base, Client: &http.Client{Timeout: 10 * time.Second}}
	}
	unwell := false
	findings := p.examine(context.Background(), ask)
	if err != nil {
		findings = append([]finding{{"address", err.Error(), "Unset SLACK_API_URL; only tests need it."}}, findings...)
	}
	for _, f := range findings {
		mark := "ok   "
		if f.remedy != "" {
			mark, unwell = "WRONG", true
		}
		fmt.Fprintf(p.out, "%s  %-9s %s\n", mark, f.what, f.found)
		if f.remedy != "" {
			fmt.Fprintf(p.out, "       do:      %s\n", f.remedy)
		}
	}
	if unwell {
		return errUnwell
	}
	return nil
}

// examine looks at each thing in the order in which it is needed. ask is nil
// where Slack cannot be asked.
func (p process) examine(ctx context.Context, ask prober) []finding {
	out := []finding{p.examinePlaybook()}
	if dir := p.getenv("PANELHAND_PLAYBOOK"); dir != "" {
		out = append(out, p.examineFolder(ctx, dir))
	}
	out = append(out, p.examineStore())
	bot, app := p.getenv("SLACK_BOT_TOKEN"), p.getenv("SLACK_APP_TOKEN")
	botShape := tokenShape("bot token", "SLACK_BOT_TOKEN", bot, "xoxb-", "OAuth & Permissions, after installing the app")
	appShape := tokenShape("app token", "SLACK_APP_TOKEN", app, "xapp-", "Basic Information, App-Level Tokens, with the scope connections:write")
	out = append(out, botShape, appShape)
	if ask == nil {
		return out
	}
	if botShape.remedy == "" {
		out = append(out, examineBot(ctx, ask, bot)...)
	}
	if appShape.remedy == "" {
		f := finding{"socket", "Slack lets it open one", ""}
		if err := ask.Socket(ctx, app); err != nil {
			f = finding{"socket", err.Error(), cure(err, "Check the network and any proxy: port 443 out to Slack, web sockets allowed.")}
		}
		out = append(out, f)
	}
	return out
}

func (p process) examinePlaybook() finding {
	book, err := p.book()
	if err != nil {
		return finding{"playbook", "it has mistakes, listed above", "Run panelhand playbook check on the folder in PANELHAND_PLAYBOOK."}
	}
	return finding{"playbook", counted(book), ""}
}

// examineFolder looks at the team's folder as rules from the channel are
// written to it.
func (p process) examineFolder(ctx context.Context, dir string) finding {
	how, err := folder.Open(ctx, dir).Look()
	if err != nil {
		return finding{"folder", memory.Calm(err), "Let the user that runs panelhand write to " + dir + "."}
	}
	book, err := p.book()
	if err != nil {
		return finding{"folder", dir + ", versions " + how, ""} // what is wrong was told of the playbook
	}
	led := "nobody is named a lead, so everybody is"
	if n := len(book.Crew.Leads); n > 0 {
		led = fmt.Sprintf("leads: %d", n)
	}
	f := finding{"folder", fmt.Sprintf("%s, versions %s; %s", dir, how, led), ""}
	if book.Crew.Owner.Value == "" {
		f.found += "; nobody is told of a broken edit but this log"
	}
	if len(book.Crew.Leads) == 1 {
		f.remedy = "Name a second lead in crew.yaml: a rule wants two."
	}
	return f
}

// examineStore opens the store as serve does.
func (p process) examineStore() finding {
	name := p.getenv("PANELHAND_STORE")
	switch name {
	case "":
		return finding{"store", "PANELHAND_STORE is not set: nothing would be kept", "Set PANELHAND_STORE to a file, such as /var/lib/panelhand/panelhand.db."}
	case ":memory:":
		return finding{"store", "in memory: everything is forgotten at the end", "Set PANELHAND_STORE to a file."}
	}
	kept, err := store.Open(name) // which reads all of it, and makes it where there is none
	if err != nil {
		return finding{"store", memory.Calm(err), "Mend that, then run panelhand doctor again."}
	}
	kept.Close()
	return finding{"store", name, ""}
}

// tokenShape checks what a token looks like, without saying it.
func tokenShape(what, name, token, prefix, where string) finding {
	switch {
	case token == "":
		return finding{what, name + " is not set", "Copy it from the app's page: " + where + "."}
	case strings.TrimSpace(token) != token || strings.ContainsAny(token, "\"' "):
		return finding{what, name + " has a space or a quote in it", "Paste it again, without either."}
	case !strings.HasPrefix(token, prefix) || len(token) < 20:
		return finding{what, name + " is no token that begins with " + prefix, "Copy it from the app's page: " + where + "."}
	}
	return finding{what, name + " looks right", ""}
}

// examineBot asks who the bot token is: its scopes and the clock come with the
// answer.
func examineBot(ctx context.Context, ask prober, token string) []finding {
	id, err := ask.Identify(ctx, token)
	if err != nil {
		return []finding{{"Slack", err.Error(), cure(err, "Check the network and any proxy: port 443 out to Slack.")}}
	}
	out := []finding{{"Slack", fmt.Sprintf("%s in %s", id.User, id.Team), ""}}
	var missing []string
	for _, scope := range (slack.Manifest{}).Scopes() {
		if !slices.Contains(id.Scopes, scope) {
			missing = append(missing, scope)
		}
	}
	scopes := finding{"scopes", "all that are needed", ""}
	if slices.Contains(id.Scopes, "channels:history") {
		scopes.found += ", and threads can be followed"
	}
	if len(missing) > 0 {
		scopes = finding{"scopes", "missing " + strings.Join(missing, ", "), "Put the output of panelhand slack manifest into the app's manifest, then install the app again."}
	}
	clock := finding{"clock", "right to " + mostSkew.String(), ""}
	if id.Skew.Abs() > mostSkew {
		clock = finding{"clock", fmt.Sprintf("off by %s against Slack's", id.Skew.Abs()), "Let the machine set its clock by the network."}
	}
	return append(out, scopes, clock)
}

// cure is what to do about what Slack said.
func cure(err error, otherwise string) string {
	var refused slack.Refused
	if !errors.As(err, &refused) {
		return otherwise
	}
	switch refused {
	case "invalid_auth", "not_authed", "token_revoked", "account_inactive", "token_expired":
		return "Copy the token anew from the app's page; install the app again if it was removed."
	case "not_allowed_token_type":
		return "The two tokens are the wrong way round, or one is of another kind: xoxb- in SLACK_BOT_TOKEN, xapp- in SLACK_APP_TOKEN."
	case "missing_scope", "no_permission":
		return "Give the app token the scope connections:write, the bot token those of panelhand slack manifest, and install the app again."
	case "ratelimited", "rate_limited":
		return "Wait a minute and run it again."
	}
	return "Look at the app's page in Slack: " + string(refused) + "."
}
