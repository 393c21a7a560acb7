package folder

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"time"

	"panelhand/bot/archive"
)

// patience is how long one call of git may take: a hook of the crew's that
// hangs must not hang the channel.
const patience = 20 * time.Second

// git is the history of the work tree that the folder is in.
type git struct{ dir string }

// tracks reports whether the folder is in a work tree that does not ignore
// it, and git is there to ask.
func (g git) tracks(ctx context.Context) bool {
	inside, err := g.run(ctx, nil, "rev-parse", "--is-inside-work-tree")
	if err != nil || strings.TrimSpace(inside) != "true" {
		return false
	}
	_, err = g.run(ctx, nil, "check-ignore", "-q", ".")
	return err != nil // git says no
}

// run calls git in the folder. It asks nobody anything and signs nothing.
func (g git) run(ctx context.Context, env []string, args ...string) (string, error) {
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	cmd := exec.CommandContext(ctx, "git", append([]string{"-c", "commit.gpgsign=false", "-c", "core.quotepath=false"}, args...)...)
	cmd.Dir = g.dir
	cmd.WaitDelay = time.Second
	// Where this program was started by git itself, its variables name another
	// tree.
	mine := slices.DeleteFunc(os.Environ(), func(v string) bool { return strings.HasPrefix(v, "GIT_") })
	cmd.Env = append(mine, "GIT_TERMINAL_PROMPT=0", "GIT_EDITOR=true", "LC_ALL=C")
	cmd.Env = append(cmd.Env, env...)
	var out, told bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &told
	if err := cmd.Run(); err != nil {
		return "", fmt.Errorf("git %s: %w: %s", args[0], err, strings.TrimSpace(told.String()))
	}
	return out.String(), nil
}

// literal keeps git from reading a name as a pattern.
func literal(names []string) []string {
	var out []string
	for _, name := range names {
		out = append(out, ":(literal)"+name)
	}
	return out
}

func (g git) keep(ctx context.Context, c archive.Change) error {
	names := literal(sorted(c.Files))
	known, err := g.run(ctx, nil, append([]string{"ls-files", "-z", "--"}, names...)...)
	if err != nil {
		return err
	}
	var fresh []string // git is told of them, and forgets them where nothing comes of it
	for _, name := range present(c.Files) {
		if !slices.Contains(strings.Split(known, "\x00"), name) {
			fresh = append(fresh, name)
		}
	}
	if len(fresh) > 0 {
		if _, err := g.run(ctx, nil, append([]string{"add", "--intent-to-add", "--"}, literal(fresh)...)...); err != nil {
			return err
		}
	}
	if same, err := g.kept(ctx, sorted(c.Files)); err != nil || same {
		return err
	}
	who := oneLine(strings.NewReplacer("<", "", ">", "").Replace(c.Who))
	if who == "" {
		who = "panelhand"
	}
	when := ""
	if !c.When.IsZero() {
		when = c.When.Format(time.RFC3339)
	}
	message := "playbook: " + oneLine(c.What)
	if why := oneLine(c.Why); why != "" {
		message += "\n\n" + why
	}
	// The committer is this program; .invalid is nobody's address (RFC 2606).
	env := []string{
		"GIT_COMMITTER_NAME=panelhand", "GIT_COMMITTER_EMAIL=panelhand@panelhand.invalid",
		"GIT_AUTHOR_NAME=" + who, "GIT_AUTHOR_EMAIL=crew@panelhand.invalid", "GIT_AUTHOR_DATE=" + when,
	}
	_, err = g.run(ctx, env, append([]string{"commit", "--quiet", "--only", "--cleanup=verbatim", "--message", message, "--"}, names...)...)
	if err != nil && len(fresh) > 0 {
		_, undone := g.run(ctx, nil, append([]string{"rm", "--cached", "--quiet", "--"}, literal(fresh)...)...)
		err = errors.Join(err, undone)
	}
	return err
}

func (g git) kept(ctx context.Context, names []string) (bool, error) {
	out, err := g.run(ctx, nil, append([]string{"status", "--porcelain", "--untracked-files=all", "--"}, literal(names)...)...)
	return strings.TrimSpace(out) == "", err
}

func (g git) versions(ctx context.Context, names []string) ([]archive.Version, error) {
	if _, err := g.run(ctx, nil, "rev-parse", "--verify", "--quiet", "HEAD"); err != nil {
		return nil, nil // nothing was ever committed
	}
	out, err := g.run(ctx, nil, append([]string{"log", "-z", "--format=%H%n%an%n%aI%n%B", "--"}, literal(names)...)...)
	if err != nil {
		return nil, err
	}
	var all []archive.Version
	for entry := range strings.SplitSeq(strings.TrimSuffix(out, "\x00"), "\x00") {
		lines := strings.SplitN(entry, "\n", 4)
		if len(lines) < 4 {
			continue
		}
		what, why, _ := strings.Cut(lines[3], "\n\n")
		v := archive.Version{ID: lines[0], Who: lines[1], What: strings.TrimPrefix(oneLine(what), "playbook: "), Why: oneLine(why)}
		if v.When, err = time.Parse(time.RFC3339, lines[2]); err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	return all, nil
}

func (g git) read(ctx context.Context, version, name string) (string, error) {
	out, err := g.run(ctx, nil, "ls-tree", "--name-only", version, "--", name)
	if err != nil || strings.TrimSpace(out) == "" {
		return "", err
	}
	return g.run(ctx, nil, "show", version+":./"+name)
}
