package heat

import "math"

// Core, edge, mean and conversion of two grids are taken to a grid without end
// (Richardson): both are of second order in the size of a cell and, the error
// allowed in a step going with it, in time. What comes of it is docs/model/heat.md
// eq. 9 and its table.

// mostMendK is how far a temperature is moved at most [K]. Where the grids lie
// further apart a front passes at other minutes, and the one says little of
// the other.
const mostMendK = 2.0

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
		mended := func(mine, other []float64, most, low, high float64) float64 {
			by := factor * (mine[i] - straight(coarser.TimeS, other, from, t))
			return min(max(mine[i]+min(max(by, -most), most), low), high)
		}
		r.CoreC[i] = mended(r.CoreC, coarser.CoreC, mostMendK, low, high)
		r.EdgeC[i] = mended(r.EdgeC, coarser.EdgeC, mostMendK, low, high)
		r.MeanC[i] = mended(r.MeanC, coarser.MeanC, mostMendK, low, high)
		r.MeanX[i] = mended(r.MeanX, coarser.MeanX, 1, 0, 1)
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
