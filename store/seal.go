package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
)

// seal is the SHA-256 of a row's fields. Neither database notices when a disk
// turns one digit into another, and a digit can be grams of lye. No text holds
// the byte 0, so that no two rows run together.
func seal(fields ...any) string {
	h := sha256.New()
	for _, f := range fields {
		fmt.Fprintf(h, "%v\x00", f)
	}
	return hex.EncodeToString(h.Sum(nil))
}

func broken(what string) error {
	return &Trouble{what + " has changed on the disk", "do not use it; bring back the last backup with: barwright restore FILE", nil}
}

// checkSeals reads everything that is sealed.
func checkSeals(ctx context.Context, db *sql.DB) error {
	rows, err := db.QueryContext(ctx, selectVersion)
	if err := each(rows, err, func(r row) error { _, err := scanVersion(r); return err }); err != nil {
		return err
	}
	rows, err = db.QueryContext(ctx, selectThing)
	if err := each(rows, err, func(r row) error { _, err := scanThing(r); return err }); err != nil {
		return err
	}
	return checkBatchSeals(ctx, db)
}

// checkBatchSeals reads the batches and their events, where the database is new
// enough to have them.
func checkBatchSeals(ctx context.Context, db *sql.DB) error {
	var tables int
	if err := db.QueryRowContext(ctx, `SELECT COUNT(*) FROM sqlite_schema WHERE name IN ('batch', 'event')`).Scan(&tables); err != nil || tables < 2 {
		return err
	}
	count := map[string]int{}
	rows, err := db.QueryContext(ctx, selectEvent)
	if err := each(rows, err, func(r row) error { e, err := scanEvent(r); count[e.batch]++; return err }); err != nil {
		return err
	}
	rows, err = db.QueryContext(ctx, selectBatch)
	return each(rows, err, func(r row) error {
		b, err := scanBatch(r)
		if err == nil && b.Events != count[b.ID] {
			err = broken("batch " + b.Code)
		}
		return err
	})
}
