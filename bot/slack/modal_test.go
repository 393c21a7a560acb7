package slack

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"github.com/slack-go/slack"
)

// sent is a form as Slack sends it back.
func sent(t *testing.T, callback, state string) slack.View {
	t.Helper()
	var v slack.View
	if err := json.Unmarshal([]byte(`{"type":"modal","callback_id":"`+callback+`","private_metadata":"what was typed","state":`+state+`}`), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// TestReadForms reads forms as Slack sends them: fields may be missing, empty
// or null (Slack handbook §8.2, fault 24).
func TestReadForms(t *testing.T) {
	_, phone := house(t)
	yes := true
	for _, c := range []struct {
		form, state, say, venue string
		feet                    *bool
		amiss                   string
	}{
		{formKit, `{"values":{"lines":{"lines":{"type":"plain_text_input","value":"flash, guide number 36 m\n - 40in panel,\n\n"}}}}`, "our kit: flash, guide number 36 m, 40in panel", "", nil, ""},
		{formKit, `{"values":{"lines":{"lines":{"type":"plain_text_input","value":null}}}}`, "", "", nil, fieldLines},
		{formKit, `{"values":{}}`, "", "", nil, fieldLines},
		{formKit, `null`, "", "", nil, fieldLines},
		{formKit, `{"values":{"lines":{"lines":{"value":"` + strings.Repeat("flash ", 300) + `"}}}}`, "", "", nil, fieldLines},
		{formFirst, `{"values":{}}`, "", "", nil, ""},
		{formFirst, `{"values":{"bag":{"bag":{"type":"checkboxes","selected_options":[{"value":"one small flash"},{"value":"a 1 m folding panel"}]}},"lines":{"lines":{"value":null}},
			"units":{"units":{"type":"radio_buttons","selected_option":{"value":"imperial"}}},"venue":{"venue":{"value":"Lantern <!here> hall"}}}}`,
			"our kit: one small flash, a 1 m folding panel", "Lantern <!here> hall", &yes, ""},
		{formFirst, `{"values":{"units":{"units":{"selected_option":null}}}}`, "", "", nil, ""},
	} {
		got, amiss := phone.Read(sent(t, c.form, c.state))
		if got.Say != c.say || got.Venue != c.venue || (got.Feet == nil) != (c.feet == nil) || got.Feet != nil && *got.Feet != *c.feet {
			t.Errorf("%s %s: got %+v", c.form, c.state, got)
		}
		if (c.amiss != "") != (amiss[c.amiss] != "") {
			t.Errorf("%s %s: told %v, want a word beside %q", c.form, c.state, amiss, c.amiss)
		}
	}
	got, _ := phone.Read(sent(t, formWrong, `{"values":{"what":{"what":{"value":"the eyes were dark"}}}}`))
	if got.Wrong == nil || *got.Wrong != (Report{"what was typed", "the eyes were dark"}) {
		t.Errorf("the report is %+v", got.Wrong)
	}
}

type notes struct {
	page    Page
	reports []Report
	feet    *bool
	venue   string
}

func (n *notes) Page(context.Context, Asker) (Page, error) { return n.page, nil }
func (n *notes) Settle(_ context.Context, _ Asker, feet *bool, venue string) error {
	n.feet, n.venue = feet, venue
	return nil
}
func (n *notes) Report(_ context.Context, _ Asker, r Report) error {
	n.reports = append(n.reports, r)
	return nil
}

// TestForms opens each form from its button and sends it back.
func TestForms(t *testing.T) {
	_, phone := house(t)
	book := &notes{page: Page{Kit: []string{"flash, guide number 36 m"}, Feet: true}}
	forms := Forms{phone, book}
	for _, action := range []string{Kit, First, Wrong} {
		v, err := forms.Open(t.Context(), Asker{}, action, "too dark")
		if err != nil || v == nil {
			t.Fatalf("%s: %v %v", action, v, err)
		}
	}
	if v, err := forms.Open(t.Context(), Asker{}, "somebody-else's", ""); v != nil || err != nil {
		t.Errorf("an unknown button opens %v, %v", v, err)
	}
	response, _, err := forms.Submit(t.Context(), Asker{}, sent(t, formKit, `{"values":{}}`))
	if err != nil || response == nil || response.Errors[fieldLines] == "" {
		t.Errorf("an empty kit list is told %+v, %v", response, err)
	}
	response, say, err := forms.Submit(t.Context(), Asker{}, sent(t, formFirst, `{"values":{"bag":{"bag":{"selected_options":[{"value":"a softbox"}]}},"venue":{"venue":{"value":"station hall"}}}}`))
	if response != nil || say != "our kit: a softbox" || err != nil || book.venue != "station hall" {
		t.Errorf("got %v, %q, %v, venue %q", response, say, err, book.venue)
	}
	if _, _, err := forms.Submit(t.Context(), Asker{}, sent(t, formWrong, `{"values":{}}`)); err != nil || len(book.reports) != 1 {
		t.Errorf("%d reports, %v", len(book.reports), err)
	}
}

// TestKitFormIsHeard: what the first form offers to tick is kit that the
// coach hears.
func TestKitFormIsHeard(t *testing.T) {
	coach, phone := house(t)
	for _, item := range numbered(phone.say, "slack-kit-") {
		if kit := coach.Explain("our kit: " + item).Reading.Facts.Kit(); len(kit) != 1 {
			t.Errorf("%q is heard as %v", item, kit)
		}
	}
}
