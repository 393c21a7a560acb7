// Package render turns the answer's document into what a channel shows. Text
// is for a phone: at most MaxLines short lines and MaxChars characters, from
// which alone the whole set-up can be built.
package render

import (
	"strings"
	"unicode/utf8"

	"panelhand/bot/answer"
)

// What a phone shows without a second thumb.
const (
	MaxLines = 14
	MaxChars = 1200
)

// Labels are the words that open a part's line.
type Labels map[answer.Part]string

// LabelsFrom takes the labels from a playbook's phrases.
func LabelsFrom(say answer.Phrases) Labels {
	all := Labels{}
	for part, id := range map[answer.Part]string{
		answer.Stop: "label-stop", answer.Safe: "label-instead", answer.First: "label-first", answer.Camera: "label-camera", answer.Flash: "label-flash",
		answer.Place: "label-place", answer.Helper: "label-helper", answer.Check: "label-check", answer.Assume: "label-assume", answer.Careful: "label-careful",
	} {
		all[part] = say(id)
	}
	return all
}

// Text lays the sections out, a line each, in the document's one order, as
// much of them as a phone shows.
func Text(sections []answer.Section, labels Labels) string {
	lines := kept(sections, labels)
	texts := make([]string, len(lines))
	for i, l := range lines {
		texts[i] = l.text
	}
	return shorten(strings.Join(texts, "\n"))
}

// Short is what Text shows of the sections, for channels that lay lines out
// themselves; their lines have no labels yet.
func Short(sections []answer.Section, labels Labels) []answer.Section {
	var out []answer.Section
	for _, l := range kept(sections, labels) {
		if last := len(out) - 1; last >= 0 && l.at > 0 && out[last].Part == l.part {
			out[last].Lines = append(out[last].Lines, sections[l.section].Lines[l.at])
			continue
		}
		out = append(out, answer.Section{Part: l.part, Lines: []string{sections[l.section].Lines[l.at]}})
	}
	return out
}

// kept are the lines that a phone shows. When there are more, lines go in the
// order of spare, and from the end of their part: a stop, the dials and the
// cautions are never the ones to go.
func kept(sections []answer.Section, labels Labels) []line {
	lines := flatten(sections, labels)
	for _, part := range spare {
		for !fits(lines) {
			i := lastOf(lines, part)
			if i < 0 {
				break
			}
			lines = append(lines[:i], lines[i+1:]...)
		}
	}
	return lines
}

// spare lists the parts that can lose lines, the most dispensable first.
var spare = []answer.Part{answer.Ask, answer.Check, answer.Weigh, answer.Assume, answer.Helper, answer.Prose, answer.Place}

type line struct {
	part answer.Part
	only bool // the last line of its part: without it the part is gone
	text string

	section, at int // where it stood
}

func flatten(sections []answer.Section, labels Labels) []line {
	var lines []line
	for k, s := range sections {
		for i, text := range s.Lines {
			if i == 0 && labels[s.Part] != "" {
				text = labels[s.Part] + ": " + text
			}
			lines = append(lines, line{s.Part, i == 0 && s.Part != answer.Ask && s.Part != answer.Weigh && s.Part != answer.Assume, text, k, i})
		}
	}
	return lines
}

func fits(lines []line) bool {
	if len(lines) > MaxLines {
		return false
	}
	chars := len(lines) - 1
	for _, l := range lines {
		chars += utf8.RuneCountInString(l.text)
	}
	return chars <= MaxChars
}

// lastOf finds the last line of a part that may go.
func lastOf(lines []line, part answer.Part) int {
	for i := len(lines) - 1; i >= 0; i-- {
		if lines[i].part == part && !lines[i].only {
			return i
		}
	}
	return -1
}

// shorten is the last resort, for a text of one endless line.
func shorten(text string) string {
	if utf8.RuneCountInString(text) <= MaxChars {
		return text
	}
	return string([]rune(text)[:MaxChars-1]) + "…"
}
