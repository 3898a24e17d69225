package whole_test

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"barwright/internal/whole"
)

var (
	before = map[string][]byte{"a.txt": []byte("old a"), "deep/er/b.txt": []byte("old b"), "gone.txt": []byte("old c")}
	after  = map[string][]byte{"a.txt": []byte("new a"), "deep/er/b.txt": []byte("new b"), "deep/c.txt": []byte("new c")}
)

// watched is a disk that writes down what it is asked, and fails at the nth
// renaming and every one after it up to last.
type watched struct {
	sync.Mutex
	asked       []string
	earlier     int // how often an earlier folder stood aside when the disk was asked to keep names
	renamed     int
	first, last int
}

var errDisk = errors.New("the disk fails")

func (w *watched) disk() whole.Disk {
	return whole.Disk{
		Sync: func(f *os.File) error {
			w.Lock()
			defer w.Unlock()
			w.asked = append(w.asked, "sync "+f.Name())
			if aside, _ := filepath.Glob(f.Name() + "/*.earlier-*/*"); len(aside) > 0 {
				w.earlier++
			}
			return f.Sync()
		},
		Rename: func(from, to string) error {
			w.renamed++
			w.asked = append(w.asked, "rename "+from+" "+to)
			if w.first > 0 && w.renamed >= w.first && w.renamed <= w.last {
				return errDisk
			}
			return os.Rename(from, to)
		},
	}
}

