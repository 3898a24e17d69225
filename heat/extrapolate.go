package heat

import "math"

// Core, edge, mean and conversion of two grids are taken to a grid without end
// (Richardson): both are of second order in the size of a cell and, the error
// allowed in a step going with it, in time. What comes of it is docs/model/heat.md
// eq. 9 and its table.

// mendK is how far a temperature is moved freely [K]. Where the grids lie much
// further apart a front passes at other minutes, the one says little of the
// other, and nothing is moved. Our own judgement, on loaves that run away.
const mendK = 3.0

// mend fades a correction out as it passes mendK, smoothly.
func mend(byK float64) float64 { return byK / (1 + math.Pow(byK/mendK, 4)) }

// coarser returns the settings of the second grid.
func (s Settings) coarser() Settings {
	ratio := float64(s.Grid) / float64(s.Coarser)
	s.Grid, s.Coarser, s.Frames = s.Coarser, 0, 0
	s.ToleranceK *= ratio * ratio
	return s
}

// extrapolate moves the series of r by what the coarser run says of its error.
func (r *Run) extrapolate(coarser *Run, s Settings, p Physics) {
	fine, coarse := float64(s.Grid*s.Grid), float64(s.Coarser*s.Coarser)
	factor := coarse / (fine - coarse)
	low, high := p.coldest(), p.Boiling.TC
	r.PeakC = math.Inf(-1)
	from := 0
	for i, t := range r.TimeS {
		for from < len(coarser.TimeS)-2 && coarser.TimeS[from+1] < t {
			from++
		}
		by := func(mine, other []float64) float64 {
			return factor * (mine[i] - straight(coarser.TimeS, other, from, t))
		}
		mended := func(mine, other []float64) float64 { return min(max(mine[i]+mend(by(mine, other)), low), high) }
		r.CoreC[i] = mended(r.CoreC, coarser.CoreC)
		r.EdgeC[i] = mended(r.EdgeC, coarser.EdgeC)
		r.MeanC[i] = mended(r.MeanC, coarser.MeanC)
		r.MeanX[i] = min(max(r.MeanX[i]+by(r.MeanX, coarser.MeanX), 0), 1)
		if i > 0 {
			r.MeanX[i] = max(r.MeanX[i], r.MeanX[i-1])
		}
		if r.CoreC[i] > r.PeakC {
			r.PeakC, r.PeakS = r.CoreC[i], t
		}
	}
}

// coldest returns what nothing in the batch gets colder than [°C].
func (p Physics) coldest() float64 {
	low := p.Start.TC
	for _, s := range p.Stages {
		low = min(low, s.TC)
	}
	if p.Wall != nil {
		low = min(low, p.Wall.StartC)
	}
	return low
}
