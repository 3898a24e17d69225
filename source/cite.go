package source

import (
	_ "embed"
	"sync"

	"github.com/pelletier/go-toml/v2"
)

// Citation is where figures were read.
type Citation struct {
	Key    string `toml:"-"`
	Title  string `toml:"title"`
	Author string `toml:"author"`
	Year   int    `toml:"year"`
	Where  string `toml:"where"` // journal, publisher or standards body, volume and pages
	Read   string `toml:"read"`  // "whole", "table", "abstract", "second hand" or "recalled"
	Note   string `toml:"note"`
}

// Short returns author or title, enough to find the source in the list.
func (c Citation) Short() string {
	if c.Author != "" && c.Title != "" {
		return c.Author + ", " + c.Title
	}
	return c.Author + c.Title
}

//go:embed sources.toml
var sourcesTOML []byte

var citations = sync.OnceValue(func() map[string]Citation {
	var all map[string]Citation
	if err := toml.Unmarshal(sourcesTOML, &all); err != nil {
		panic("source/sources.toml: " + err.Error())
	}
	for key, c := range all {
		c.Key = key
		all[key] = c
	}
	return all
})

// Cite returns the citation of a key; the zero Citation when there is none.
func Cite(key string) Citation { return citations()[key] }

// Exists reports whether a key is in the list.
func Exists(key string) bool { _, ok := citations()[key]; return ok }

// Keys returns every key, in no order.
func Keys() []string {
	keys := make([]string, 0, len(citations()))
	for k := range citations() {
		keys = append(keys, k)
	}
	return keys
}
