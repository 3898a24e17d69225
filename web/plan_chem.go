package web

import (
	"fmt"

	"barwright/plan"
	"barwright/source"
)

// SapWords is the range of the fats' saponification value, in words.
func (p *planPage) SapWords() string { return spanWords(p.Plan.SapSpan()) }

// IodineWords is the range of the fats' iodine value, in words.
func (p *planPage) IodineWords() string { return spanWords(p.Plan.IodineSpan()) }

func spanWords(r plan.Range, grade source.Grade, ok bool) string {
	if !ok {
		return ", range unknown"
	}
	return fmt.Sprintf(" (%s to %s), %s", number(r.Low, 0), number(r.High, 0), grade.Phrase())
}

// LandingGrade is how far the weakest figure behind the landing temperature can
// be trusted: the heat capacity of fats (docs/model/melt.md).
func (p *planPage) LandingGrade() source.Grade { return source.Memory }
