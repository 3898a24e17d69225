// Package arch holds no code: its tests keep the import arrows pointing one
// way and the sciences free of the outside world.
package arch

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

const root = "../.."

// order lists the packages from the bottom up: one may import what stands
// before it, never what stands after. A new package is given its place here.
var order = []string{
	"quantity", "source", "finding",
	"material", "mould", "curve", "picture",
	"recipe",
	"lye", "makeup", "melt", "window", "heat", "cure",
	"judging", "calendar",
	"plan", "formulate", "chart",
	"batch",
	"stock", "label", "hive", "share", "trial",
	"authority",
	"store", "recipes", "demo", "web",
	"cmd/barwright",
}

// sciences know nature and nothing else; plan joins them and stays as pure, and
// so do formulate, which plans what it offers, and its solver.
var (
	sciences = []string{"lye", "makeup", "melt", "window", "heat", "cure"}
	pure     = append(slices.Clone(sciences), "curve", "plan", "formulate", "internal/milp", "batch", "chart", "picture", "judging", "calendar")
)

// outside is what a pure package may not touch: files, the network, clocks,
// logs, databases and templates. Randomness that no seed governs is caught
// with the calls.
var outside = []string{"os", "os/exec", "net", "net/http", "log", "log/slog", "database/sql", "text/template", "html/template", "flag", "syscall"}

// calls that make a plan differ from one day to the next.
var calls = map[string][]string{
	"time":         {"Now", "Since", "Until", "After", "Tick"},
	"math/rand":    {"Int", "Intn", "Float64", "NormFloat64", "Perm", "Shuffle", "Seed", "ExpFloat64"},
	"math/rand/v2": {"Int", "IntN", "Float64", "NormFloat64", "Perm", "Shuffle", "ExpFloat64", "Uint64", "N"},
}

// goFile is one file that is built, not a test.
type goFile struct {
	pkg, name string // "lye", "lye/band.go"
	*ast.File
}

func goFiles(t *testing.T) (files []goFile) {
	t.Helper()
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if base := d.Name(); d.IsDir() && (base == "testdata" || (strings.HasPrefix(base, ".") && name != root)) {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			return err
		}
		rel := filepath.ToSlash(strings.TrimPrefix(name, root+string(filepath.Separator)))
		files = append(files, goFile{path.Dir(rel), rel, f})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 40 {
		t.Fatalf("%d files: is %s the module?", len(files), root)
	}
	return files
}

func (f goFile) imports() (paths []string) {
	for _, i := range f.Imports {
		p, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			panic(err) // the parser read it
		}
		paths = append(paths, p)
	}
	return paths
}

// wrongArrow says why pkg may not import the package at path p; "" when it may.
func wrongArrow(pkg, p string) string {
	to, ours := strings.CutPrefix(p, "barwright/")
	helper := func(pkg string) bool { return strings.HasPrefix(pkg, "internal/") }
	switch {
	case !ours, helper(to) && (!helper(pkg) || to != pkg):
		return ""
	case helper(pkg):
		return "internal helpers know nothing of soap"
	case place(pkg) < 0:
		return "it has no place in the order; give it one"
	case place(to) < 0:
		return "what it imports has no place in the order"
	case place(to) >= place(pkg):
		return "the arrow runs the wrong way"
	case slices.Contains(sciences, pkg) && slices.Contains(sciences, to):
		return "a science imports its sister"
	}
	return ""
}

// place is where a package stands in the order; a package below another one's
// folder (web/chart) stands there too. -1 is nowhere.
func place(pkg string) int {
	return slices.IndexFunc(order, func(o string) bool { return pkg == o || strings.HasPrefix(pkg, o+"/") })
}

func TestArrowsPointOneWay(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, f := range goFiles(t) {
		seen[f.pkg] = true
		for _, p := range f.imports() {
			if why := wrongArrow(f.pkg, p); why != "" {
				t.Errorf("%s imports %s: %s", f.name, p, why)
			}
		}
	}
	for _, pkg := range []string{"quantity", "material", "recipe", "lye", "plan", "cmd/barwright"} {
		if !seen[pkg] {
			t.Errorf("%s was not looked at", pkg)
		}
	}
}

