package share

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"barwright/batch"
	"barwright/internal/tomldoc"
)

// batches writes a folder for every batch: what it was planned with, its
// events as lines of JSON, and the same as a list for people.
func (out files) batches(batches []Batch, left *leftOut) {
	list := [][]string{{"code", "name", "recipe", "made_at", "made_by", "events", "id"}}
	for _, b := range batches {
		name, lines, table, err := batchFiles(b)
		if err != nil {
			left.batch(b, err)
			continue
		}
		list = append(list, []string{b.Code, name, b.Recipe, stamp(b.MadeAt), b.MadeBy, strconv.Itoa(len(b.Events)), b.ID})
		dir := path.Join("batches", b.Code)
		out[path.Join(dir, "batch.json")] = []byte(b.Start + "\n")
		out[path.Join(dir, "events.jsonl")], out[path.Join(dir, "events.csv")] = lines, table
	}
	if len(list) > 1 {
		slices.SortFunc(list[1:], func(a, b []string) int { return strings.Compare(a[0], b[0]) })
		out["batches.csv"] = printTable(list)
	}
}

// batchFiles returns the name and the events of a batch; the error is what
// keeps it from being read back.
func batchFiles(b Batch) (name string, lines, table []byte, err error) {
	if err := checkID(b.ID); err != nil {
		return "", nil, nil, err
	}
	if _, err := batch.CheckCode(b.Code); err != nil {
		return "", nil, nil, err
	}
	start, err := batch.ParseStart([]byte(b.Start))
	if err != nil {
		return "", nil, nil, err
	}
	lines, table, err = eventFiles(b)
	return start.Name, lines, table, err
}

// eventFiles prints events as lines of JSON, and as a table that says when each
// arrived.
func eventFiles(b Batch) (lines, table []byte, err error) {
	rows := [][]string{{"id", "device", "number", "at", "by", "kind", "data", "arrived_at"}}
	var text bytes.Buffer
	for _, e := range b.Events {
		text.WriteString(e.Body + "\n")
		read, err := batch.ParseEvent([]byte(e.Body))
		if err != nil {
			return nil, nil, err
		}
		data, err := json.Marshal(read.Do)
		if err != nil {
			return nil, nil, err
		}
		rows = append(rows, []string{read.ID, read.Device, strconv.FormatInt(read.Seq, 10), stamp(read.At), read.By, read.Do.Kind(), string(data), stamp(e.ArrivedAt)})
	}
	return text.Bytes(), printTable(rows), nil
}

