package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"strings"

	"barwright/batch"
	"barwright/share"
)

// sharedBatches returns every batch with its events.
func sharedBatches(ctx context.Context, tx *sql.Tx) ([]share.Batch, error) {
	batches, err := all(ctx, tx, selectBatch, scanBatch, func(a, b Batch) int { return strings.Compare(a.Code, b.Code) })
	if err != nil {
		return nil, err
	}
	var out []share.Batch
	for _, b := range batches {
		events, err := rowsOf(ctx, tx, b)
		if err != nil {
			return nil, err
		}
		made := share.Batch{ID: b.ID, Code: b.Code, Recipe: b.Recipe, MadeAt: b.MadeAt, MadeBy: b.MadeBy, Start: string(b.Start.Print())}
		for _, e := range events {
			made.Events = append(made.Events, share.Event{ID: e.ID, Body: e.body, ArrivedAt: e.at})
		}
		out = append(out, made)
	}
	return out, nil
}

// addBatches adds what share.Merge found to be new of batches.
func addBatches(ctx context.Context, tx *sql.Tx, a share.Arrival) error {
	for _, b := range a.Batches {
		if err := addBatch(ctx, tx, b); err != nil {
			return err
		}
	}
	for _, b := range append(a.Batches, a.Taps...) {
		for _, e := range b.Events {
			read, err := batch.ParseEvent([]byte(e.Body))
			if err != nil {
				return err
			}
			if err := keepable(e.Body); err != nil {
				return err
			}
			if _, err := addEvents(ctx, tx, b.ID, []batch.Event{read}, []string{e.Body}, e.ArrivedAt); err != nil {
				return err
			}
		}
	}
	return nil
}

// addBatch adds a batch that is not there, under its own code.
func addBatch(ctx context.Context, tx *sql.Tx, b share.Batch) error {
	if err := keepable(b.ID, b.Recipe, b.MadeBy, b.Start); err != nil {
		return err
	}
	number, err := batch.NumberOf(b.Code)
	if err != nil {
		return err
	}
	made := Batch{ID: b.ID, Number: number, Code: b.Code, Recipe: b.Recipe, MadeAt: b.MadeAt, MadeBy: b.MadeBy}
	if err := json.Unmarshal([]byte(b.Start), &made.Start); err != nil {
		return err
	}
	return insertBatch(ctx, tx, made)
}
