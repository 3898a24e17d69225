package store_test

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"barwright/share"
	"barwright/store"
)

// A device is let in, seen and turned away; the list has the last one first.
func TestDevices(t *testing.T) {
	t.Parallel()
	onBoth(t, letInAndTurnedAway)
}

func letInAndTurnedAway(t *testing.T, where string) {
	ctx := t.Context()
	s := open(t, where)
	at := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	phone := store.Device{Hash: "a", Name: "Kitchen phone", PairedAt: at, SeenAt: at}
	tablet := store.Device{Hash: "b", Name: "<script>", PairedAt: at.Add(time.Hour), SeenAt: at.Add(time.Hour)}
	for _, d := range []store.Device{phone, tablet} {
		if err := s.AddDevice(ctx, d); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.AddDevice(ctx, phone); err == nil {
		t.Error("the same token came in twice")
	}
	phone.SeenAt = at.Add(2 * time.Hour)
	if err := s.SeeDevice(ctx, "a", phone.SeenAt); err != nil {
		t.Error(err)
	}
	if got, err := s.Device(ctx, "a"); err != nil || got != phone {
		t.Errorf("%+v (%v), want %+v", got, err, phone)
	}
	if all, err := s.Devices(ctx); err != nil || len(all) != 2 || all[0] != tablet || all[1] != phone {
		t.Errorf("%+v (%v)", all, err)
	}
	if err := s.RemoveDevice(ctx, "a"); err != nil {
		t.Error(err)
	}
	for what, err := range map[string]error{"turned away again": s.RemoveDevice(ctx, "a"), "seen": s.SeeDevice(ctx, "a", at), "found": func() error { _, err := s.Device(ctx, "a"); return err }()} {
		if !errors.Is(err, store.ErrMissing) {
			t.Errorf("a device that was turned away is %s: %v", what, err)
		}
	}
}

// Devices are of one place: an export holds nothing of them. A backup holds
// the hashes, which open no door.
func TestDevicesStayAtHome(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	dir := t.TempDir()
	s, err := store.Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.AddDevice(ctx, store.Device{Hash: "a", Name: "Kitchen phone"}); err != nil {
		t.Fatal(err)
	}
	all, err := s.Everything(ctx)
	if err != nil {
		t.Fatal(err)
	}
	files := share.Files(all)
	if len(all.Things)+len(all.Recipes) > 0 || len(files) == 0 {
		t.Errorf("an empty workshop went out as %d recipes and %d things in %d files", len(all.Recipes), len(all.Things), len(files))
	}
	for name, data := range files {
		if strings.Contains(string(data), "Kitchen phone") {
			t.Errorf("%s names a device", name)
		}
	}
	if err := store.Backup(ctx, dir, filepath.Join(t.TempDir(), "backup")); err != nil {
		t.Error(err)
	}
}
