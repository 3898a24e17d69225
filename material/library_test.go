package material

import "testing"

// Every built-in file reads, is named after its id and passes its own checks.
func TestBuiltinFiles(t *testing.T) {
	lib := Builtin()
	if len(lib.IDs()) == 0 {
		t.Fatal("no material files")
	}
	for _, id := range lib.IDs() {
		m, err := lib.Find(id)
		if err != nil {
			t.Error(err)
			continue
		}
		if m.ID != id {
			t.Errorf("file %s.toml holds %q", id, m.ID)
		}
	}
}
