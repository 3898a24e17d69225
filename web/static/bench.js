// The bench.