// batches reads the batches; a workshop without the list of them has none.
func (r *reader) batches() ([]Batch, error) {
	if _, err := fs.Stat(r.files, "batches.csv"); err != nil {
		return nil, nil
	}
	t, err := r.table("batches.csv", "code", "id")
	if err != nil {
		return nil, err
	}
	if len(t.rows) > mostRecipes {
		return nil, t.rows[mostRecipes].fault("is it the right folder?", "more than %d batches", mostRecipes)
	}
	for _, column := range []string{"code", "id"} {
		if err := distinct(t.rows, column); err != nil {
			return nil, err
		}
	}
	var out []Batch
	for _, row := range t.rows {
		b, err := r.batch(row)
		if err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	return out, nil
}

func (r *reader) batch(row row) (Batch, error) {
	b := Batch{ID: row.get("id"), Recipe: row.get("recipe"), MadeBy: row.get("made_by")}
	if err := checkID(b.ID); err != nil {
		return b, row.fault("as it was written", "%v", err)
	}
	var err error
	if b.Code, err = batch.CheckCode(row.get("code")); err != nil {
		return b, row.fault("as it was written", "%v", err)
	}
	if b.MadeAt, err = row.time("made_at"); err != nil {
		return b, err
	}
	dir := path.Join("batches", b.Code)
	start, err := r.file(path.Join(dir, "batch.json"), tomldoc.MaxBytes*4)
	if err != nil {
		return b, err
	}
	b.Start = strings.TrimSpace(string(start))
	if _, err := batch.ParseStart([]byte(b.Start)); err != nil {
		return b, faultIn(path.Join(dir, "batch.json"), err)
	}
	b.Events, err = r.events(dir)
	return b, err
}

// events reads the events of a batch; the table beside them only says when they
// arrived, and may be missing.
func (r *reader) events(dir string) (out []Event, err error) {
	file := path.Join(dir, "events.jsonl")
	data, err := r.file(file, mostTable)
	if err != nil {
		return nil, err
	}
	events, err := batch.ParseEvents(data)
	if err != nil {
		return nil, faultIn(file, err)
	}
	arrived := map[string]row{}
	if _, err := fs.Stat(r.files, path.Join(dir, "events.csv")); err == nil {
		t, err := r.table(path.Join(dir, "events.csv"), "id", "arrived_at")
		if err != nil {
			return nil, err
		}
		for _, row := range t.rows {
			arrived[row.get("id")] = row
		}
	}
	seen := map[string]bool{}
	for _, e := range events {
		number := fmt.Sprintf("%s %d", e.Device, e.Seq)
		if seen[e.ID] || seen[number] {
			return nil, &tomldoc.Error{File: file, Text: fmt.Sprintf("two events have the id %.60q or the number %s", e.ID, number), Advice: exportAdvice}
		}
		seen[e.ID], seen[number] = true, true
		kept := Event{ID: e.ID, Body: strings.TrimSpace(string(batch.PrintEvents([]batch.Event{e})))}
		if row, ok := arrived[e.ID]; ok {
			if kept.ArrivedAt, err = row.time("arrived_at"); err != nil {
				return nil, err
			}
		}
		out = append(out, kept)
	}
	return out, nil
}

// faultIn is what is wrong with a file that is no TOML.
func faultIn(file string, err error) error {
	advice := exportAdvice
	if h, ok := err.(interface{ Hint() string }); ok && h.Hint() != "" {
		advice = h.Hint()
	}
	return &tomldoc.Error{File: file, Text: err.Error(), Advice: advice}
}

// batches places their batches: new ones whole, of known ones the events that
// are new. A batch that is another under the same code or id stays out, and so
// does a tap that differs.
func (m *merger) batches(ours, theirs []Batch) {
	byID, codes := map[string]Batch{}, map[string]bool{}
	for _, b := range ours {
		byID[b.ID], codes[b.Code] = b, true
	}
	for _, b := range theirs {
		have, known := byID[b.ID]
		switch {
		case known && have.Start == b.Start && have.Code == b.Code:
			m.events(have, b)
		case known || codes[b.Code]:
			m.out.Kept = append(m.out.Kept, "batch "+b.Code)
		default:
			m.out.Batches = append(m.out.Batches, m.datedBatch(b))
		}
	}
}

func (m *merger) datedBatch(b Batch) Batch {
	b.Events = slices.Clone(b.Events)
	if b.MadeAt.IsZero() {
		b.MadeAt = m.at
	}
	for i := range b.Events {
		if b.Events[i].ArrivedAt.IsZero() {
			b.Events[i].ArrivedAt = m.at
		}
	}
	return b
}

// events finds the events of a batch of ours that are new.
func (m *merger) events(ours, theirs Batch) {
	have, numbers := map[string]string{}, map[string]bool{}
	for _, e := range ours.Events {
		have[e.ID] = e.Body
		numbers[numberOf(e)] = true
	}
	further := theirs
	further.Events = nil
	for _, e := range theirs.Events {
		body, known := have[e.ID]
		switch {
		case known && body == e.Body:
		case known || numbers[numberOf(e)]:
			m.out.Kept = append(m.out.Kept, fmt.Sprintf("a tap of batch %s", ours.Code))
		default:
			further.Events = append(further.Events, e)
		}
	}
	if len(further.Events) == 0 {
		m.out.Known++
		return
	}
	m.out.Taps = append(m.out.Taps, m.datedBatch(further))
}

// numberOf is the device of an event and its number there.
func numberOf(e Event) string {
	read, err := batch.ParseEvent([]byte(e.Body))
	if err != nil {
		return e.ID // nothing else has it
	}
	return fmt.Sprintf("%s %d", read.Device, read.Seq)
}
