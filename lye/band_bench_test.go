package lye

import "testing"

func BenchmarkSuperfat(b *testing.B) {
	batch := Batch{DosedMol: 10 * 100 * 190 / MgKOHPerMol}
	for range 10 {
		batch.Terms = append(batch.Terms, Term{Cause: "fat", MassG: 100, StepG: 1, PerG: NewLaw(185, 190, 198).Scaled(1 / MgKOHPerMol)})
	}
	batch.Terms = append(batch.Terms, Term{Cause: Assay, MassG: 130, StepG: 1, PerG: NewLaw(0.978, 0.985, 0.992).Scaled(1 / MolarMassNaOH), Brings: true})
	b.ReportAllocs()
	for b.Loop() {
		batch.Superfat()
	}
}
