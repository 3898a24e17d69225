// Package store keeps a workshop: recipes with their versions, and the things
// of the workshop with their revisions. Nothing is ever overwritten.
//
// Start with Open, which takes a data folder, or OpenPostgres, for a workshop
// that outgrew one machine; both speak the same SQL. What it does not do: read
// what is inside a recipe or a thing; they are text to it.
package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	_ "github.com/jackc/pgx/v5/stdlib" // PostgreSQL
	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // SQLite
)

//go:embed migrations/*.sql
var migrations embed.FS

// File is the name of the database in a data folder.
const File = "barwright.db"

// Store is an open workshop. It is safe for concurrent use.
type Store struct {
	db   *sql.DB
	path string   // of the SQLite file, "" on PostgreSQL
	lock *os.File // held while a data folder is open
}

// Open opens the workshop of a data folder, making the folder and the
// database when they are not there. The error is a *Trouble: what is wrong in
// a maker's words.
func Open(ctx context.Context, dir string) (*Store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, troubleOpening(dir, err)
	}
	lock, err := lockFolder(dir)
	if err != nil {
		return nil, err
	}
	path := filepath.Join(dir, File)
	db, err := openSQLite(ctx, path)
	if err != nil {
		lock.Close()
		return nil, troubleOpening(dir, err)
	}
	s := &Store{db: db, path: path, lock: lock}
	if err := s.migrate(ctx, goose.DialectSQLite3); err != nil {
		s.Close()
		return nil, troubleOpening(dir, err)
	}
	return s, nil
}

// openSQLite opens one SQLite file with the pragmas on every connection.
func openSQLite(ctx context.Context, path string) (*sql.DB, error) {
	dsn := "file:" + filepath.ToSlash(path) + "?_txlock=immediate&_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)"
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, err
	}
	if err := db.PingContext(ctx); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// openReadOnly opens an SQLite file that must not be changed.
func openReadOnly(ctx context.Context, path string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", "file:"+filepath.ToSlash(path)+"?mode=ro&_pragma=busy_timeout(5000)")
	if err != nil {
		return nil, err
	}
	if err := db.PingContext(ctx); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// OpenPostgres opens the workshop of a PostgreSQL database.
func OpenPostgres(ctx context.Context, url string) (*Store, error) {
	db, err := sql.Open("pgx", url)
	if err != nil {
		return nil, &Trouble{"the address of the PostgreSQL database cannot be read", err.Error(), err}
	}
	s := &Store{db: db}
	if err := db.PingContext(ctx); err != nil {
		s.Close()
		return nil, &Trouble{"the PostgreSQL database does not answer", "is it running, and are name and password right?", err}
	}
	if err := s.migrate(ctx, goose.DialectPostgres); err != nil {
		s.Close()
		return nil, troubleOpening("the PostgreSQL database", err)
	}
	return s, nil
}

// Close closes the workshop.
func (s *Store) Close() error {
	err := s.db.Close()
	if s.lock != nil {
		err = errors.Join(err, s.lock.Close())
	}
	return err
}

// migrate brings the tables up to date; a database newer than this program is
// left alone and is an error.
func (s *Store) migrate(ctx context.Context, dialect goose.Dialect) error {
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(dialect, s.db, sub, goose.WithVerbose(false))
	if err != nil {
		return err
	}
	have, want, err := p.GetVersions(ctx)
	if err != nil {
		return err
	}
	if have > want {
		return errNewer{have, want}
	}
	_, err = p.Up(ctx)
	return err
}

// errNewer is a database of a later program.
type errNewer struct{ have, want int64 }

func (e errNewer) Error() string {
	return fmt.Sprintf("tables of version %d, this program knows %d", e.have, e.want)
}

// inTx runs f in one transaction, which stands or falls as a whole.
func (s *Store) inTx(ctx context.Context, f func(tx *sql.Tx) error) error {
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return trouble(err)
	}
	if err := f(tx); err != nil {
		tx.Rollback()
		return trouble(err)
	}
	return trouble(tx.Commit())
}
