package share_test

import (
	"os"
	"testing"

	"barwright/share"
)

// Goals that were kept go out as files and come in again, as they were.
func TestGoalsGoOutAndIn(t *testing.T) {
	t.Parallel()
	body, err := os.ReadFile("../goals/cheap-and-keeps.toml")
	if err != nil {
		t.Fatal(err)
	}
	files := share.Files(share.Workshop{Things: []share.Thing{{Kind: "goal", ID: "cheap", Revisions: []share.Revision{{Body: string(body), MadeAt: day}}}}})
	if string(files["goals/cheap.toml"]) != string(body) || files[share.LeftOut] != nil {
		t.Fatalf("goals/cheap.toml holds %q", files["goals/cheap.toml"])
	}
	back, err := share.Read(mapFS(files))
	if err != nil || len(back.Things) != 1 || back.Things[0].Kind != "goal" || back.Things[0].Newest().Body != string(body) {
		t.Fatalf("%v %v", err, back.Things)
	}
	files["goals/cheap.toml"] = []byte("format = 2\n")
	if _, err := share.Read(mapFS(files)); err == nil {
		t.Error("a goal of another format is read")
	}
}
