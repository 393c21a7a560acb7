package main

import (
	"flag"
	"fmt"
	"strings"

	"panelhand/bot"
	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// explain shows what was heard, word by word, and what each rule said.
func (p process) explain(args []string) error {
	words, err := p.flags("explain", args, func(*flag.FlagSet) {})
	if err != nil {
		return err
	}
	text, err := p.message(words)
	if err != nil {
		return err
	}
	coach, err := p.coach()
	if err != nil {
		return err
	}
	e := coach.Explain(text)
	fmt.Fprintln(p.out, "Heard")
	for _, h := range heard(e.Reading.Facts, text) {
		fmt.Fprintf(p.out, "  %-36s %s\n", h.what, h.from)
	}
	if len(e.Reading.Leftover) > 0 {
		fmt.Fprintf(p.out, "Not used\n  %s\n", strings.Join(e.Reading.Leftover, " "))
	}
	for _, note := range e.Reading.Notes {
		fmt.Fprintf(p.out, "  %s\n", note)
	}
	if len(e.Assumed) > 0 {
		fmt.Fprintln(p.out, "Assumed")
		for _, a := range e.Assumed {
			fmt.Fprintf(p.out, "  %-36s %s: %s\n", a.Fact, a.Text, a.Why)
		}
	}
	fmt.Fprintln(p.out, "Set-ups")
	for _, v := range e.Verdicts {
		fmt.Fprintf(p.out, "  %-28s %s\n", v.Setup.ID, verdict(v))
	}
	for _, list := range []struct {
		head string
		of   []explained
	}{{"Signs", signs(e)}, {"Trade-offs", tradeoffs(e)}} {
		if len(list.of) > 0 {
			fmt.Fprintln(p.out, list.head)
		}
		for _, x := range list.of {
			fmt.Fprintf(p.out, "  %-28s %s:%d\n", x.id, x.at.File, x.at.Line)
		}
	}
	if len(e.Raised) > 0 {
		fmt.Fprintln(p.out, "Cautions")
		for _, r := range e.Raised {
			sort := "caution"
			if r.Stop {
				sort = "stop"
			}
			fmt.Fprintf(p.out, "  %-28s %-8s %s:%d\n", r.ID, sort, r.Rule.Pos.File, r.Rule.Pos.Line)
		}
	}
	return nil
}

// An explained rule is one that holds for the message.
type explained struct {
	id string
	at source.Pos
}

func signs(e bot.Explanation) (out []explained) {
	for _, s := range e.Seen {
		out = append(out, explained{s.Sign.ID, s.Sign.Pos})
	}
	return out
}

func tradeoffs(e bot.Explanation) (out []explained) {
	for _, w := range e.Weighed {
		out = append(out, explained{w.Tradeoff.ID, w.Tradeoff.Pos})
	}
	return out
}

func verdict(v rules.Verdict) string {
	switch v.Outcome {
	case rules.Fires:
		return fmt.Sprintf("fires, %.1f points before solving", v.Score.Total())
	case rules.Waits:
		return "waits for " + strings.Join(v.WaitsFor, ", ")
	}
	return fmt.Sprintf("ruled out by %s (%s:%d)", v.Why, v.At.File, v.At.Line)
}

type hearing struct{ what, from string }

// heard lists each fact with the words of the message that it came from.
func heard(facts *fact.Set, text string) []hearing {
	quote := func(s fact.Span) string {
		if s.Start < 0 || s.End > len(text) || s.Start >= s.End {
			return "(taken from the whole)"
		}
		return "“" + text[s.Start:s.End] + "”"
	}
	var out []hearing
	for _, f := range fact.Table {
		switch f.Kind {
		case fact.Kit:
			for _, item := range facts.Kit() {
				out = append(out, hearing{"kit " + item.Kind, quote(item.Span)})
			}
		case fact.List:
			for _, choice := range facts.Choices(f.Path) {
				v, _ := facts.ChoiceValue(f.Path, choice)
				out = append(out, hearing{f.Path + " " + choice, quote(v.Span)})
			}
		default:
			v, ok := facts.Get(f.Path)
			if !ok {
				continue
			}
			value := v.Text
			switch f.Kind {
			case fact.Number:
				value = strings.TrimSpace(fmt.Sprintf("%.4g %s", v.Number, f.Unit))
			case fact.Flag:
				value = fmt.Sprint(v.Flag)
			}
			out = append(out, hearing{f.Path + " " + value, quote(v.Span)})
		}
	}
	for _, d := range facts.Denials() {
		out = append(out, hearing{"denied " + d, ""})
	}
	return out
}
