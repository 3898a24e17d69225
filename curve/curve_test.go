package curve

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// Logs as people and thermometers write them. want are the readings; notes are
// parts of what must be said.
func TestReadsWhatPeopleAndThermometersWrite(t *testing.T) {
	t.Parallel()
	quarter := []Reading{{0, 40}, {900, 41.5}, {1800, 43.2}}
	for name, c := range map[string]struct {
		text  string
		want  []Reading
		notes []string
	}{
		"typed":                {"0:00 40\n0:15 41.5\n0:30 43.2\n", quarter, nil},
		"decimal commas":       {"0:00 40,0\n0:15 41,5\n0:30 43,2", quarter, nil},
		"spans":                {"0 min  40 °C\n15 min  41.5 °C\n0.5 h  43,2 °C", quarter, nil},
		"csv":                  {"Time,Temperature (°C)\n10:00,40\n10:15,41.5\n10:30,43.2\n", quarter, nil},
		"semicolons, commas":   {"Zeit;Temp °C\n10:00;40,0\n10:15;41,5\n10:30;43,2\n", quarter, nil},
		"dates":                {"no;date;time;core\n", nil, []string{"ERROR no line with a time"}},
		"date and time":        {"date,time,temp\n2026-03-01,23:50:00,40\n2026-03-02,00:05:00,41.5\n2026-03-02,00:20:00,43.2\n", quarter, nil},
		"stamps, quoted":       {"\"timestamp\",\"core\"\n\"2026-03-01T23:50:00Z\",\"40\"\n\"2026-03-02T00:05:00Z\",\"41.5\"\n\"2026-03-02T00:20:00Z\",\"43.2\"", quarter, nil},
		"past midnight":        {"23:50 40\n0:05 41.5\n0:20 43.2", quarter, nil},
		"afternoon":            {"11:50 AM, 40\n12:05 PM, 41.5\n12:20 PM, 43.2", quarter, nil},
		"month first":          {"1/31/2026 23:50,40\n2/1/2026 0:05,41.5\n2/1/2026 0:20,43.2", quarter, nil},
		"month first, by span": {"3/1/2026 23:50,40\n3/2/2026 0:05,41.5\n3/2/2026 0:20,43.2", quarter, nil},
		"day first":            {"31.01.2026 23:50;40\n01.02.2026 00:05;41,5\n01.02.2026 00:20;43,2", quarter, nil},
		"day first, by span":   {"1.3.2026 23:50;40\n2.3.2026 00:05;41,5\n2.3.2026 00:20;43,2", quarter, nil},
		"no such month":        {"1/31/2026 23:50,40\n31/1/2026 23:55,41\n2/1/2026 0:05,41.5\n2/1/2026 0:20,43.2", quarter, []string{"1 line without"}},
		"a clock of twelve":    {"12:50 40\n1:05 41.5\n1:20 43.2", quarter, nil},
		"twelve, twice round":  {"11:30 40\n12:30 41\n6:30 42\n11:50 43\n1:30 44", []Reading{{0, 40}, {3600, 41}, {7 * 3600, 42}, {12*3600 + 1200, 43}, {14 * 3600, 44}}, []string{"3 gaps"}},
		"from the evening on":  {"20:00 60\n21:00 58\n9:00 30", []Reading{{0, 60}, {3600, 58}, {13 * 3600, 30}}, []string{"1 gap"}},
		"the next morning":     {"14:00 40\n16:00 55\n9:00 30", []Reading{{0, 40}, {2 * 3600, 55}, {19 * 3600, 30}}, []string{"2 gaps"}},
		"a night and more":     {"17:30 40\n17:45 41.5\n7:30 25\n7:45 25", []Reading{{0, 40}, {900, 41.5}, {14 * 3600, 25}, {14*3600 + 900, 25}}, []string{"1 gap"}},
		"p.m. with spaces":     {"11:50 AM 40\n12:05 PM 41.5\n12:20 pm 43.2 °C", quarter, nil},
		"no such day":          {"2026-02-31 10:00,39\n2026-03-01 10:00,40\n2026-03-01 10:15,41.5\n2026-03-01 10:30,43.2", quarter, []string{"1 line without"}},
		"hours, out of order":  {"0:00 40\n5:00 60\n1:00 50", []Reading{{0, 40}, {3600, 50}, {5 * 3600, 60}}, []string{"put in order"}},
		"hours or a clock":     {"5:30 40\n5:45 41.5", []Reading{{19800, 40}, {20700, 41.5}}, []string{"5:30 is taken as the hours since the pour"}},
		"comma decimals, csv":  {"time,temp\n10:00,40,0\n10:15,41,5\n10:30,43,2", quarter, nil},
		"quoted decimals":      {"time,temp\n10:00,\"40,0\"\n10:15,\"41,5\"\n10:30,\"43,2\"", quarter, nil},
		"minutes in the head":  {"elapsed min\tcore\n0\t40\n15\t41.5\n30\t43.2", quarter, nil},
		"seconds guessed":      {"0 40\n1800 43.2\n3600 45", []Reading{{0, 40}, {1800, 43.2}, {3600, 45}}, []string{"taken as seconds"}},
		"minutes guessed":      {"0 40\n15 41.5\n30 43.2", quarter, []string{"taken as minutes"}},
		"hours guessed":        {"0 40\n0.25 41.5\n0.5 43.2", quarter, []string{"taken as hours"}},
		"a computer's clock":   {"1767225600 40\n1767226500 41.5\n1767227400 43.2", quarter, []string{"computer's clock"}},
		"°F in the cell":       {"0:00 104 F\n0:15 106.7 °F\n0:30 109.76 F", quarter, nil},
		"°F in the head":       {"time,temp_F\n0:00,104\n0:15,106.7\n0:30,109.76", quarter, nil},
		"°F by its size":       {"0:00 104\n0:15 106.7\n0:30 109.76", quarter, []string{"taken as °F"}},
		"backward":             {"0:00 40\n0:30 43.2\n0:15 41.5", quarter, []string{"put in order"}},
		"twice":                {"0:00 40\n0:15 41.5\n0:15 41.5\n0:30 43.2", quarter, []string{"1 reading at the same time"}},
		"broken probe":         {"0:00 40\n0:15 41.5\n0:16 85\n0:17 -127\n0:30 43.2", quarter, []string{"2 readings that no batch"}},
		"fallen out":           {"0:00 40\n0:15 41.5\n0:20 22\n0:25 21\n0:30 43.2", quarter, []string{"out of the soap for 2 readings"}},
		"fallen out, every 15": {"0:15 62\n0:30 64\n0:45 22\n1:00 21\n1:30 63", []Reading{{900, 62}, {1800, 64}, {5400, 63}}, []string{"out of the soap for 2 readings"}},
		"chilled":              {"0:00 50\n0:15 44\n0:30 38\n0:45 33", []Reading{{0, 50}, {900, 44}, {1800, 38}, {2700, 33}}, nil},
		"a spike":              {"0:00 40\n0:05 41\n0:10 75\n0:15 42\n0:20 43", []Reading{{0, 40}, {300, 41}, {900, 42}, {1200, 43}}, []string{"1 reading far above"}},
		"first in the pot":     {"0:00 60\n0:05 42\n0:10 42.5\n0:15 43", []Reading{{300, 42}, {600, 42.5}, {900, 43}}, []string{"1 reading far above"}},
		"fell out at once":     {"0:00 40\n0:05 22\n0:10 21\n0:15 41", []Reading{{0, 40}, {900, 41}}, []string{"out of the soap for 2 readings"}},
		"core_first":           {"time,core_first\n0:00,40\n0:15,41.5\n0:30,43.2", quarter, nil},
		"temp_core":            {"time,temp_core\n0:00,104\n0:15,106.7\n0:30,109.76", quarter, []string{"taken as °F"}},
		"words between":        {"# batch\nlog of B07\n0:00 40\nturned the fan on\n0:15 41.5\n0:30 43.2", quarter, []string{"2 lines without a reading"}},
		"a gap":                {"0:00 40\n3:00 60\n3:30 58", []Reading{{0, 40}, {10800, 60}, {12600, 58}}, []string{"1 gap of more than an hour, the longest 3.0 h"}},
		"started late":         {"0:20 40\n0:35 41.5", []Reading{{1200, 40}, {2100, 41.5}}, nil},
		"old line ends":        {"0:00 40\r0:15 41.5\r0:30 43.2", quarter, nil},
		"a bill":               {"eggs\nflour", nil, []string{"ERROR no line with a time"}},
		"one reading":          {"0:00 40", nil, []string{"ERROR two readings at least"}},
		"nothing":              {"", nil, []string{"ERROR no line with a time"}},
		"times without hours":  {"0:61 40\n0:62 41", nil, []string{"ERROR no line with a time"}},
		"spaces and no sense":  {"40\n41\n42", nil, []string{"ERROR no line with a time"}},
	} {
		got, err := Read([]byte(c.text))
		said := strings.Join(got.Notes, "; ")
		if err != nil {
			said = "ERROR " + err.Error()
			if h, ok := err.(interface{ Hint() string }); !ok || h.Hint() == "" {
				t.Errorf("%s: no hint", name)
			}
		}
		for _, n := range c.notes {
			if !strings.Contains(said, strings.TrimPrefix(n, "ERROR ")) || strings.HasPrefix(n, "ERROR") != (err != nil) {
				t.Errorf("%s: says %q, want %q", name, said, n)
			}
		}
		if len(c.notes) == 0 && said != "" {
			t.Errorf("%s: says %q", name, said)
		}
		if !same(got.Readings, c.want) {
			t.Errorf("%s: %v, want %v", name, got.Readings, c.want)
		}
	}
}

