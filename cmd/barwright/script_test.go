package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"barwright": main})
}

// Every script is one part of what a person can meet at the command line.
// ten/ and goals/ hold the recipes and goals of this repository.
func TestScripts(t *testing.T) {
	t.Parallel()
	testscript.Run(t, testscript.Params{
		Dir:             "testdata/script",
		ContinueOnError: true, // one run shows every line that fails
		Setup: func(env *testscript.Env) error {
			return errors.Join(os.CopyFS(env.WorkDir+"/ten", os.DirFS("../../recipes")), os.CopyFS(env.WorkDir+"/goals", os.DirFS("../../goals")))
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "refuses": refuses, "broken": broken, "goalbroken": goalBroken, "unplaced": unplaced, "json": onlyJSON, "big": big, "samefolders": sameFolders,
		},
	})
}

// exits STATUS COMMAND...: the command ends with exactly this status.
func exits(ts *testscript.TestScript, _ bool, args []string) {
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// refuses COMMAND...: status 2, nothing on standard output, and for every
// mistake one line that starts "barwright: error:" and after it at least one
// that starts "hint:".
func refuses(ts *testscript.TestScript, _ bool, args []string) {
	exits(ts, false, append([]string{"2"}, args...))
	if out := ts.ReadFile("stdout"); out != "" {
		ts.Fatalf("a refusal printed on standard output: %q", out)
	}
	lines := strings.Split(strings.TrimSuffix(ts.ReadFile("stderr"), "\n"), "\n")
	if !strings.HasPrefix(lines[0], "barwright: error: ") || len(lines[0]) < 30 {
		ts.Fatalf("the first line is not an error: %q", lines[0])
	}
	if len(lines) < 2 {
		ts.Fatalf("no hint")
	}
	for i, l := range lines[1:] {
		isError := strings.HasPrefix(l, "barwright: error: ")
		if (!isError && !strings.HasPrefix(l, "hint: ")) || len(l) < 10 {
			ts.Fatalf("neither an error nor a hint: %q", l)
		}
		if isError && strings.HasPrefix(lines[i], "barwright: error: ") || isError && i+1 == len(lines)-1 {
			ts.Fatalf("an error without a hint: %q", l)
		}
	}
}

// broken OLD NEW TEXT [HINT]: base.toml with OLD replaced by NEW is refused
// at the very line, with TEXT in the error and HINT in the hint. A | in OLD
// and NEW is a line break; the line is the first one of NEW, or the one that
// starts with §.
func broken(ts *testscript.TestScript, _ bool, args []string) {
	breakBase(ts, "plan", args, atLine)
}

// goalbroken is broken for a goal file.
func goalBroken(ts *testscript.TestScript, _ bool, args []string) {
	breakBase(ts, "formulate", args, atLine)
}

func atLine(line int) string { return fmt.Sprintf("bad.toml, line %d: ", line) }

// unplaced is broken for what is missing, which has no line.
func unplaced(ts *testscript.TestScript, _ bool, args []string) {
	breakBase(ts, "plan", args, func(int) string { return "bad.toml: " })
}

func breakBase(ts *testscript.TestScript, command string, args []string, place func(line int) string) {
	if len(args) < 3 || len(args) > 4 {
		ts.Fatalf("usage: broken OLD NEW TEXT [HINT]")
	}
	base, newlines := ts.ReadFile("base.toml"), strings.NewReplacer("|", "\n")
	old := newlines.Replace(args[0])
	if n := strings.Count(base, old); n != 1 {
		ts.Fatalf("%q is %d times in base.toml, want once", args[0], n)
	}
	at := strings.Index(base, old)
	bad := base[:at] + newlines.Replace(args[1]) + base[at+len(old):]
	if mark := strings.Index(bad, "§"); mark >= 0 {
		at, bad = mark, strings.Replace(bad, "§", "", 1)
	}
	ts.Check(os.WriteFile(ts.MkAbs("bad.toml"), []byte(bad), 0o666))
	refuses(ts, false, []string{"barwright", command, "bad.toml"})
	text, hint, _ := strings.Cut(ts.ReadFile("stderr"), "\n")
	prefix := "barwright: error: " + place(1+strings.Count(bad[:at], "\n"))
	if !strings.HasPrefix(text, prefix) || !strings.Contains(text, args[2]) {
		ts.Fatalf("want %s… %s …", prefix, args[2])
	}
	if len(args) == 4 && !strings.Contains(hint, args[3]) {
		ts.Fatalf("want a hint with %s", args[3])
	}
}

// json FILE (stdout): the file is one JSON value and nothing else.
func onlyJSON(ts *testscript.TestScript, _ bool, args []string) {
	dec := json.NewDecoder(strings.NewReader(ts.ReadFile(args[0])))
	var v map[string]any
	ts.Check(dec.Decode(&v))
	if len(v) == 0 {
		ts.Fatalf("an empty object")
	}
	if _, err := dec.Token(); err != io.EOF {
		ts.Fatalf("something follows the JSON: %v", err)
	}
}

// big FILE BYTES: makes a file of that many spaces.
func big(ts *testscript.TestScript, _ bool, args []string) {
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Repeat(" ", n)), 0o666))
}
