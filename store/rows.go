package store

import (
	"database/sql"
	"strconv"
	"time"
)

// collect reads all rows with scan and closes them.
func collect[T any](rows *sql.Rows, err error, scan func(row) (T, error)) ([]T, error) {
	if err != nil {
		return nil, trouble(err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, trouble(err)
		}
		out = append(out, v)
	}
	return out, trouble(rows.Err())
}

// place is the nth placeholder, counted from 1.
func place(n int) string { return "$" + strconv.Itoa(n) }

// milli and fromMilli keep a time as Unix milliseconds, the zero time as 0.
func milli(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

func fromMilli(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}
