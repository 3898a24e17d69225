package formulate

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

//go:embed ranges.csv
var rangesText string

// ranges maps "material acid" to the range of that acid [% of fatty acids].
var ranges = sync.OnceValue(func() map[string]acidRange {
	lines, err := readRanges()
	if err != nil {
		panic(err) // a test reads the file
	}
	out := map[string]acidRange{}
	for _, l := range lines {
		low, _ := strconv.ParseFloat(l[2], 64)
		high, err := strconv.ParseFloat(l[3], 64)
		if err != nil || low > high {
			panic(fmt.Sprintf("formulate: the range %q", l))
		}
		out[l[0]+" "+l[1]] = acidRange{low, high}
	}
	return out
})

// readRanges returns the lines of the file: material, acid, low, high, source,
// grade.
func readRanges() ([][]string, error) {
	r := csv.NewReader(strings.NewReader(rangesText))
	r.Comment, r.FieldsPerRecord = '#', 6
	lines, err := r.ReadAll()
	if err != nil || len(lines) == 0 {
		return nil, fmt.Errorf("ranges.csv: %w", err)
	}
	return lines[1:], nil
}
