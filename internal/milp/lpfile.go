package milp

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
)

// termsPerLine keeps the lines of the file short enough for every reader.
const termsPerLine = 6

// WriteLP writes the model in the LP text format that most solvers read, every
// number so that it reads back the same. Names must be words of letters,
// digits and _ that begin with a letter other than e; a row without a name is
// called by its number. A row with two different ends becomes two lines.
func (m Model) WriteLP(w io.Writer, title string) error {
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, "\\ %s\nMinimize\n", strings.ReplaceAll(title, "\n", " "))
	m.writeTerms(out, "cost", m.costs())
	fmt.Fprint(out, "\nSubject To\n")
	for i, r := range m.Rows {
		m.writeRow(out, i, r)
	}
	fmt.Fprint(out, "Bounds\n")
	for _, v := range m.Vars {
		fmt.Fprintf(out, " %s <= %s <= %s\n", decimal(v.Low), v.Name, decimal(v.High))
	}
	m.writeList(out, "General", func(v Var) bool { return v.Integer && !v.isBinary() })
	m.writeList(out, "Binary", Var.isBinary)
	fmt.Fprint(out, "End\n")
	return out.Flush()
}

func (v Var) isBinary() bool { return v.Integer && v.Low == 0 && v.High == 1 }

func (m Model) costs() (terms []Term) {
	for j, v := range m.Vars {
		if v.Cost != 0 {
			terms = append(terms, Term{j, v.Cost})
		}
	}
	return terms
}

func (m Model) writeRow(out *bufio.Writer, i int, r Row) {
	name := r.Name
	if name == "" {
		name = fmt.Sprintf("row_%d", i)
	}
	if r.Low == r.High {
		m.writeTerms(out, name, r.Terms)
		fmt.Fprintf(out, " = %s\n", decimal(r.Low))
		return
	}
	if !math.IsInf(r.Low, -1) {
		m.writeTerms(out, name+"_low", r.Terms)
		fmt.Fprintf(out, " >= %s\n", decimal(r.Low))
	}
	if !math.IsInf(r.High, 1) {
		m.writeTerms(out, name+"_high", r.Terms)
		fmt.Fprintf(out, " <= %s\n", decimal(r.High))
	}
}

func (m Model) writeTerms(out *bufio.Writer, name string, terms []Term) {
	fmt.Fprintf(out, " %s:", name)
	if len(terms) == 0 {
		fmt.Fprintf(out, " 0 %s", m.Vars[0].Name)
	}
	for k, t := range terms {
		if k > 0 && k%termsPerLine == 0 {
			fmt.Fprint(out, "\n  ")
		}
		sign := "+"
		if t.Coef < 0 {
			sign = "-"
		}
		fmt.Fprintf(out, " %s %s %s", sign, decimal(math.Abs(t.Coef)), m.Vars[t.Var].Name)
	}
}

func (m Model) writeList(out *bufio.Writer, title string, in func(Var) bool) {
	first := true
	for _, v := range m.Vars {
		if !in(v) {
			continue
		}
		if first {
			fmt.Fprintln(out, title)
			first = false
		}
		fmt.Fprintf(out, " %s\n", v.Name)
	}
}
