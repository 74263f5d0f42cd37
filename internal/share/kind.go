package share

import (
	"crypto/sha256"
	"fmt"
	"reflect"
	"strings"

	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// A Kind is all that two programs must have in common so that their results are
// the same to the bit: the version of the engine's results, the layout of works
// and results, and the arithmetic of the processor.
type Kind string

// OwnKind is the kind of this program on this processor, such as
// "results 3, layout 1a2b3c4d, amd64-5e6f7a8b".
func OwnKind() Kind {
	sum := sha256.Sum256([]byte(ledger.Layout(reflect.TypeFor[plant.Result]()) + ledger.Layout(reflect.TypeFor[plant.Works]()) + ledger.Layout(reflect.TypeFor[job]())))
	return Kind(fmt.Sprintf("results %d, layout %x, %s", plant.ResultsVersion, sum[:4], random.Arithmetic()))
}

// A KindError is why a worker takes no job.
type KindError struct{ Desk, Worker Kind }

func (e *KindError) Error() string {
	why := "the processors compute otherwise in the last digit"
	desk, worker := strings.Split(string(e.Desk), ", "), strings.Split(string(e.Worker), ", ")
	for i := range min(len(desk), len(worker), 2) {
		if desk[i] != worker[i] {
			why = "the programs are of different versions"
		}
	}
	return fmt.Sprintf("no job is taken: the study wants %s, and this is %s; %s", e.Desk, e.Worker, why)
}
