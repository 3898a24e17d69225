package store

import (
	"database/sql"
	"strconv"
	"time"
)

// collect reads all rows with scan and closes them.
func collect[T any](rows *sql.Rows, err error, scan func(row) (T, error)) (out []T, _ error) {
	err = each(rows, err, func(r row) error {
		v, err := scan(r)
		out = append(out, v)
		return err
	})
	if err != nil {
		return nil, trouble(err)
	}
	return out, nil
}

// each reads all rows with scan, up to the first error, and closes them.
func each(rows *sql.Rows, err error, scan func(row) error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return err
		}
	}
	return rows.Err()
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

// changed is ErrChanged when a statement found nothing to change.
func changed(res sql.Result, err error) error {
	if err != nil {
		return err
	}
	n, err := res.RowsAffected()
	if err == nil && n == 0 {
		err = ErrChanged
	}
	return err
}

// flag keeps a truth as 1 or 0.
func flag(b bool) int {
	if b {
		return 1
	}
	return 0
}
