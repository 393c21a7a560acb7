package main

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/peterh/liner"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/console"
	"panelhand/bot/memory"
)

// chat answers one message a line, in one thread with memory. Without a name
// the thread ends with the program; what it saves stays.
func (p process) chat(args []string) error {
	var s shape
	var thread string
	rest, err := p.flags("chat", args, func(f *flag.FlagSet) {
		s.define(f)
		f.StringVar(&thread, "thread", "", "the name of a conversation to go on with")
	})
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return usageError{p.usage("chat") + "; messages come from standard input"}
	}
	message, err := s.frame()
	if err != nil {
		return err
	}
	kept, err := p.open()
	if err != nil {
		return err
	}
	defer kept.Close()
	message.Thread = thread
	if thread == "" {
		kept = memory.Apart(kept)
	}
	if _, err := p.book(); err != nil { // a talk begins with a playbook that holds
		return err
	}
	talk, news, err := p.team(kept)
	if err != nil {
		return err
	}
	p.tell(news)
	next, done := p.lines()
	defer done()
	heard := func() (string, error) {
		text, err := next()
		if talk.Shelf != nil {
			p.tell(talk.Shelf.Refresh())
		}
		return text, err
	}
	return console.Console{
		Handler: talk, Frame: message, Next: heard, Trouble: talk.Coach.Book().Phrase("slack-trouble"),
		Show: func(a *answer.Answer) error {
			if err := p.print(a, s); err != nil || s.json {
				return err
			}
			_, err := fmt.Fprintln(p.out)
			return err
		},
		Log: func(err error) { fmt.Fprintln(p.err, "panelhand: "+err.Error()) },
	}.Run(context.Background())
}

// tell tells the playbook's owner what is wrong with it.
func (p process) tell(news string) {
	if news != "" {
		fmt.Fprintln(p.err, "panelhand: "+news)
	}
}

// lines gives the messages one by one: with line editing and history from a
// terminal, else as they come. done leaves the terminal as it was.
func (p process) lines() (next func() (string, error), done func()) {
	if file, ok := p.in.(*os.File); ok && terminal(file) {
		return p.edited()
	}
	lines := bufio.NewReader(p.in)
	return func() (string, error) { return line(lines) }, func() {}
}

func terminal(file *os.File) bool {
	info, err := file.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0 && liner.TerminalSupported()
}

// edited reads from a terminal. Ctrl-C drops the line; on an empty one, and
// Ctrl-D, it ends the conversation.
func (p process) edited() (next func() (string, error), done func()) {
	editor := liner.NewLiner()
	editor.SetCtrlCAborts(true)
	editor.SetMultiLineMode(true)
	history := ""
	if path, err := p.storePath(); err == nil && path != inMemory {
		history = filepath.Join(filepath.Dir(path), "history")
		if file, err := os.Open(history); err == nil {
			_, _ = editor.ReadHistory(file) // without one, the talk goes on
			file.Close()
		}
	}
	dropped := false
	next = func() (string, error) {
		for {
			text, err := editor.Prompt("> ")
			switch {
			case errors.Is(err, liner.ErrPromptAborted) && !dropped:
				dropped = true
				fmt.Fprintln(p.err, "(Ctrl-C once more, or Ctrl-D, ends the talk)")
				continue
			case errors.Is(err, liner.ErrPromptAborted), errors.Is(err, io.EOF):
				return "", io.EOF
			case err != nil:
				return "", err
			}
			dropped = false
			if text == "" {
				continue
			}
			editor.AppendHistory(text)
			return text, nil
		}
	}
	done = func() {
		if history != "" {
			if file, err := os.OpenFile(history, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600); err == nil {
				_, _ = editor.WriteHistory(file)
				file.Close()
			}
		}
		editor.Close()
	}
	return next, done
}

// line reads one line without its end. Of a line longer than a message may
// be only the first part is kept, enough to be answered "too long".
func line(r *bufio.Reader) (string, error) {
	var kept []byte
	for {
		part, err := r.ReadSlice('\n')
		if room := bot.MaxMessage + 1 - len(kept); room > 0 {
			kept = append(kept, part[:min(room, len(part))]...)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		for len(kept) > 0 && (kept[len(kept)-1] == '\n' || kept[len(kept)-1] == '\r') {
			kept = kept[:len(kept)-1]
		}
		return string(kept), err
	}
}
