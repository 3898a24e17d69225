package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Device is a phone or another computer that was let in over the local
// network. Hash is of its token; the token itself is nowhere but on the device.
type Device struct {
	Hash     string
	Name     string
	PairedAt time.Time
	SeenAt   time.Time
}

// AddDevice lets a device in.
func (s *Store) AddDevice(ctx context.Context, d Device) error {
	if err := keepable(d.Hash, d.Name); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx *sql.Tx) error { return insertDevice(ctx, tx, d) })
}

const selectDevice = `SELECT token_hash, name, paired_at, seen_at FROM device`

func scanDevice(r row) (Device, error) {
	var d Device
	var paired, seen int64
	err := r.Scan(&d.Hash, &d.Name, &paired, &seen)
	if errors.Is(err, sql.ErrNoRows) {
		return d, ErrMissing
	}
	d.PairedAt, d.SeenAt = fromMilli(paired), fromMilli(seen)
	return d, err
}

// Device returns the device with the hash of its token, or ErrMissing.
func (s *Store) Device(ctx context.Context, hash string) (Device, error) {
	d, err := scanDevice(s.db.QueryRowContext(ctx, selectDevice+` WHERE token_hash = $1`, hash))
	return d, trouble(err)
}

// Devices returns every device that may come in, the last let in first.
func (s *Store) Devices(ctx context.Context) ([]Device, error) {
	rows, err := s.db.QueryContext(ctx, selectDevice+` ORDER BY paired_at DESC, token_hash`)
	return collect(rows, err, scanDevice)
}

// SeeDevice notes when a device was last here; ErrMissing when it may no
// longer come in.
func (s *Store) SeeDevice(ctx context.Context, hash string, at time.Time) error {
	return s.changeDevice(ctx, `UPDATE device SET seen_at = $1 WHERE token_hash = $2`, milli(at), hash)
}

// RemoveDevice turns a device away from now on; ErrMissing when it was not let
// in.
func (s *Store) RemoveDevice(ctx context.Context, hash string) error {
	return s.changeDevice(ctx, `DELETE FROM device WHERE token_hash = $1`, hash)
}

func (s *Store) changeDevice(ctx context.Context, statement string, args ...any) error {
	err := s.inTx(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, statement, args...)
		return changed(res, err)
	})
	if errors.Is(err, ErrChanged) {
		return ErrMissing
	}
	return err
}
