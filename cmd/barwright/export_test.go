package main

import (
	"bytes"
	"io/fs"
	"os"

	"github.com/rogpeppe/go-internal/testscript"
)

// samefolders A B: the two hold the same files, byte for byte, and some.
func sameFolders(ts *testscript.TestScript, _ bool, args []string) {
	a, b := os.DirFS(ts.MkAbs(args[0])), os.DirFS(ts.MkAbs(args[1]))
	n := 0
	compare := func(one, other fs.FS) {
		ts.Check(fs.WalkDir(one, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			n++
			want, err := fs.ReadFile(one, name)
			ts.Check(err)
			got, err := fs.ReadFile(other, name)
			ts.Check(err)
			if !bytes.Equal(want, got) {
				ts.Fatalf("%s differs", name)
			}
			return nil
		}))
	}
	compare(a, b)
	compare(b, a)
	if n < 10 {
		ts.Fatalf("only %d files were compared", n)
	}
}
