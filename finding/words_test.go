package finding

import "testing"

func TestTypeset(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, want string }{
		{"lands at 55 °C, clear above 45", "lands at 55\u00a0°C, clear above 45"},
		{"the worst case (-6.8 %), or -0.6 %", "the worst case (\u22126.8\u00a0%), or \u22120.6\u00a0%"},
		{"-18 °C and -0 °C and -0.0 %", "\u221218\u00a0°C and 0\u00a0°C and 0.0\u00a0%"},
		{"40 to 46 °C; 953 ml of 1020 ml", "40 to 46\u00a0°C; 953\u00a0ml of 1020\u00a0ml"},
		{"between 182 and 193 mg KOH/g", "between 182 and 193\u00a0mg KOH/g"},
		{"about 1.7 minutes, 1 point, 5 grams", "about 1.7\u00a0minutes, 1\u00a0point, 5 grams"},
		{"lot TLW-7 of C8-C14, 2026-08-01", "lot TLW-7 of C8-C14, 2026-08-01"},
	} {
		if got := Typeset(c.text); got != c.want || Typeset(got) != c.want {
			t.Errorf("%q is set %q, want %q", c.text, got, c.want)
		}
	}
	f := Finding{Title: "5 %", Because: "5 g", Fix: "5 h", Edits: []Edit{{"superfat", "5 %"}}}
	set := f.Typeset()
	if set.Title != "5\u00a0%" || set.Because != "5\u00a0g" || set.Fix != "5\u00a0h" || set.Edits[0].Value != "5 %" {
		t.Errorf("%+v", set)
	}
	if back := set.Plain(); back.Title != f.Title || back.Because != f.Because || back.Fix != f.Fix {
		t.Errorf("%+v", back)
	}
}
