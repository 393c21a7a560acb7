package rules

import (
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"panelhand/rules/source"
)

// HousePrefix stands before the names of the house playbook's files where a
// team's playbook is laid over them.
const HousePrefix = "house/"

// offFile is where a team switches rules of the house off.
const offFile = "off.yaml"

// Over lays a team's folder over the house playbook: one file system with the
// team's files under their own names and the house's under HousePrefix.
func Over(house, team fs.FS) fs.FS { return layers{house: house, team: team} }

type layers struct{ house, team fs.FS }

func (l layers) in(name string) (fs.FS, string) {
	if name == path.Clean(HousePrefix) {
		return l.house, "."
	}
	if rest, ok := strings.CutPrefix(name, HousePrefix); ok {
		return l.house, rest
	}
	return l.team, name
}

// Open opens a file of the layer that its name stands for.
func (l layers) Open(name string) (fs.File, error) {
	files, name := l.in(name)
	return files.Open(name)
}

// ReadDir lists a folder; the root is the team's, and the house beside it.
func (l layers) ReadDir(name string) ([]fs.DirEntry, error) {
	files, inner := l.in(name)
	entries, err := fs.ReadDir(files, inner)
	if name != "." || err != nil {
		return entries, err
	}
	house, err := fs.Stat(l.house, ".")
	if err != nil {
		return nil, err
	}
	entries = slices.DeleteFunc(entries, func(e fs.DirEntry) bool {
		// A team's .git and the like are none of ours.
		return strings.HasPrefix(e.Name(), ".") || e.Name() == path.Clean(HousePrefix)
	})
	return append(entries, houseEntry{fs.FileInfoToDirEntry(house)}), nil
}

// houseEntry is the house's root under its name in the overlay.
type houseEntry struct{ fs.DirEntry }

func (houseEntry) Name() string { return path.Clean(HousePrefix) }
func (houseEntry) IsDir() bool  { return true }

// ofHouse reports whether a file of an overlay is the house's.
func ofHouse(file string) bool { return strings.HasPrefix(file, HousePrefix) }

// A Shadow is a rule of the house that a team's folder replaced or switched
// off.
type Shadow struct {
	Rule string // "set-up edge-of-shade"
	By   source.Pos
	Off  bool
}

// switches is what off.yaml says.
type switches struct {
	Off []source.Text `source:"off,required"`
}

// LoadOver reads a team's folder laid over the house playbook. A rule of the
// team's with the id of one of the house replaces it where it stands; its other
// rules come before the house's, so that they win ties, but words and cautions,
// which come after; off.yaml takes rules of the house away. What safety reads or
// prints can be neither replaced nor switched off, and each try is a problem. As
// with Load, a book with errors must not be used to answer.
func LoadOver(house, team fs.FS) (*Book, []source.Problem) {
	files := Over(house, team)
	below, problems := load(house, HousePrefix)
	below.bind()
	above, more := load(team, "")
	problems = append(problems, more...)
	o := overlay{guard: below.guard(), off: above.off}
	o.shadows = map[string]source.Pos{}
	b := &Book{
		Words:       lay(&o, "word", last, below.Words, above.Words, func(w *Word) name { return name{w.ID, w.Pos} }, o.keepWord),
		Setups:      lay(&o, "set-up", first, below.Setups, above.Setups, func(s *Setup) name { return name{s.ID, s.Pos} }, nil),
		Adjustments: lay(&o, "adjustment", first, below.Adjustments, above.Adjustments, func(a *Adjustment) name { return name{a.ID, a.Pos} }, nil),
		Signs:       lay(&o, "sign", first, below.Signs, above.Signs, func(s *Sign) name { return name{s.ID, s.Pos} }, nil),
		Tradeoffs:   lay(&o, "trade-off", first, below.Tradeoffs, above.Tradeoffs, func(t *Tradeoff) name { return name{t.ID, t.Pos} }, nil),
		PlanLines:   lay(&o, "plan-line", first, below.PlanLines, above.PlanLines, func(l *PlanLine) name { return name{l.ID, l.Pos} }, nil),
		Sites:       lay(&o, "place", first, below.Sites, above.Sites, func(s *Site) name { return name{s.ID, s.Pos} }, nil),
		Cautions: lay(&o, "caution", last, below.Cautions, above.Cautions, func(c *Caution) name { return name{c.ID, c.Pos} },
			func(*Caution) string { return "it is a caution of the house" }),
		Looks:     lay(&o, "look", first, below.Looks, above.Looks, func(l *Look) name { return name{l.ID, l.Pos} }, nil),
		Shifts:    lay(&o, "shift", first, below.Shifts, above.Shifts, func(s *Shift) name { return name{s.ID, s.Pos} }, nil),
		Defaults:  o.defaults(below.Defaults, above.Defaults),
		Terms:     lay(&o, "term", first, below.Terms, above.Terms, func(t *Term) name { return name{t.ID, t.Pos} }, nil),
		Phrases:   lay(&o, "phrase", first, below.Phrases, above.Phrases, func(p *Phrase) name { return name{p.ID, p.Pos} }, keepPhrase),
		Drills:    lay(&o, "drill", first, below.Drills, above.Drills, func(d *Drill) name { return name{d.ID, d.Pos} }, keepDrill),
		Days:      lay(&o, "day", first, below.Days, above.Days, func(d *Day) name { return name{strconv.Itoa(d.Day), d.Pos} }, nil),
		Cards:     lay(&o, "card", first, below.Cards, above.Cards, func(c *Card) name { return name{c.ID, c.Pos} }, nil),
		Questions: lay(&o, "question", first, below.Questions, above.Questions, func(q *Question) name { return name{q.ID, q.Pos} }, nil),
		Crew:      above.Crew,
		off:       above.off,
		shadows:   o.told,
	}
	o.careful(below, above)
	o.newWords(above.Words)
	o.week(b)
	o.unmatched(b)
	for i := range b.Cautions {
		b.Cautions[i].added = !ofHouse(b.Cautions[i].Pos.File)
	}
	b.bind()
	o.forbidden(b)
	return b, quoted(append(problems, o.problems...), files)
}

