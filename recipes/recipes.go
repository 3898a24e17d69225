// Package recipes holds the ten recipes of the demo workshop as files, for the
// demo and to start from.
package recipes

import "embed"

// Files are the recipe files.
//
//go:embed *.toml
var Files embed.FS
