package store

import "database/sql"

// DB is the database underneath.
func (s *Store) DB() *sql.DB { return s.db }
