package formulate

import (
	"slices"

	"barwright/internal/tomldoc"
)

// OnShelf returns the goal with what lies on the shelf as candidates: fats of
// the file that name no lots, price or stock take theirs from the shelf, and
// with shelf = true all the others are added. Lots of what is no fat are not
// to be among them.
func (g Goal) OnShelf(stocked []Fat) Goal {
	g.Fats = slices.Clone(g.Fats)
	for _, s := range stocked {
		i := slices.IndexFunc(g.Fats, func(f Fat) bool { return f.Material == s.Material })
		switch {
		case i < 0 && g.Shelf:
			g.Fats = append(g.Fats, s)
		case i >= 0 && len(g.Fats[i].Lots) == 0 && g.Fats[i].Price == nil && g.Fats[i].Stock == nil:
			g.Fats[i].Lots = s.Lots
		}
	}
	return g
}

// WantsShelf reports whether a goal file asks for what is in stock. Whatever
// else it holds is not looked at; a file that cannot be read does not ask.
func WantsShelf(data []byte) bool {
	var g Goal
	_, err := tomldoc.Decode("", data, &g)
	return err == nil && g.Shelf
}
