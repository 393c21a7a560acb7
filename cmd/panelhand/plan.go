package main

import (
	"bytes"
	"flag"
	"fmt"
	"html"
	"os"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"panelhand/bot/answer"
	"panelhand/bot/render"
)

// plan answers with the day ahead, whatever word the message begins with, and
// writes it as a page where a file is named.
func (p process) plan(args []string) error {
	var s shape
	var markdown, page string
	words, err := p.flags("plan", args, func(f *flag.FlagSet) {
		s.define(f)
		f.StringVar(&markdown, "markdown", "", "also write the plan as Markdown to a file")
		f.StringVar(&page, "html", "", "also write it as a page to print")
	})
	if err != nil {
		return err
	}
	message, err := s.message(p, words)
	if err != nil {
		return err
	}
	a, err := p.once(message)
	if err != nil {
		return err
	}
	if a.Plan == nil { // "saturday 14:00-18:00 …" is asked as a plan here
		message.Text = "plan: " + message.Text
		if a, err = p.once(message); err != nil {
			return err
		}
	}
	if a.Plan != nil {
		if err := write(markdown, []byte(render.Markdown(a))); err != nil {
			return err
		}
		if page != "" {
			data, err := printed(a)
			if err != nil {
				return err
			}
			if err := write(page, data); err != nil {
				return err
			}
		}
	}
	return p.print(a, s)
}

func write(name string, data []byte) error {
	if name == "" {
		return nil
	}
	if err := os.WriteFile(name, data, 0o644); err != nil {
		return fmt.Errorf("the plan could not be written: %w", err)
	}
	return nil
}

// printed is the plan as a page for paper: no script, nothing fetched.
func printed(a *answer.Answer) ([]byte, error) {
	var body, page bytes.Buffer
	if err := goldmark.New(goldmark.WithExtensions(extension.Table)).Convert([]byte(render.Markdown(a)), &body); err != nil {
		return nil, fmt.Errorf("the plan could not be laid out: %w", err)
	}
	fmt.Fprintf(&page, pageFrame, html.EscapeString(a.Headline), body.String())
	return page.Bytes(), nil
}

const pageFrame = `<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>%s</title>
<style>
body { font: 11pt/1.4 serif; max-width: 19cm; margin: 1cm auto; padding: 0 0.5cm; }
h1 { font-size: 15pt; }
h2 { font-size: 12pt; margin-bottom: 0.2em; break-after: avoid; }
table { border-collapse: collapse; font-size: 9pt; }
th, td { border: 0.5pt solid #888; padding: 0.2em 0.4em; text-align: left; vertical-align: top; }
tr, li { break-inside: avoid; }
ul { margin-top: 0; padding-left: 1.2em; }
@media print { body { margin: 0; } @page { margin: 1.5cm; } }
</style>
%s</html>
`
