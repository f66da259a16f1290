package synth

import (
	"os"
	"strconv"
	"testing"
	"time"
)

func TestTry(t *testing.T) {
	dir := os.Getenv("SYNTH_TRY")
	if dir == "" {
		t.Skip()
	}
	n, _ := strconv.Atoi(os.Getenv("SYNTH_N"))
	seed, _ := strconv.Atoi(os.Getenv("SYNTH_SEED"))
	t0 := time.Now()
	if err := WriteSet(t.Context(), dir, n, uint64(seed), nil); err != nil {
		t.Fatal(err)
	}
	t.Log(time.Since(t0) / time.Duration(n))
}
func BenchmarkDraw(b *testing.B) {
	for i := range b.N {
		s := Random(uint64(i), Lights[i%6])
		if _, _, err := Draw(s); err != nil {
			b.Fatal(err)
		}
	}
}
