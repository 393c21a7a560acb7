package hear

import "testing"

// A message of 60 characters, as crews type them.
const sixty = "overhead light, want softer, have flash + 40in panel, 2 ppl."

func BenchmarkRead(b *testing.B) {
	ear := house(b)
	b.ReportAllocs()
	for b.Loop() {
		ear.Read(sixty, nil)
	}
}

func BenchmarkNew(b *testing.B) {
	words := houseWords(b)
	b.ReportAllocs()
	for b.Loop() {
		New(words)
	}
}
