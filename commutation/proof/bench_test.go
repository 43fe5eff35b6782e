package proof

import "testing"

// BenchmarkCase measures a case from its seed to its outcome.
func BenchmarkCase(b *testing.B) {
	seed := uint64(0)
	for b.Loop() {
		seed++
		Draw(seed).Run()
	}
}
