package batch

import (
	"bytes"
	"fmt"
	"strings"
	"time"
)

// Film is when the film of the batch began and ended, as stamped at the bench:
// the last one, when there were several. The zero time is what nobody stamped.
func (s *State) Film() (began, ended time.Time) {
	began, ended = s.Marks["camera"].At, s.Marks["camera_off"].At
	if ended.Before(began) { // of the film before
		ended = time.Time{}
	}
	return began, ended
}

// Chapters returns the chapter marks of a film of the batch as a WebVTT file:
// one cue from each stamp to the next, counted from when the film began. Stamps
// before it are left out, and so are those after its end when it has one.
// Source: W3C WebVTT, chapters (§ 4.5 of the candidate recommendation).
func (s *State) Chapters(began, ended time.Time) []byte {
	var marks []Line
	for _, l := range s.story() {
		if !l.At.Before(began) && (ended.IsZero() || l.At.Before(ended)) {
			marks = append(marks, l)
		}
	}
	var b bytes.Buffer
	b.WriteString("WEBVTT\n")
	for i, m := range marks {
		end := m.At.Add(time.Minute)
		if !ended.IsZero() {
			end = ended
		}
		if i+1 < len(marks) {
			end = marks[i+1].At
		}
		if end.Sub(m.At) < time.Millisecond { // a cue ends after it begins
			continue
		}
		fmt.Fprintf(&b, "\n%d\n%s --> %s\n%s\n", i+1, cueTime(m.At.Sub(began)), cueTime(end.Sub(began)), cueText(m.Text))
	}
	return b.Bytes()
}

func cueTime(d time.Duration) string {
	ms := d.Milliseconds()
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3600000, ms/60000%60, ms/1000%60, ms%1000)
}

// cueText is a text on one line, without what WebVTT takes for a tag or the end
// of a cue.
func cueText(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(s)
}
