// Package figures runs tests against the tables of testdata: published/ holds
// figures that someone else printed, derived/ figures computed from such
// formulas, which a second method has to reproduce too. It is for tests only.
//
// A table is CSV with the columns quantity, args, want, within, source.
// Arguments are separated by spaces and may be ratios (1/250). Without a
// within, a figure has to agree to half a unit of the last digit it is printed
// with. Lines that begin with # are remarks; they explain the sources' keys.
package figures

import (
	"encoding/csv"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A Figure is one line of a table.
type Figure struct {
	Quantity string
	Args     []float64
	Want     float64
	Within   float64
	Source   string
	Line     int
}

// A Method computes a quantity from a figure's arguments.
type Method func(args []float64) (float64, error)

// Read returns the figures of a table, named from testdata:
// "published/exposure.csv".
func Read(table string) ([]Figure, error) {
	root, err := moduleRoot()
	if err != nil {
		return nil, err
	}
	file, err := os.Open(filepath.Join(root, "testdata", table))
	if err != nil {
		return nil, err
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment, r.FieldsPerRecord = '#', 5
	var all []Figure
	for {
		row, err := r.Read()
		if row == nil {
			if len(all) == 0 {
				return nil, fmt.Errorf("%s: no figures", table)
			}
			return all, nil
		}
		if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		if row[0] == "quantity" {
			continue
		}
		f, err := parse(row)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", table, line, err)
		}
		f.Line = line
		all = append(all, f)
	}
}

func parse(row []string) (Figure, error) {
	f := Figure{Quantity: row[0], Source: row[4]}
	if f.Source == "" {
		return f, fmt.Errorf("a figure needs a source")
	}
	for _, s := range strings.Fields(row[1]) {
		v, err := value(s)
		if err != nil {
			return f, err
		}
		f.Args = append(f.Args, v)
	}
	var err error
	if f.Want, err = value(row[2]); err != nil {
		return f, err
	}
	if row[3] != "" {
		f.Within, err = value(row[3])
		return f, err
	}
	_, decimals, _ := strings.Cut(row[2], ".")
	f.Within = 0.5000001 * math.Pow10(-len(decimals))
	return f, nil
}

func value(s string) (float64, error) {
	over, under, ok := strings.Cut(s, "/")
	a, err := strconv.ParseFloat(over, 64)
	if err != nil || !ok {
		return a, err
	}
	b, err := strconv.ParseFloat(under, 64)
	return a / b, err
}

// moduleRoot walks up from the test's folder to go.mod.
func moduleRoot() (string, error) {
	dir, err := os.Getwd()
	for err == nil {
		if _, e := os.Stat(filepath.Join(dir, "go.mod")); e == nil {
			return dir, nil
		}
		if dir == filepath.Dir(dir) {
			return "", fmt.Errorf("no go.mod above the test's folder")
		}
		dir = filepath.Dir(dir)
	}
	return "", err
}

// Check fails the test for every figure that a method misses, for a quantity
// nobody computes, for a method no figure uses, and, in a derived table, for a
// quantity without a second method. It logs how many figures each source gave;
// go test -v shows it.
func Check(t *testing.T, table string, methods map[string][]Method) {
	t.Helper()
	all, err := Read(table)
	if err != nil {
		t.Fatal(err)
	}
	used, bySource := map[string]bool{}, map[string]int{}
	for _, f := range all {
		bySource[f.Source]++
		used[f.Quantity] = true
		ways := methods[f.Quantity]
		if len(ways) == 0 {
			t.Errorf("%s:%d: nothing computes %q", table, f.Line, f.Quantity)
		}
		if strings.HasPrefix(table, "derived/") && len(ways) == 1 {
			t.Errorf("%s:%d: %q needs a second method", table, f.Line, f.Quantity)
		}
		for i, method := range ways {
			got, err := method(f.Args)
			if err != nil || !(math.Abs(got-f.Want) <= f.Within) {
				t.Errorf("%s:%d: %s%v by method %d is %.10g (%v), want %v ± %.2g (%s)", table, f.Line, f.Quantity, f.Args, i+1, got, err, f.Want, f.Within, f.Source)
			}
		}
	}
	for _, quantity := range slices.Sorted(maps.Keys(methods)) {
		if !used[quantity] {
			t.Errorf("%s: no figure for %q", table, quantity)
		}
	}
	var counts []string
	for _, source := range slices.Sorted(maps.Keys(bySource)) {
		counts = append(counts, fmt.Sprintf("%s %d", source, bySource[source]))
	}
	t.Logf("%s: %d figures (%s)", table, len(all), strings.Join(counts, ", "))
}