// The arrows as the design draws them: a walk that lets everything through
// would pass the test above.
func TestWrongArrowsAreSeen(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		pkg, imports string
		wrong        bool
	}{
		{"recipe", "barwright/finding", false},
		{"plan", "barwright/lye", false},
		{"cmd/barwright", "barwright/plan", false},
		{"lye", "barwright/internal/numeric", false},
		{"plan", "math", false},
		{"internal/tomldoc", "barwright/internal/near", false},
		{"lye", "barwright/melt", true},
		{"window", "barwright/cure", true},
		{"material", "barwright/recipe", true},
		{"lye", "barwright/plan", true},
		{"plan", "barwright/cmd/barwright", true},
		{"internal/near", "barwright/material", true},
		{"utilities", "barwright/plan", true},
		{"plan", "barwright/utilities", true},
	} {
		if why := wrongArrow(c.pkg, c.imports); (why != "") != c.wrong {
			t.Errorf("%s imports %s: %q", c.pkg, c.imports, why)
		}
	}
}

// The sciences and plan read no file, no clock and no dice: the same recipe
// plans to the same numbers next year.
func TestPurePackagesStayPure(t *testing.T) {
	t.Parallel()
	for _, f := range goFiles(t) {
		if !slices.ContainsFunc(pure, func(p string) bool { return f.pkg == p || strings.HasPrefix(f.pkg, p+"/") }) {
			continue
		}
		for _, bad := range impurities(f) {
			t.Errorf("%s: %s", f.name, bad)
		}
	}
}

func impurities(f goFile) (bad []string) {
	names := map[string]string{} // of imported packages in this file
	for i, p := range f.imports() {
		if slices.Contains(outside, p) {
			bad = append(bad, "imports "+p)
		}
		name := path.Base(strings.TrimSuffix(p, "/v2"))
		if alias := f.Imports[i].Name; alias != nil {
			name = alias.Name
		}
		names[name] = p
	}
	ast.Inspect(f.File, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		if x, ok := sel.X.(*ast.Ident); ok && slices.Contains(calls[names[x.Name]], sel.Sel.Name) {
			bad = append(bad, "uses "+x.Name+"."+sel.Sel.Name)
		}
		return true
	})
	return bad
}

func TestImpuritiesAreSeen(t *testing.T) {
	t.Parallel()
	const text = `package lye
import ("os"; clock "time"; "math/rand/v2"; "time")
var a, b, c = clock.Now(), rand.Float64(), rand.New(nil)
var d time.Duration
var e = os.Args`
	f, err := parser.ParseFile(token.NewFileSet(), "lye.go", text, 0)
	if err != nil {
		t.Fatal(err)
	}
	got := impurities(goFile{"lye", "lye.go", f})
	if want := []string{"imports os", "uses clock.Now", "uses rand.Float64"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// What belongs to how this was made, and not to what it is, stays out of every
// file. The words are parted here so that this file does not hold them.
var banned = regexp.MustCompile(`(?i)seed ` + `document|/wo` + `rk/|\btrans` + `cripts?\b`)

func TestNoFileNamesItsMaking(t *testing.T) {
	t.Parallel()
	cmd := exec.Command("git", "ls-files", "-z")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		t.Skipf("not in a git checkout: %v", err)
	}
	for _, word := range []string{"Seed " + "document", "/wo" + "rk/main", "the trans" + "cript"} {
		if !banned.MatchString(word) || banned.MatchString("a transcription of the seed oil, documented; network/, working") {
			t.Errorf("%q is not told apart", word)
		}
	}
	texts := 0
	for name := range strings.SplitSeq(strings.TrimSuffix(string(out), "\x00"), "\x00") {
		data, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
		if os.IsNotExist(err) {
			continue // removed, and not yet committed
		}
		if err != nil {
			t.Fatal(err)
		}
		if !utf8.Valid(data) {
			continue
		}
		texts++
		for _, at := range banned.FindAllIndex(data, -1) {
			t.Errorf("%s, line %d: %q", name, 1+bytes.Count(data[:at[0]], []byte("\n")), data[at[0]:at[1]])
		}
	}
	if texts < 100 {
		t.Errorf("%d texts: is %s the checkout?", texts, root)
	}
}
