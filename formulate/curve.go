package formulate

// Point is the objective at one value of the curve's limit; null when nothing
// fits there.
type Point struct {
	Value     float64  `json:"value"`
	Objective *float64 `json:"objective"`
	Status    string   `json:"status"`
}

// trade draws the curve: the goal solved again at every value of one limit.
func (m *maker) trade(how ask) error {
	c := m.goal.Curve
	if c == nil {
		return nil
	}
	ms, err := m.measureAt("curve", c.Quantity, c.Material)
	if err != nil {
		return err
	}
	m.out.CurveOf = ms.words + ", at most"
	if c.Min {
		m.out.CurveOf = ms.words + ", at least"
	}
	from, _ := ms.read(*c.From) // both were read before
	to, _ := ms.read(*c.To)
	how.gaveUp = map[int]bool{} // the goal's own limit of it, which the curve moves
	for i, w := range m.wishes {
		if l := w.limit; w.kind == wishLimit && m.limits[l].atLeast == c.Min && m.limits[l].words == ms.words {
			how.gaveUp[i] = true
		}
	}
	n := c.Points
	if n == 0 {
		n = usualPoints
	}
	for k := range n {
		l := limit{ms, c.Min, short(from + (to-from)*float64(k)/float64(n-1))}
		b := builder{m.problem, m.build(how), how}
		b.guards = nil // of limits of the goal, not of this one
		b.limitAt("curve", 0, l, l.value)
		s := m.solve(b.program)
		p := Point{Value: l.value, Status: s.Status.String()}
		if s.X != nil {
			v, _ := s.Objective.Float64()
			p.Objective = &v
		}
		m.out.Curve = append(m.out.Curve, p)
	}
	return nil
}
