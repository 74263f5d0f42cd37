package reference_test

import (
	"fmt"
	"os"
	"testing"

	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

func TestProbe(t *testing.T) {
	name := os.Getenv("PROBE")
	s, bad := scenario.Read(name)
	for _, f := range bad {
		fmt.Println("fault", f)
	}
	p, faults := plant.New(s.Works)
	for _, f := range faults {
		fmt.Println("fault", f)
	}
	res, err := p.Simulate(plant.Options{Source: random.New(1, 0), Weeks: 2, Fixed: os.Getenv("FIXED") != "", Observer: func(o plant.Observation) {
		fmt.Println(int64(o.At), o.Piece, o.Ware, o.Event, "|", o.Section, "|", o.Where, "|", o.Detail, o.Spent)
	}})
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println(res.Notes)
}
