// Barwright plans a batch of cold-process soap and says what it will do.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/alecthomas/kong"

	"barwright/internal/tomldoc"
)

// version is set when a release is built.
var version = "unreleased"

// Exit statuses that other programs rely on.
const (
	exitDone     = 0
	exitStop     = 1 // a stop finding, or no recipe fits
	exitBadInput = 2
	exitLimit    = 3 // a limit was reached with the best found so far
)

type commands struct {
	Version   kong.VersionFlag `help:"Print the version."`
	Plan      planCommand      `cmd:"" help:"Plan the batch of a recipe file: what to weigh, what it will do, what to beware of."`
	Forecast  forecastCommand  `cmd:"" help:"Forecast the heat after the pour: peak, gel, overheating, and which cover helps."`
	Demo      demoCommand      `cmd:"" help:"Open the app on a throw-away copy of the demo workshop."`
	Backup    backupCommand    `cmd:"" help:"Write a copy of the whole workshop to a file, also while the app is open."`
	Restore   restoreCommand   `cmd:"" help:"Put a backup in place of the workshop, and keep what was there."`
	Export    exportCommand    `cmd:"" help:"Write the whole workshop as a folder of plain files."`
	Formulate formulateCommand `cmd:"" help:"Find the recipes that fit a goal file: best first, proved; or which wishes clash."`
	Import    importCommand    `cmd:"" help:"Read an export or a recipe file into the workshop."`
	Serve     serveCommand     `cmd:"" help:"Open the workshop app in a browser."`
	Materials materialsCommand `cmd:"" help:"List the materials, or show one with its ranges, sources and grades."`
}

// context is what a command may touch.
type context struct {
	stdin          io.Reader
	stdout, stderr io.Writer
}

func main() { os.Exit(run(os.Args[1:], context{os.Stdin, os.Stdout, os.Stderr})) }

// run returns the exit status of one call.
func run(args []string, ctx context) int {
	var c commands
	exit := -1
	parser := kong.Must(&c, kong.Name("barwright"),
		kong.Description("Plans cold-process soap from raw fats and lye: safe by arithmetic, with ranges and their because."),
		kong.Writers(ctx.stdout, ctx.stderr), kong.Vars{"version": "barwright " + version}, kong.Exit(func(code int) { exit = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 80}))
	switch {
	case len(args) == 0:
		args = []string{"--help"}
	case args[0] == "help":
		args = append(args[1:len(args):len(args)], "--help")
	}
	k, err := parser.Parse(args)
	if exit >= 0 {
		return exit
	}
	if err != nil {
		return fail(ctx, &hinted{err.Error(), "barwright --help lists the commands"})
	}
	if err := k.Run(ctx); err != nil {
		return fail(ctx, err)
	}
	return exitDone
}

// errStop says that the plan holds a stop finding; the plan itself has been
// printed.
var errStop = errors.New("the plan holds a stop")

// hinted is an error with what to do about it.
type hinted struct{ text, advice string }

func (e *hinted) Error() string { return e.text }
func (e *hinted) Hint() string  { return e.advice }

// noted is an error with something to say after it, however many it is.
type noted struct {
	error
	note string
}

func (e *noted) Unwrap() error { return e.error }

// fail prints an error as one line and its hint, or each of several so, and
// returns the status.
func fail(ctx context, err error) int {
	switch {
	case errors.Is(err, errStop), errors.Is(err, errNoRecipe):
		return exitStop
	case errors.Is(err, errLimit):
		return exitLimit
	}
	var several tomldoc.Faults
	if errors.As(err, &several) {
		for _, f := range several {
			failOnce(ctx, f)
		}
	} else {
		failOnce(ctx, err)
	}
	var n *noted
	if errors.As(err, &n) {
		fmt.Fprintf(ctx.stderr, "hint: %s\n", n.note)
	}
	return exitBadInput
}

func failOnce(ctx context, err error) {
	fmt.Fprintf(ctx.stderr, "barwright: error: %s\n", oneLine(err.Error()))
	hint := "correct that and run the command again"
	var h interface{ Hint() string }
	if errors.As(err, &h) && h.Hint() != "" {
		hint = h.Hint()
	}
	fmt.Fprintf(ctx.stderr, "hint: %s\n", oneLine(hint))
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
