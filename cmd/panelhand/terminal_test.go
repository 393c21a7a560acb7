//go:build !windows

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
)

// A keyboard is a talk typed at the program's own keyboard.
type keyboard struct {
	t     *testing.T
	tty   *os.File
	shown lockedBuffer
}

// press types keys and waits until the screen shows something after them.
func (x *keyboard) press(keys, want string) {
	x.t.Helper()
	from := len(x.shown.String())
	if _, err := x.tty.WriteString(keys); err != nil {
		x.t.Fatal(err)
	}
	for deadline := time.Now().Add(10 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		if strings.Contains(x.shown.String()[from:], want) {
			return
		}
		if time.Now().After(deadline) {
			x.t.Fatalf("after %q the screen shows no %q:\n%q", keys, want, x.shown.String()[from:])
		}
	}
}

// TestTerminal edits a line, calls an earlier one back, drops one and ends the
// talk as people do, and finds the history at the next start.
func TestTerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	t.Parallel()
	bin, dir := build(t), t.TempDir()
	begin := func() (*keyboard, *exec.Cmd) {
		cmd := exec.Command(bin, "chat")
		cmd.Env = []string{"TERM=xterm", "HOME=" + dir, "PANELHAND_STORE=" + filepath.Join(dir, "crew.db")}
		tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 40, Cols: 120})
		if err != nil {
			t.Skipf("no terminal here: %v", err)
		}
		x := &keyboard{t: t, tty: tty}
		go func() {
			buffer := make([]byte, 4096)
			for {
				n, err := tty.Read(buffer)
				_, _ = x.shown.Write(buffer[:n])
				if err != nil {
					return
				}
			}
		}()
		t.Cleanup(func() { _ = cmd.Process.Kill(); _ = tty.Close() })
		return x, cmd
	}
	const up, left, backspace, ctrlA, ctrlC, ctrlD, enter = "\x1b[A", "\x1b[D", "\x7f", "\x01", "\x03", "\x04", "\r"

	x, cmd := begin()
	x.press("", "> ")
	x.press("what is fethering"+left+left+left+left+left+left+left+backspace+"ea", "what is feathering") // mended in the middle
	x.press(enter, "edge")
	x.press(up, "what is feathering")
	x.press(ctrlA+"so "+enter, "edge")
	x.press("half a mess"+ctrlC, "Ctrl-C once more")
	x.press("what is open shade"+enter, "open sky")
	x.press(ctrlD, "")
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	select {
	case err := <-ended:
		if err != nil {
			t.Errorf("Ctrl-D ends the talk with %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("Ctrl-D does not end the talk")
	}

	x, _ = begin()
	x.press("", "> ")
	x.press(up, "what is open shade")
	if strings.Contains(x.shown.String(), "half a mess") {
		t.Error("a dropped line is in the history")
	}
}
