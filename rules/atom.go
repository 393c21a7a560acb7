package rules

import (
	"cmp"
	"maps"
	"slices"

	"panelhand/rules/fact"
)

// Env is what a book is judged against.
type Env struct {
	Facts *fact.Set

	// Numbers and Technique are those of a solved set-up. While both are nil
	// nothing is solved, and conditions that read them are Unknown. After
	// solving, a number that is not among them does not apply: its condition is
	// False, whichever way it asks.
	Numbers   map[string]float64
	Technique []string

	// Inputs are the numbers that a question's expression names.
	Inputs map[string]float64

	// Watch hears each step of judging; nil hears none. With it every line is
	// judged, without it a rule is left at its first false line.
	Watch func(Event)
}

func (e *Env) solved() bool { return e.Numbers != nil || e.Technique != nil }

// A standing says whether a reading has a value.
type standing int

const (
	unsaid  standing = iota // an open fact that nobody said: the condition is Unknown
	present                 // there is a value
	absent                  // there is no such thing to speak of: the condition is False
)

// A reading is what an atom comes to in a scene. value is a float64, a bool
// or a string.
type reading struct {
	value    any
	standing standing
	why      string // why there is no value
}

func known(value any) reading { return reading{value: value, standing: present} }

// An atom is one reading of what is known: a fact, a call with its words, a
// number of the answer.
type atom struct {
	key   string
	kind  exprKind
	facts []string // paths of the facts that it reads
	read  func(*Env) reading
}

// readOpenNumber reads a number fact. What was denied of a quantity that
// starts at nothing (wind, helpers) is nothing; of any other it does not apply.
func readOpenNumber(f *fact.Fact) func(*Env) reading {
	return func(e *Env) reading {
		if v, ok := e.Facts.Get(f.Path); ok {
			return known(v.Number)
		}
		switch {
		case !denied(e.Facts, f):
			return reading{why: f.Path + " is not known"}
		case f.Low == 0:
			return known(0.0)
		}
		return reading{standing: absent, why: f.Path + " was denied"}
	}
}

func readFlag(f *fact.Fact) func(*Env) reading {
	return func(e *Env) reading {
		if v, ok := e.Facts.Get(f.Path); ok {
			return known(v.Flag)
		}
		if denied(e.Facts, f) {
			return known(false)
		}
		return reading{why: f.Path + " is not known"}
	}
}

func readText(f *fact.Fact) func(*Env) reading {
	return func(e *Env) reading {
		if v, ok := e.Facts.Get(f.Path); ok {
			return known(v.Text)
		}
		if denied(e.Facts, f) {
			return reading{standing: absent, why: f.Path + " was denied"}
		}
		return reading{why: f.Path + " is not known"}
	}
}

// readChoice is true where the fact is one of the words, and false where it is
// another or every word was denied.
func readChoice(f *fact.Fact, words []string) func(*Env) reading {
	return func(e *Env) reading {
		if v, ok := e.Facts.Get(f.Path); ok {
			return known(slices.Contains(words, v.Text))
		}
		if denied(e.Facts, f) || !slices.ContainsFunc(words, func(w string) bool { return !e.Facts.Denied(w) }) {
			return known(false)
		}
		return reading{why: f.Path + " is not known"}
	}
}

func readList(f *fact.Fact, words []string) func(*Env) reading {
	return func(e *Env) reading {
		return known(slices.ContainsFunc(words, func(w string) bool { return e.Facts.Has(f.Path, w) }))
	}
}

func readHas(kinds []string) func(*Env) reading {
	return func(e *Env) reading { _, ok := e.Facts.Item(kinds...); return known(ok) }
}

func readNumber(key string) func(*Env) reading {
	return func(e *Env) reading {
		if x, ok := e.Numbers[key]; ok && finite(x) {
			return known(x)
		}
		if e.solved() {
			return reading{standing: absent, why: "the set-up has no " + key}
		}
		return reading{why: key + " is not computed yet"}
	}
}

func denied(s *fact.Set, f *fact.Fact) bool { return s.Denied(f.Path) || s.Denied(f.Name) }

// A call is a function of conditions that is not a fact of its own: it reads
// a field of the kit, what was denied, or the solved set-up. Its arguments are
// words out of a closed list.
type call struct {
	example     string // how it is written
	doc         string
	kind        exprKind
	what        string // whose choices they are
	choices     []string
	least, most int // how many words; most 0 is any number
	path        func(words []string) []string
	read        func(words []string) func(*Env) reading
}

func (c call) facts(words []string) []string {
	if c.path == nil {
		return nil
	}
	return c.path(words)
}

func readsKit([]string) []string { return []string{"kit"} }

