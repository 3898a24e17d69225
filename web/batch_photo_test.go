package web_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"barwright/share"
)

// A photo that says where it was taken is kept without it, shown on the record,
// and leaves with the workshop's files and comes back.
func TestBatchPhoto(t *testing.T) {
	t.Parallel()
	s := openShop(t, "ninth-lock")
	var plain bytes.Buffer
	if err := jpeg.Encode(&plain, image.NewGray(image.Rect(0, 0, 1600, 1200)), nil); err != nil {
		t.Fatal(err)
	}
	// An Exif segment (Exif 2.32) in front of the pixels: package picture's test
	// has one with a whole GPS directory.
	place := "Exif\x00\x00II*\x00\x08\x00\x00\x00\x00\x00N52 31 47.11"
	file := "\xff\xd8\xff\xe1\x00" + string(rune(len(place)+2)) + place + plain.String()[2:]
	send := func(status int, file string) *httptest.ResponseRecorder {
		t.Helper()
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		form.WriteField("text", "the cut")
		part, _ := form.CreateFormFile("photo", "IMG_1.jpg")
		part.Write([]byte(file))
		form.Close()
		r := httptest.NewRequest("POST", "/batches/b05/photos", &body)
		r.Header.Set("Content-Type", form.FormDataContentType())
		return s.ask(status, r)
	}
	send(303, file)
	page := s.get(200, "/batches/b05")
	src := regexp.MustCompile(`<img src="(/batches/b05/photos/[^"]+)" alt="the cut"`).FindStringSubmatch(page)
	if src == nil || !strings.Contains(page, "A photo: the cut") && !strings.Contains(page, "a photo: the cut") {
		t.Fatal("the record does not show the photo")
	}
	kept := s.get(200, src[1])
	if strings.Contains(kept, "Exif") || strings.Contains(kept, "47.11") {
		t.Error("the place is left")
	}
	if c, err := jpeg.DecodeConfig(strings.NewReader(kept)); err != nil || c.Width != 1024 || c.Height != 768 {
		t.Errorf("%+v %v", c, err)
	}
	s.get(404, strings.Replace(src[1], "b05", "b04", 1))
	if page := send(422, "no photo").Body.String(); !strings.Contains(page, "no photo that can be read") {
		t.Error("what is wrong is not told")
	}
	all, err := s.store.Everything(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	files := share.Files(all)
	loose := fstest.MapFS{}
	for name, data := range files {
		loose[name] = &fstest.MapFile{Data: data}
	}
	back, err := share.Read(loose)
	if err != nil {
		t.Fatal(err)
	}
	for _, thing := range back.Things {
		if thing.Kind == "photo" {
			return
		}
	}
	t.Error("the photo does not leave with the workshop")
}
