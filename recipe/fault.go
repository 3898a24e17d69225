package recipe

import (
	"errors"
	"fmt"
)

// Fault is one thing wrong with a recipe: the dotted path of the key it is
// wrong at, what is wrong, and what to do.
type Fault struct {
	Path   string
	Text   string
	Advice string
}

func (f Fault) Error() string { return f.Text }

// Hint returns what to do about it.
func (f Fault) Hint() string { return f.Advice }

// faults collects what a check finds, in the order of the file.
type faults []Fault

func (fs *faults) add(path, advice, format string, args ...any) {
	*fs = append(*fs, Fault{path, fmt.Sprintf(format, args...), advice})
}

// addErr adds err with its own hint.
func (fs *faults) addErr(path string, err error) {
	if err == nil {
		return
	}
	var h interface{ Hint() string }
	advice := ""
	if errors.As(err, &h) {
		advice = h.Hint()
	}
	fs.add(path, advice, "%v", err)
}