// Shadows are the rules of the house that a team's folder replaced or switched
// off, in the order of the book.
func (b *Book) Shadows() []Shadow { return b.shadows }

type name struct {
	id string
	at source.Pos
}

// side is where a team's further rules go: before the house's or after them.
type side bool

const (
	first side = false
	last  side = true
)

type overlay struct {
	guard    *guard
	off      []source.Text
	shadows  map[string]source.Pos // kind and id → where it was switched off
	told     []Shadow
	problems []source.Problem
}

func (o *overlay) fail(at source.Pos, code, format string, args ...any) {
	o.problems = append(o.problems, source.Errorf(at, code, format, args...))
}

// switchedOff finds the entry of off.yaml that names a rule: "set-up
// edge-of-shade", or its id alone.
func (o *overlay) switchedOff(kind, id string) (source.Pos, bool) {
	for _, entry := range o.off {
		if entry.Value == id || entry.Value == kind+" "+id {
			return entry.Pos, true
		}
	}
	return source.Pos{}, false
}

// lay lays one kind of rules over another. keep says why a rule of the house
// stays, or nothing.
func lay[T any](o *overlay, kind string, where side, house, team []T, of func(*T) name, keep func(*T) string) []T {
	over := map[string]int{} // id → index of the first of the team's with it
	for i := range team {
		if _, twice := over[of(&team[i]).id]; !twice {
			over[of(&team[i]).id] = i
		}
	}
	used := map[int]bool{}
	var out []T
	for i := range house {
		n := of(&house[i])
		why := ""
		if keep != nil {
			why = keep(&house[i])
		}
		if at, off := o.switchedOff(kind, n.id); off {
			switch {
			case why != "":
				o.fail(at, "guarded", "%s %s cannot be switched off: %s; take it off this list", kind, n.id, why)
			case kind == "look":
				o.fail(at, "guarded", "a look cannot be switched off: each word for a look needs its levels; replace it with a look of the same id")
			default:
				o.shadows[kind+" "+n.id] = at
				o.told = append(o.told, Shadow{Rule: kind + " " + n.id, By: at, Off: true})
				continue
			}
			o.shadows[kind+" "+n.id] = at
		}
		j, replaced := over[n.id]
		switch {
		case replaced && why != "":
			o.fail(of(&team[j]).at, "guarded", "%s %s cannot be replaced by one of the same id: %s; give yours another id to add it", kind, n.id, why)
			used[j] = true
		case replaced:
			out = append(out, team[j])
			used[j] = true
			o.told = append(o.told, Shadow{Rule: kind + " " + n.id, By: of(&team[j]).at})
			continue
		}
		out = append(out, house[i])
	}
	var more []T
	for j := range team {
		if !used[j] {
			more = append(more, team[j])
		}
	}
	if where == first {
		return append(more, out...)
	}
	return append(out, more...)
}

