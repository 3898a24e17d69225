package stock

import (
	"barwright/material"
)

// Papers returns the material with what the certificates of its lots on the
// shelf say, as a plan takes it that names the material and no lot: of a scent
// the strictest limit and every bad habit, of an alkali the highest assay, so
// that doubt goes to more superfat. Lots that are used up or held say nothing.
func (s Shelf) Papers(m material.Material) material.Material {
	for _, l := range s {
		if l.Of != m.ID || l.LeftG() <= 0 || l.Held != "" {
			continue
		}
		m.Hurries, m.Rices = m.Hurries || l.Hurries, m.Rices || l.Rices
		if l.Limit != nil && (m.Limit == nil || l.Limit.Share.Percent < m.Limit.Share.Percent) {
			m.Limit = l.Limit
		}
		if l.Purity != nil && (m.Purity == nil || l.Purity.Percent > m.Purity.Percent) {
			m.Purity = l.Purity
		}
	}
	return m
}