func written(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(name)
		rel, _ := filepath.Rel(dir, name)
		out[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	return out
}

func holds(t *testing.T, dir string, files map[string][]byte) {
	t.Helper()
	want := map[string]string{}
	for name, data := range files {
		want[name] = string(data)
	}
	if got := written(t, dir); !maps.Equal(got, want) {
		t.Errorf("%s holds %q, want %q", dir, got, want)
	}
}

func names(t *testing.T, dir string) (out []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// A folder that is not there, an empty one and an earlier one come to hold the
// files and nothing else, and nothing is left beside them. The empty one stays
// the folder it is: somebody may stand in it.
func TestFolder(t *testing.T) {
	t.Parallel()
	for name, made := range map[string]func(dir string) error{
		"new":     func(string) error { return nil },
		"empty":   func(dir string) error { return os.Mkdir(dir, 0o700) },
		"earlier": func(dir string) error { return whole.Real().Folder(dir, before) },
	} {
		parent := t.TempDir()
		dir := filepath.Join(parent, "out")
		if err := made(dir); err != nil {
			t.Fatal(err)
		}
		was, _ := os.Stat(dir)
		if err := whole.Real().Folder(dir, after); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		holds(t, dir, after)
		if got := names(t, parent); !slices.Equal(got, []string{"out"}) {
			t.Errorf("%s: %q", name, got)
		}
		if is, err := os.Stat(dir); err != nil || name == "empty" && !os.SameFile(was, is) {
			t.Errorf("%s: another folder stands there (%v)", name, err)
		}
	}
}

// Whichever renaming fails, and even if putting back fails as well, what was
// there is there or where the error says, and nothing half is there.
func TestEarlierIsNeverLost(t *testing.T) {
	t.Parallel()
	for first := 1; first <= 2; first++ {
		for last := first; last <= 3; last++ {
			parent := t.TempDir()
			dir := filepath.Join(parent, "out")
			if err := whole.Real().Folder(dir, before); err != nil {
				t.Fatal(err)
			}
			err := (&watched{first: first, last: last}).disk().Folder(dir, after)
			var aside *whole.AsideError
			switch {
			case !errors.Is(err, errDisk):
				t.Errorf("renamings %d to %d fail, and it says %v", first, last, err)
			case errors.As(err, &aside):
				if first != 2 || last != 3 || !strings.Contains(err.Error(), aside.Earlier) {
					t.Errorf("renamings %d to %d fail: %v", first, last, err)
				}
				holds(t, aside.Earlier, before)
			default:
				holds(t, dir, before)
				if got := names(t, parent); !slices.Equal(got, []string{"out"}) {
					t.Errorf("renamings %d to %d fail: %q", first, last, got)
				}
			}
		}
	}
	for first := 1; first <= 2; first++ { // an empty folder is empty again, a new one is not there
		dir := t.TempDir()
		if err := (&watched{first: first, last: 9}).disk().Folder(dir, after); !errors.Is(err, errDisk) || len(names(t, dir)) > 0 {
			t.Errorf("%v, and it holds %q", err, names(t, dir))
		}
	}
	parent := t.TempDir()
	if err := (&watched{first: 1, last: 9}).disk().Folder(filepath.Join(parent, "new"), after); !errors.Is(err, errDisk) || len(names(t, parent)) > 0 {
		t.Errorf("%v, and there is %q", err, names(t, parent))
	}
}

// Before something takes its name every file and folder of it is on the disk,
// and afterwards the name is; an earlier folder is there until then. A test
// sees what the disk is asked, not whether it obeys.
func TestOnTheDiskBeforeTheName(t *testing.T) {
	t.Parallel()
	parent := t.TempDir()
	dir, file, copied := filepath.Join(parent, "out"), filepath.Join(parent, "file"), filepath.Join(parent, "copy")
	w := &watched{}
	for _, files := range []map[string][]byte{before, after} {
		if err := w.disk().Folder(dir, files); err != nil {
			t.Fatal(err)
		}
		at := slices.IndexFunc(w.asked, func(s string) bool { return strings.HasPrefix(s, "rename ") && strings.HasSuffix(s, " "+dir) })
		if at < 0 {
			t.Fatalf("%q", w.asked)
		}
		from := strings.Fields(w.asked[at])[1]
		must := []string{from, filepath.Dir(from), filepath.Join(from, "deep"), filepath.Join(from, "deep", "er")}
		for name := range files {
			must = append(must, filepath.Join(from, name))
		}
		for _, path := range must {
			if !slices.Contains(w.asked[:at], "sync "+path) {
				t.Errorf("%s takes its name before it is on the disk: %q", path, w.asked[:at])
			}
		}
		if w.asked[len(w.asked)-1] != "sync "+parent {
			t.Errorf("the name is not on the disk: %q", w.asked)
		}
		w.asked = nil
	}
	if w.earlier != 1 {
		t.Errorf("the earlier folder was deleted before the new name was on the disk (%d)", w.earlier)
	}
	tmp, err := whole.Beside(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(w.disk().Settle(tmp, file), w.disk().Copy(file, copied)); err != nil {
		t.Fatal(err)
	}
	if want := []string{"sync " + tmp, "rename " + tmp + " " + file, "sync " + parent, "sync " + copied}; !slices.Equal(w.asked, want) {
		t.Errorf("%q, want %q", w.asked, want)
	}
	for _, path := range []string{file, copied} {
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v (%v)", path, info.Mode(), err)
		}
	}
}

// A disk that cannot keep what is written is an error, and nothing is named.
func TestWhatIsNotKeptTakesNoName(t *testing.T) {
	t.Parallel()
	for n := range 6 {
		parent := t.TempDir()
		dir := filepath.Join(parent, "out")
		if err := whole.Real().Folder(dir, before); err != nil {
			t.Fatal(err)
		}
		var synced atomic.Int64
		d := whole.Disk{Rename: os.Rename, Sync: func(f *os.File) error {
			if info, err := f.Stat(); err == nil && info.IsDir() {
				return nil
			}
			if synced.Add(1) == int64(n)+1 {
				return fmt.Errorf("sync %d: %w", n, errDisk)
			}
			return nil
		}}
		if err := d.Folder(dir, after); n < len(after) != errors.Is(err, errDisk) {
			t.Errorf("file %d: %v", n, err)
		}
		if n < len(after) {
			holds(t, dir, before)
		}
	}
}
