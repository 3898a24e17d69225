package main

import (
	"bytes"
	"encoding/json"
	"io"
	"slices"
	"strconv"

	"barwright/finding"
	"barwright/plan"
)

// digits is how many a number is printed with: far more than anything here is
// known to, and few enough that sums do not end in 00000000000003.
const digits = 9

// writeJSON prints v, its numbers with at most digits significant digits. The
// same v always prints the same.
func writeJSON(w io.Writer, v any) error {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(shortNumbers(out.Bytes()))
	return err
}

// shortNumbers rounds the numbers of a JSON text; what stands in quotes stays.
func shortNumbers(text []byte) []byte {
	out := make([]byte, 0, len(text))
	for i := 0; i < len(text); {
		switch c := text[i]; {
		case c == '"':
			end := endOfString(text, i)
			out, i = append(out, text[i:end]...), end
		case c == '-' || '0' <= c && c <= '9':
			end := i + 1
			for end < len(text) && bytes.IndexByte([]byte("0123456789.eE+-"), text[end]) >= 0 {
				end++
			}
			out, i = appendShort(out, text[i:end]), end
		default:
			out, i = append(out, c), i+1
		}
	}
	return out
}

// endOfString returns the place after the string that begins at start.
func endOfString(text []byte, start int) int {
	for i := start + 1; i < len(text); i++ {
		switch text[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return len(text)
}

func appendShort(out, number []byte) []byte {
	if len(number) <= digits {
		return append(out, number...)
	}
	v, err := strconv.ParseFloat(string(number), 64)
	if err != nil {
		return append(out, number...)
	}
	return strconv.AppendFloat(out, v, 'g', digits, 64)
}

// withPlainSpaces returns the plan as other programs read it: its findings
// without the spaces that only typesetting needs.
func withPlainSpaces(p *plan.Plan) *plan.Plan {
	out := *p
	out.Findings = plainFindings(p.Findings)
	return &out
}

func plainFindings(fs []finding.Finding) []finding.Finding {
	out := slices.Clone(fs)
	for i, f := range out {
		out[i] = f.Plain()
	}
	return out
}
