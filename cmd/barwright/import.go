package main

import (
	"archive/zip"
	gocontext "context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"barwright/material"
	"barwright/share"
	"barwright/store"
)

type importCommand struct {
	From string `arg:"" help:"Folder that barwright export wrote, a zip of it, a recipe file, or a folder of recipe files."`
	Data string `placeholder:"DIR" help:"Data folder of the workshop."`
}

// Run adds what the files hold to the workshop, all of it or nothing.
func (c *importCommand) Run(ctx context) error {
	if err := c.bringIn(ctx); err != nil {
		return &noted{err, "nothing came in; the workshop is as it was"}
	}
	return nil
}

func (c *importCommand) bringIn(ctx context) error {
	now := time.Now()
	theirs, err := incoming(c.From, now)
	if err != nil {
		return err
	}
	s, err := openData(gocontext.Background(), c.Data)
	if err != nil {
		return err
	}
	defer s.Close()
	ours, err := s.Everything(gocontext.Background())
	if err != nil {
		return err
	}
	arrival, err := share.Merge(ours, theirs, now, func() string { return strings.ToLower(rand.Text()[:16]) })
	if err != nil {
		return err
	}
	if err := s.Add(gocontext.Background(), arrival, func(body string) string { return share.Words(body, material.Builtin()) }); err != nil {
		if errors.Is(err, store.ErrChanged) {
			return &hinted{"somebody saved a version meanwhile", "run the command again"}
		}
		return err
	}
	tell(ctx.stdout, arrival)
	return nil
}

// tell says what came in and what did not.
func tell(w io.Writer, a share.Arrival) {
	fmt.Fprintf(w, "%s and %s came in, %s there already\n", count(len(a.Recipes), "recipe", "recipes"), count(len(a.Things), "thing", "things"), count(a.Known, "was", "were"))
	if len(a.Batches) > 0 {
		fmt.Fprintf(w, "%s came in, with everything that was done\n", count(len(a.Batches), "batch", "batches"))
	}
	for _, b := range a.Taps {
		fmt.Fprintf(w, "batch %s: %s added\n", b.Code, count(len(b.Events), "tap", "taps"))
	}
	for _, f := range a.Further {
		fmt.Fprintf(w, "%s: %s added to yours\n", f.Name, count(len(f.Versions), "later version", "later versions"))
	}
	for _, name := range a.Copies {
		fmt.Fprintf(w, "%s: yours is another; theirs came in beside it, with the tag %s\n", name, share.BroughtIn)
	}
	for _, name := range a.Kept {
		fmt.Fprintf(w, "%s: yours differs and was kept; theirs is still in the files\n", name)
	}
	for _, text := range a.Beware {
		fmt.Fprintf(w, "beware: %s\n", text)
	}
}

// incoming reads a folder, a zip or a recipe file.
func incoming(name string, now time.Time) (share.Workshop, error) {
	const advice = "name a folder that barwright export wrote, a zip of it, or a recipe file"
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return share.Workshop{}, openError(err, advice)
	case info.IsDir():
		root, err := os.OpenRoot(name) // links that lead out of it lead nowhere
		if err != nil {
			return share.Workshop{}, openError(err, advice)
		}
		defer root.Close()
		if share.IsExport(root.FS()) {
			return share.Read(root.FS())
		}
		return share.ReadLoose(root.FS(), material.Builtin(), now)
	case strings.EqualFold(filepath.Ext(name), ".zip"):
		z, err := zip.OpenReader(name)
		if err != nil {
			return share.Workshop{}, &hinted{fmt.Sprintf("%s: it is not a whole zip", name), advice}
		}
		defer z.Close()
		return share.Read(z)
	}
	data, err := readFile(name, nil)
	if err != nil {
		return share.Workshop{}, err
	}
	r, err := share.Loose(filepath.ToSlash(name), data, material.Builtin(), now)
	return share.Workshop{Recipes: []share.Recipe{r}}, err
}
