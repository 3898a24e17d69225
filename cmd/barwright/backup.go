package main

import (
	gocontext "context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"barwright/store"
)

type backupCommand struct {
	File string `arg:"" help:"File to write; it must not be there yet."`
	Data string `placeholder:"DIR" help:"Data folder of the workshop."`
}

// Run writes the backup, whole or not at all.
func (c *backupCommand) Run(ctx context) error {
	bg, stop := signal.NotifyContext(gocontext.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	dir, err := dataFolder(c.Data, "use pg_dump, or barwright export")
	if err != nil {
		return err
	}
	if err := store.Backup(bg, dir, c.File); err != nil {
		return err
	}
	fmt.Fprintf(ctx.stdout, "The workshop in %s is backed up in %s\n", dir, c.File)
	return nil
}

type restoreCommand struct {
	File string `arg:"" help:"File that barwright backup wrote."`
	Data string `placeholder:"DIR" help:"Data folder of the workshop; nobody may have it open."`
}

// Run restores a backup that was found to be sound.
func (c *restoreCommand) Run(ctx context) error {
	dir, err := dataFolder(c.Data, "use pg_restore, or barwright import")
	if err != nil {
		return err
	}
	kept, err := store.Restore(gocontext.Background(), dir, c.File)
	if err != nil {
		return err
	}
	fmt.Fprintf(ctx.stdout, "The workshop in %s is that of %s\n", dir, c.File)
	if kept != "" {
		fmt.Fprintf(ctx.stdout, "What was there is kept in %s\n", kept)
	}
	fmt.Fprintln(ctx.stdout, "A backup lets no phone in: those that may come in now still may, all others need a new code")
	return nil
}

// dataFolder is the data folder named, or the usual one. A PostgreSQL database
// is none, and has its own tools.
func dataFolder(named, instead string) (string, error) {
	if isPostgres(named) {
		return "", &hinted{"backup and restore are for a data folder, not for a PostgreSQL database", instead}
	}
	return dataDir(named)
}
