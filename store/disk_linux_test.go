package store_test

import (
	"syscall"
	"testing"
)

// smallDisk mounts a disk of 1 MB in memory. When that is not allowed, the test
// is skipped.
func smallDisk(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("barwright-test", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("no small disk to fill: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}
