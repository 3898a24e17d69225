package web

// seenMarks are what can be stamped of a batter, or of a film of it, at any time.
var seenMarks = []named{
	{"stable", "It holds together"},
	{"false_trace", "False trace: it ran thin again"},
	{"riced", "Grains in it"},
	{"thick", "No longer pours"},
	{"smooth", "Top is smooth"},
	{"film", "Film on the top"},
	{"covered", "Covered"},
	{"uncovered", "Uncovered"},
	{"fan", "Fan on it"},
	{"heat_off", "Heat off"},
	{"camera", "A film begins"},
	{"camera_off", "The film ends"},
}
