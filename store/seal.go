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
	return each(rows, err, func(r row) error { _, err := scanThing(r); return err })
}
