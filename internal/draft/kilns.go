package draft

import (
	"bytes"
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strings"
	"text/template"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// Kilns asks which kiln a works needs for a demand. Its options are a tunnel with
// a tenth and a fifth more cars inside at the same time in the fire, and one and
// two shuttles more, as far as the works has such kilns.
type Kilns struct {
	Base   string // path of the works, from where the question will lie
	Title  string
	Demand int    // good pieces wanted a week
	Worth  string // what a good piece that is wanted brings, such as "42 EUR"
	Car    string // capital for each kiln car that the tunnel grows by
	Kiln   string // capital for each shuttle kiln more
	Weeks  int    // simulated; a third of them is warm-up
}

//go:embed kilns.yaml.tmpl
var kilnsText string

var kilnsLayout = template.Must(template.New("kilns").Parse(kilnsText))

// kilnOption is one option as the layout has it.
type kilnOption struct{ Name, Says, Kiln, Change, Capital string }

// Question writes the question as a file that runs. The error says what of it
// cannot be asked of the works.
func (q Kilns) Question(w *plant.Works) ([]byte, error) {
	switch {
	case q.Demand < 1:
		return nil, fmt.Errorf("say how many good pieces are wanted a week")
	case q.Weeks < 6:
		return nil, fmt.Errorf("%d weeks are too few: 6 or more", q.Weeks)
	}
	var money [3]float64
	for i, text := range []string{q.Worth, q.Car, q.Kiln} {
		x, err := number(text, "EUR")
		if err != nil || x < 0 {
			return nil, fmt.Errorf("money is such as 42 EUR, got %q", text)
		}
		money[i] = x
	}
	options := q.options(w, money[1], money[2])
	if len(options) == 0 {
		return nil, fmt.Errorf("the works has neither a tunnel nor a shuttle kiln for a first fire")
	}
	var b bytes.Buffer
	err := kilnsLayout.Execute(&b, map[string]any{
		"Heading": oneLine(q.Title), "Title": quote(oneLine(q.Title)), "Base": quote(q.Base), "Demand": q.Demand, "Worth": plainNumber(money[0]) + " EUR",
		"Weeks": q.Weeks, "WarmUp": q.Weeks / 3, "Options": options,
	})
	if err != nil {
		return nil, fmt.Errorf("draft: %w", err)
	}
	return b.Bytes(), nil
}

// options are the kilns that might be built.
func (q Kilns) options(w *plant.Works, car, kiln float64) []kilnOption {
	var all []kilnOption
	for i := range w.Kilns {
		k := &w.Kilns[i]
		switch {
		case k.Fires == "refire":
		case k.Kind == "tunnel":
			for _, share := range []int{10, 20} {
				more := (k.Inside*share + 99) / 100
				all = append(all, kilnOption{
					Name: fmt.Sprintf("%s-%d-cars", k.Name, k.Inside+more), Kiln: k.Name,
					Says:    fmt.Sprintf("%d cars more inside, pushed so much faster: the time in the fire is the same", more),
					Change:  longer(k, k.Inside+more),
					Capital: plainNumber(float64(car*float64(more))) + " EUR",
				})
			}
		case k.Kind == "shuttle":
			for more := 1; more <= 2; more++ {
				all = append(all, kilnOption{
					Name: fmt.Sprintf("%s-%d-kilns", k.Name, k.Count+more), Kiln: k.Name, Says: fmt.Sprintf("%d more of the kind", more),
					Change: fmt.Sprintf("kilns: %d", k.Count+more), Capital: plainNumber(float64(kiln*float64(more))) + " EUR",
				})
			}
		}
	}
	return all
}

// longer is a tunnel with so many cars inside and all its push intervals
// shortened alike.
func longer(k *plant.Kiln, inside int) string {
	short := func(t des.Time) string {
		return plainNumber(float64(t*des.Time(k.Inside)/des.Time(inside)/des.Second)) + " s"
	}
	parts := []string{fmt.Sprintf("inside: %d", inside), "push: " + short(k.Push)}
	for _, p := range []struct {
		key  string
		time des.Time
	}{{"fastest-push", k.Fastest}, {"slowest-push", k.Slowest}, {"stretched-push", k.Stretch}} {
		if p.time > 0 {
			parts = append(parts, p.key+": "+short(p.time))
		}
	}
	var slow []string
	for _, hours := range slices.Sorted(maps.Keys(k.SlowPush)) {
		slow = append(slow, hours+": "+short(k.SlowPush[hours]))
	}
	if len(slow) > 0 {
		parts = append(parts, "slow-push: {"+strings.Join(slow, ", ")+"}")
	}
	return strings.Join(parts, ", ")
}
