package slack

import (
	"context"

	"github.com/slack-go/slack"
)

// A Notebook is what the forms and the app's own page read and write of what a
// team keeps.
type Notebook interface {
	// Page is what this person's team keeps.
	Page(context.Context, Asker) (Page, error)
	// Settle keeps the lengths and the venue of a form; either may be unsaid.
	Settle(ctx context.Context, from Asker, feet *bool, venue string) error
	// Report keeps an answer that somebody found wrong.
	Report(context.Context, Asker, Report) error
}

// Forms are the windows of a phone: the forms and the app's own page over
// what a team keeps.
type Forms struct {
	Phone    *Phone
	Notebook Notebook
}

// Home is the app's own page as this person sees it.
func (f Forms) Home(ctx context.Context, from Asker) (slack.HomeTabViewRequest, error) {
	page, err := f.Notebook.Page(ctx, from)
	return f.Phone.Home(page), err
}

// Open is the form behind a button; nil where there is none.
func (f Forms) Open(ctx context.Context, from Asker, action, value string) (*slack.ModalViewRequest, error) {
	var form slack.ModalViewRequest
	switch action {
	case Wrong:
		form = f.Phone.WrongForm(value)
	case Kit, First:
		page, err := f.Notebook.Page(ctx, from)
		if err != nil {
			return nil, err
		}
		if form = f.Phone.KitForm(page); action == First {
			form = f.Phone.FirstForm(page)
		}
	default:
		return nil, nil
	}
	return &form, CheckModal(form)
}

// Submit takes a form that was filled in: it closes, or says beside a field
// what is amiss. What it says of the kit is answered as though it was typed.
func (f Forms) Submit(ctx context.Context, from Asker, v slack.View) (*slack.ViewSubmissionResponse, string, error) {
	filled, amiss := f.Phone.Read(v)
	if amiss != nil {
		return slack.NewErrorsViewSubmissionResponse(amiss), "", nil
	}
	if filled.Wrong != nil {
		return nil, "", f.Notebook.Report(ctx, from, *filled.Wrong)
	}
	if filled.Feet != nil || filled.Venue != "" {
		if err := f.Notebook.Settle(ctx, from, filled.Feet, filled.Venue); err != nil {
			return nil, filled.Say, err
		}
	}
	return nil, filled.Say, nil
}

var (
	_ Windows = Forms{}
	_ View    = (*Phone)(nil)
)
