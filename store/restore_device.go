package store

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
)

// devicesAt returns the devices that the database at path lets in: none when it
// is not there or cannot be read, because then nobody knows who was turned
// away.
func devicesAt(ctx context.Context, path string) []Device {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil // opening it would make it
	}
	db, err := openSQLite(ctx, path)
	if err != nil {
		return nil
	}
	s := &Store{db: db}
	defer db.Close()
	devices, err := s.Devices(ctx)
	if err != nil {
		return nil
	}
	return devices
}

// letInOnly makes the devices the only ones that a database lets in. The
// database has no log of its own afterwards.
func letInOnly(ctx context.Context, path string, devices []Device) error {
	db, err := openDSN(ctx, path, "_txlock=immediate&_pragma=journal_mode(DELETE)&_pragma=synchronous(FULL)")
	if err != nil {
		return err
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return errors.Join(err, db.Close())
	}
	defer tx.Rollback() // nothing after Commit
	_, err = tx.ExecContext(ctx, `DELETE FROM device`)
	for _, d := range devices {
		if err == nil {
			err = insertDevice(ctx, tx, d)
		}
	}
	if err == nil {
		err = tx.Commit()
	}
	return errors.Join(err, db.Close())
}

func insertDevice(ctx context.Context, tx *sql.Tx, d Device) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO device (token_hash, name, paired_at, seen_at) VALUES ($1, $2, $3, $4)`,
		d.Hash, d.Name, milli(d.PairedAt), milli(d.SeenAt))
	return err
}
