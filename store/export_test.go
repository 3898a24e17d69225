package store

import (
	"context"
	"database/sql"

	"barwright/internal/whole"
)

// DB is the database underneath.
func (s *Store) DB() *sql.DB { return s.db }

// BackupOn and RestoreOn are Backup and Restore on a disk that a test watches.
func BackupOn(ctx context.Context, disk whole.Disk, dir, file string) error {
	return backup(ctx, disk, dir, file)
}

func RestoreOn(ctx context.Context, disk whole.Disk, dir, file string) (kept string, err error) {
	return restore(ctx, disk, dir, file)
}