func same(a, b []Reading) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if math.Abs(a[i].TimeS-b[i].TimeS) > 0.01 || math.Abs(a[i].C-b[i].C) > 0.01 {
			return false
		}
	}
	return true
}

// A long log is read as a whole, and one that is too long refused.
func TestLongLogs(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	for i := range 20000 {
		fmt.Fprintf(&b, "%d s, %.2f\n", i*4, 40+20*math.Sin(float64(i)/6000))
	}
	c, err := Read([]byte(b.String()))
	if err != nil || len(c.Readings) != 20000 {
		t.Errorf("%d readings, %v", len(c.Readings), err)
	}
	if _, err := Read(make([]byte, MaxBytes+1)); err == nil {
		t.Error("too long a text was read")
	}
}

func FuzzRead(f *testing.F) {
	for _, seed := range []string{"0:00 40\n0:15 41.5", "time,temp_F\n0:00,104\n0:15,106.7", "2026-03-01T23:50:00Z;40\n2026-03-02;00:05;41,5", "0 40\n1e9 41\n-5 42", "a\tb\nc|d", "23:59 40\n0:01 85\n0:02 20"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := Read([]byte(text))
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without a word")
			}
			return
		}
		last := math.Inf(-1)
		for _, r := range c.Readings {
			if !(r.TimeS > last) || !(r.C >= leastC && r.C <= mostC) || r.TimeS < 0 || r.TimeS > longestS {
				t.Fatalf("%+v after %g s", r, last)
			}
			last = r.TimeS
		}
		if len(c.Readings) < 2 {
			t.Fatalf("a curve of %d", len(c.Readings))
		}
	})
}

// The minutes from the pour to the first reading put the curve later, and what
// is no number of minutes is refused.
func TestLateReadingsAreLater(t *testing.T) {
	t.Parallel()
	l := Log{ID: "x", Version: "v", LateMin: 10, Readings: "0 min, 40\n15 min, 41.5\n30 min, 43.2\n"}
	c, err := l.Curve()
	if err != nil || len(c.Readings) != 3 || c.Readings[0].TimeS != 600 || c.Readings[2].TimeS != 2400 {
		t.Errorf("%+v (%v)", c.Readings, err)
	}
	for _, late := range []float64{-1, 24*60 + 1, math.NaN(), math.Inf(1)} {
		l.LateMin = late
		if key, err := l.Check(); err == nil || key != "late_min" {
			t.Errorf("%g min: %q, %v", late, key, err)
		}
	}
}
