// Package formula is the one table of the formulas that rules may call, that
// answers show their working with, and that the command line lists.
//
// Formulas live in calc, with typed arguments; a row here gives one a name for
// rule files, plain numbers for arguments and their ranges. Names never clash
// with a fact's.
//
//	table.go   Formula, Table, Lookup
//	light.go   exposure and balance
//	flash.go   flash
//	area.go    panels, patches, geometry
//	camera.go  colour and lens
//	stand.go   wind and stands
//	sun.go     where the sun stands, rise and set, its light
package formula

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"panelhand/calc/units"
)

// An Arg is an argument of a formula. A value outside Low..High is refused.
type Arg struct {
	Name      string
	Unit      string // empty where there is none
	Low, High float64
}

// A Formula is one row of the table.
type Formula struct {
	Name    string
	Args    []Arg
	Unit    string // of the result, empty where there is none
	Doc     string // one line for people
	Written string // the formula as people write it
	Source  string // where it comes from
	// Call computes it. It returns an error for a wrong number of arguments,
	// for one outside its range (*units.RangeError) and where the formula itself
	// refuses; its results are finite.
	Call func(args []float64) (float64, error)
}

// Table is every formula, by topic. It must not be changed.
var Table = guarded(slices.Concat(exposureFormulas, balanceFormulas, flashFormulas, areaFormulas, colourFormulas, lensFormulas, standFormulas, sunFormulas))

var byName = index()

func index() map[string]*Formula {
	m := make(map[string]*Formula, len(Table))
	for i := range Table {
		m[Table[i].Name] = &Table[i]
	}
	return m
}

// Lookup finds a formula by its name.
func Lookup(name string) (*Formula, bool) { f, ok := byName[name]; return f, ok }

// Signature is how a rule calls the formula: "level(ev, aperture, time, iso)".
func (f Formula) Signature() string {
	names := make([]string, len(f.Args))
	for i, a := range f.Args {
		names[i] = a.Name
	}
	return f.Name + "(" + strings.Join(names, ", ") + ")"
}

// guarded puts the checks that every row needs around its Call.
func guarded(table []Formula) []Formula {
	for i := range table {
		f := table[i]
		call := f.Call
		table[i].Call = func(args []float64) (float64, error) {
			if len(args) != len(f.Args) {
				return 0, fmt.Errorf("%s takes %d numbers, not %d", f.Signature(), len(f.Args), len(args))
			}
			for i, a := range f.Args {
				if err := (units.Range{Quantity: a.Name, Unit: a.Unit, Low: a.Low, High: a.High}).Check(args[i]); err != nil {
					return 0, fmt.Errorf("%s: %w", f.Name, err)
				}
			}
			v, err := call(args)
			if err != nil {
				return 0, fmt.Errorf("%s: %w", f.Name, err)
			}
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return 0, fmt.Errorf("%s has no finite value there", f.Signature())
			}
			return v, nil
		}
	}
	return table
}

// number is any of the typed quantities of calc.
type number interface{ ~float64 }

// The adapters turn a typed formula into one on plain numbers.

func one[A, R number](f func(A) (R, error)) func([]float64) (float64, error) {
	return func(a []float64) (float64, error) { return plain(f(A(a[0]))) }
}

func two[A, B, R number](f func(A, B) (R, error)) func([]float64) (float64, error) {
	return func(a []float64) (float64, error) { return plain(f(A(a[0]), B(a[1]))) }
}

func three[A, B, C, R number](f func(A, B, C) (R, error)) func([]float64) (float64, error) {
	return func(a []float64) (float64, error) { return plain(f(A(a[0]), B(a[1]), C(a[2]))) }
}

func four[A, B, C, D, R number](f func(A, B, C, D) (R, error)) func([]float64) (float64, error) {
	return func(a []float64) (float64, error) { return plain(f(A(a[0]), B(a[1]), C(a[2]), D(a[3]))) }
}

func five[A, B, C, D, E, R number](f func(A, B, C, D, E) (R, error)) func([]float64) (float64, error) {
	return func(a []float64) (float64, error) {
		return plain(f(A(a[0]), B(a[1]), C(a[2]), D(a[3]), E(a[4])))
	}
}

func plain[R number](v R, err error) (float64, error) { return float64(v), err }

// in names an argument that has one of calc's ranges.
func in(name string, r units.Range) Arg { return Arg{name, r.Unit, r.Low, r.High} }

// Arguments that many formulas share. Stops are kept to where light still
// matters; calc reaches wider.
var (
	aperture = in("aperture", units.Apertures)
	time     = in("time", units.Times)
	iso      = in("iso", units.ISOs)
	ev       = in("ev", units.EVs)
	level    = Arg{"level", "stop", -20, 20}
	distance = in("distance", units.Distances)
	guide    = in("guide", units.GuideNumbers)
	power    = in("power", units.Powers)
	zoom     = Arg{"zoom", "mm", 8, 300}
	size     = Arg{"size", "m", 0.05, 20} // a round panel's diameter
	pass     = Arg{"pass", "", 0.001, 1}  // share that cloth passes
	returns  = Arg{"returns", "", 0.001, 1}
	side     = Arg{"side", "degree", -180, 180}
	up       = Arg{"up", "degree", -90, 90}
	focal    = in("focal", units.Focals)
	circle   = Arg{"circle", "mm", 0.001, 0.3}
	wind     = in("wind", units.Winds)
)

// as renames an argument.
func (a Arg) as(name string) Arg { a.Name = name; return a }
