// Package batch is the making of one batch: a run sheet made from a plan, and
// events that say what was done. The state of a batch is nothing but its events
// replayed, so no tap is ever overwritten and the same events tell the same
// story next year.
//
// Start with New, which makes a Sheet of a Start, and Replay, which folds
// events into a State; State.At says what the screen should say at an instant.
// What it does not do: keep events (package store), forecast heat, or draw
// pages. It has no clock: now is an argument. The procedure in the words of
// ISA-88 beside the trade's is in docs/batch.md.
package batch
