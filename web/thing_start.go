package web

import (
	"net/http"

	"barwright/material"
)

// startOf is what the form of a new thing begins with: the material that a lot
// is of, or the file of a built-in material that is to be replaced.
func startOf(r *http.Request, k *thingKind) map[string]string {
	start, query := map[string]string{}, r.URL.Query()
	switch k.kind {
	case kindLot:
		start["of"] = cutTo(query.Get("of"), 100)
	case kindMaterial:
		if text, ok := material.BuiltinFile(query.Get("from")); ok {
			start[fileKey] = text
		}
	}
	return start
}

// materialExample shows the form of a material file.
const materialExample = `id = "tallow_7"
name = "Beef tallow, spring"
of = "tallow_beef"

[sap]
low = 196.5
typical = 197.6
high = 198.7
unit = "mg KOH/g"
source = "certificate"
locator = "certificate 4711"
grade = "measured"
`
