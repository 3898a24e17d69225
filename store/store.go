// Package store keeps a workshop: recipes with their versions, and the things
// of the workshop with their revisions. Nothing is ever overwritten.
//
// Start with Open, which takes a data folder, or OpenPostgres, for a workshop
// that outgrew one machine; both speak the same SQL. What it does not do: read
// what is inside a recipe or a thing; they are text to it. What it promises,
// and how that is tested, is in docs/store.md.
package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Store is an open workshop. It is safe for concurrent use.
type Store struct {
	db   *sql.DB
	lock *folderLock // held while a data folder is open, nil on PostgreSQL
	turn sync.Mutex  // of those who save to SQLite, which takes one at a time and is not fair
}

// Close closes the workshop.
func (s *Store) Close() error {
	err := s.db.Close()
	if s.lock != nil {
		err = errors.Join(err, s.lock.release())
	}
	return err
}

// migrate brings the tables up to date; a database newer than this program is
// left alone and is an error.
func (s *Store) migrate(ctx context.Context, dialect goose.Dialect, opts ...goose.ProviderOption) error {
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(dialect, s.db, sub, opts...)
	if err != nil {
		return err
	}
	// Up takes the lock among processes, and finds nothing to do in a newer
	// database, so it comes first.
	if _, err := p.Up(ctx); err != nil {
		return err
	}
	have, known, err := p.GetVersions(ctx)
	if err == nil && have > known {
		err = errNewer{have, known}
	}
	return err
}

// newestMigration is the number of the newest tables this program knows.
func newestMigration() (n int64) {
	files, err := migrations.ReadDir("migrations")
	if err != nil {
		panic(err)
	}
	for _, f := range files {
		v, err := goose.NumericComponent(f.Name())
		if err != nil {
			panic(err)
		}
		n = max(n, v)
	}
	return n
}

// errNewer is a database of a later program.
type errNewer struct{ have, known int64 }

func (e errNewer) Error() string {
	return fmt.Sprintf("tables of version %d, this program knows %d", e.have, e.known)
}

// inTx runs f in one transaction, which stands or falls as a whole.
func (s *Store) inTx(ctx context.Context, f func(tx *sql.Tx) error) error {
	if s.lock != nil {
		s.turn.Lock()
		defer s.turn.Unlock()
	}
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return trouble(err)
	}
	defer tx.Rollback() // nothing after Commit
	if err := f(tx); err != nil {
		return trouble(err)
	}
	return trouble(tx.Commit())
}

// ErrText is text with signs that cannot be kept, the fault of who sent it.
var ErrText = errors.New("it is not UTF-8, or holds the byte 0")

// keepable refuses text that not every database can keep: it would come back
// otherwise than it went in.
func keepable(texts ...string) error {
	for _, t := range texts {
		if !utf8.ValidString(t) || strings.ContainsRune(t, 0) {
			return &Trouble{"the text holds signs that cannot be kept", "type it anew, or save the file as UTF-8", ErrText}
		}
	}
	return nil
}