func keepPhrase(p *Phrase) string {
	if p.Safety {
		return "cautions are printed with it"
	}
	return ""
}

func keepDrill(d *Drill) string {
	if d.Stop != nil {
		return "its answer may be a stop, and newcomers learn it here"
	}
	return ""
}

// week refuses what would leave a day of the first week without what it names.
func (o *overlay) week(b *Book) {
	for i := range b.Days {
		d := &b.Days[i]
		for kind, ids := range map[string][]string{"drill": d.Drills, "term": d.Terms, "card": d.Cards} {
			for _, id := range ids {
				if at, off := o.shadows[kind+" "+id]; off && ofHouse(d.Pos.File) {
					o.fail(at, "unknown-rule", "%s %s is part of day %d of the first week; replace it by one of the same id, or write a day %d of your own", kind, id, d.Day, d.Day)
				}
			}
		}
	}
}

func (o *overlay) keepWord(w *Word) string {
	for _, m := range slices.Concat(w.Means, w.Negated) {
		if read := o.guard.meaning(m); read != "" {
			return "safety reads " + read
		}
	}
	return ""
}

// defaults puts the team's before the house's, since the first that holds
// fills a fact. There is nothing to replace by id.
func (o *overlay) defaults(house, team []Default) []Default {
	why := func(path string) string {
		if o.guard.paths[path] != nil {
			return "safety reads " + path
		}
		return ""
	}
	for i := range team {
		if why := why(team[i].Path); why != "" {
			o.fail(team[i].Pos, "guarded", "%s takes no default of a team's: %s; take this one out, and say the fact in the message", team[i].Path, why)
		}
	}
	out := slices.Clone(team)
	refused := map[string]bool{}
	for i := range house {
		d := &house[i]
		at, off := o.switchedOff("default", d.Path)
		if off && why(d.Path) == "" {
			o.shadows["default "+d.Path] = at
			o.told = append(o.told, Shadow{Rule: "default " + d.Path, By: at, Off: true})
			continue
		}
		if off && !refused[d.Path] {
			refused[d.Path] = true
			o.shadows["default "+d.Path] = at
			o.fail(at, "guarded", "default %s cannot be switched off: %s; take it off this list", d.Path, why(d.Path))
		}
		out = append(out, *d)
	}
	return out
}

// careful asks a set-up that replaces one of the house for the house's lines
// of care: they are printed with the cautions.
func (o *overlay) careful(house, team *Book) {
	for i := range team.Setups {
		s := &team.Setups[i]
		old, replaces := house.Setup(s.ID)
		if !replaces {
			continue
		}
		for _, line := range old.Careful {
			if !slices.ContainsFunc(s.Careful, func(t source.Text) bool { return t.Value == line.Value }) {
				o.fail(s.Pos, "guarded", "%s replaces a set-up of the house and drops its line of care %q; keep it under careful", s.ID, line.Value)
			}
		}
	}
}

// newWords refuses a word of the team's that unsays what safety reads.
func (o *overlay) newWords(team []Word) {
	for i := range team {
		for _, m := range slices.Concat(team[i].Means, team[i].Negated) {
			if what := o.guard.unsays(m); what != "" {
				o.fail(m.Pos, "guarded", "%s would unsay %s, which safety reads; leave that to what people type", team[i].ID, what)
			}
		}
	}
}

// unmatched tells entries of off.yaml that name nothing of the house.
func (o *overlay) unmatched(b *Book) {
	for _, entry := range o.off {
		hit := false
		for rule := range o.shadows {
			_, id, _ := strings.Cut(rule, " ")
			hit = hit || entry.Value == rule || entry.Value == id
		}
		if hit {
			continue
		}
		o.fail(entry.Pos, "unknown-rule", "%s is no rule of the house playbook, so it cannot be switched off", entry.Value)
		var ids []string
		for r := range b.Rules() {
			ids = append(ids, r.ID)
		}
		o.problems[len(o.problems)-1].Nearest = source.Nearest(entry.Value, ids)
	}
}