// calls are those functions by name.
var calls = map[string]call{
	"count": {
		example: `count("flash") >= 2`, doc: "how many of the kinds are at hand", kind: numberKind,
		what: "kit", choices: fact.KitKinds, least: 1, path: readsKit,
		read: func(kinds []string) func(*Env) reading {
			return func(e *Env) reading {
				n := 0
				for _, kind := range kinds {
					n += e.Facts.Count(kind)
				}
				return known(float64(n))
			}
		},
	},
	"size": {
		example: `size("panel") >= 0.6`, doc: "longest side of the largest of the kinds, in metres", kind: numberKind,
		what: "kit", choices: fact.KitKinds, least: 1, path: func(kinds []string) []string { return []string{"kit"} },
		read: func(kinds []string) func(*Env) reading {
			return func(e *Env) reading {
				largest, there := 0.0, false
				for _, item := range e.Facts.Kit() {
					if slices.Contains(kinds, item.Kind) {
						largest, there = max(largest, item.SizeM), true
					}
				}
				switch {
				case !there:
					return reading{standing: absent, why: "no " + kinds[0] + " at hand"}
				case largest == 0:
					return reading{why: "the size of the " + kinds[0] + " is not known"}
				}
				return known(largest)
			}
		},
	},
	"lamp": {
		example: `lamp("led") < 1000`, doc: "lux at a metre of the brightest of the kinds, 0 where none was said", kind: numberKind,
		what: "kit", choices: fact.KitKinds, least: 1, path: readsKit,
		read: func(kinds []string) func(*Env) reading {
			return func(e *Env) reading {
				brightest := 0.0
				for _, item := range e.Facts.Kit() {
					if slices.Contains(kinds, item.Kind) {
						brightest = max(brightest, item.Lux1m)
					}
				}
				return known(brightest)
			}
		},
	},
	"power": {
		example: `power("flash") > 0`, doc: "part of full that the kinds were said to be set to, 0 where none was", kind: numberKind,
		what: "kit", choices: fact.KitKinds, least: 1, path: readsKit,
		read: func(kinds []string) func(*Env) reading {
			return func(e *Env) reading {
				set := 0.0
				for _, item := range e.Facts.Kit() {
					if slices.Contains(kinds, item.Kind) {
						set = max(set, item.Power)
					}
				}
				return known(set)
			}
		},
	},
	"surface": {
		example: `surface("silver")`, doc: "whether a panel, reflector or diffuser shows one of the sides", kind: truthKind,
		what: "surfaces", choices: fact.Surfaces, least: 1, path: readsKit,
		read: func(sides []string) func(*Env) reading {
			return func(e *Env) reading {
				return known(slices.ContainsFunc(sides, func(side string) bool { return shows(e.Facts, side) }))
			}
		},
	},
	"hss": {
		example: `hss()`, doc: "whether a flash was said to have high-speed sync", kind: truthKind, path: readsKit,
		read: func([]string) func(*Env) reading {
			return func(e *Env) reading {
				return known(slices.ContainsFunc(e.Facts.Kit(), func(i fact.Item) bool { return i.HSS }))
			}
		},
	},
	"gel": {
		example: `gel("full-cto")`, doc: "whether one of the gels is at hand", kind: truthKind,
		what: "gels", choices: fact.Gels, least: 1, path: readsKit,
		read: func(names []string) func(*Env) reading {
			return func(e *Env) reading {
				return known(slices.ContainsFunc(e.Facts.Kit(), func(i fact.Item) bool { return slices.Contains(names, i.Gel) }))
			}
		},
	},
	"technique": {
		example: `technique("bare")`, doc: "whether the solved set-up is made of one of these", kind: truthKind,
		what: "technique", choices: fact.Techniques, least: 1,
		read: func(words []string) func(*Env) reading {
			return func(e *Env) reading {
				if !e.solved() {
					return reading{why: "no set-up is chosen yet"}
				}
				return known(slices.ContainsFunc(words, func(w string) bool { return slices.Contains(e.Technique, w) }))
			}
		},
	},
	"denied": {
		example: `denied("wind")`, doc: "whether this was said not to be so", kind: truthKind,
		what: "what can be denied", choices: deniable(), least: 1,
		read: func(words []string) func(*Env) reading {
			return func(e *Env) reading {
				return known(slices.ContainsFunc(words, e.Facts.Denied))
			}
		},
	},
	"known": {
		example: `known("gust")`, doc: "whether anything is known of a fact", kind: truthKind,
		what: "facts", choices: factNames(), least: 1, most: 1,
		path: nil,
		read: func(words []string) func(*Env) reading {
			f, _ := fact.Named(words[0])
			return func(e *Env) reading {
				switch f.Kind {
				case fact.Kit:
					return known(len(e.Facts.Kit()) > 0)
				case fact.List:
					return known(len(e.Facts.Choices(f.Path)) > 0)
				}
				_, ok := e.Facts.Get(f.Path)
				return known(ok)
			}
		},
	},
}

// shows reports whether anything at hand shows a side.
func shows(facts *fact.Set, side string) bool {
	return slices.ContainsFunc(facts.Kit(), func(item fact.Item) bool {
		sides := item.Surfaces
		if len(sides) == 0 {
			sides = usualSurfaces[item.Kind]
		}
		return slices.Contains(sides, side)
	})
}

// usualSurfaces are the sides of a folding thing of which none was said: a
// panel has all five sleeves, a reflector returns, a diffuser passes, a card is
// white (common practice).
var usualSurfaces = map[string][]string{
	"panel":       fact.Surfaces,
	"reflector":   {"white", "silver", "gold"},
	"diffuser":    {"translucent"},
	"bounce-card": {"white"},
}

// factNames are the names of the facts of the kinds, or of all facts.
func factNames(kinds ...fact.Kind) []string {
	var out []string
	for _, f := range fact.Table {
		if len(kinds) == 0 || slices.Contains(kinds, f.Kind) {
			out = append(out, f.Name)
		}
	}
	return out
}

func callNames() []string { return slices.Sorted(maps.Keys(calls)) }

// deniable are the names, paths and choices of facts, kinds of kit among them.
func deniable() []string {
	var out []string
	for _, f := range fact.Table {
		out = append(out, f.Name, f.Path)
		if len(f.Choices) > 0 {
			out = append(out, f.Choices...)
		}
	}
	slices.SortFunc(out, cmp.Compare[string])
	return slices.Compact(out)
}
