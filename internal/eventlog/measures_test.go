package eventlog_test

import (
	"bytes"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/eventlog"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// works reads an example scenario, changed by whoever needs it so.
func works(t *testing.T, name string, change func(*plant.Works)) *plant.Plant {
	t.Helper()
	file, faults := scenario.Read(filepath.Join("..", "..", "scenarios", name))
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	if change != nil {
		change(file.Works)
	}
	p, faults := file.Plant()
	if p == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return p
}

// written is a log in memory, with the run it is of.
type written struct {
	text   []byte
	run    *plant.Result
	counts eventlog.Counts
}

// write simulates replication 3 of seed 7 and logs some of its weeks.
func write(t *testing.T, p *plant.Plant, f eventlog.Format, from, to int) written {
	t.Helper()
	spool, err := os.Create(filepath.Join(t.TempDir(), "spool"))
	if err != nil {
		t.Fatal(err)
	}
	defer spool.Close()
	var text bytes.Buffer
	l, err := eventlog.New(&text, spool, f, eventlog.About{
		Works: p.Works().Name, Hash: "hash", Seed: 7, Replication: 3, From: from, To: to, Clock: p.Clock(), Orders: p.Works().Orders,
	})
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Simulate(plant.Options{Source: random.New(7, 3), Weeks: to, Observer: l.Observe})
	if err != nil {
		t.Fatal(err)
	}
	counts, err := l.Close()
	if err != nil {
		t.Fatal(err)
	}
	return written{text.Bytes(), r, counts}
}

// withStock gives a works pieces at the start and two orders, so that a log has
// all kinds of objects.
func withStock(w *plant.Works) {
	ware := w.Ware[0].Name
	w.Opening = plant.OpeningState{
		Listed:   []plant.OpenPieces{{Row: 1, Section: "dried", Ware: ware, Count: 5, Filled: "2026-12-30 07:30"}},
		InMoulds: map[string]int{ware: 4}, Firing: map[string]int{ware: 10},
		Finished: map[string]int{ware: 7}, Glazed: map[string]int{ware: 40}, Sorted: map[string]int{ware: 3},
	}
	w.Orders = []plant.Order{
		{Name: "hotel & spa", Ware: ware, Quantity: 60, Stock: true, Priority: 1},
		{Name: "=HYPERLINK(\"x\")", Ware: ware, Quantity: 50, Priority: 2},
	}
}

// figures computes measures from the rows of a log: the small program of a
// reader who has only the file and knows when the run began and which weeks
// count. It shares nothing with the measures of the plant.
func figures(t *testing.T, rows []row, start time.Time, from, to int) map[string][2]int64 {
	t.Helper()
	sums := map[string]int64{}
	began := map[string]time.Time{} // first seen, by piece
	loads := map[string]bool{}
	for i := range rows {
		e := &rows[i]
		at := e.at(t)
		if began[e.piece].IsZero() {
			began[e.piece] = at
		}
		if e.filled != "" { // it was in stock at the start
			began[e.piece] = timeOf(t, e.filled)
		}
		week := int(at.Sub(start) / (7 * 24 * time.Hour))
		if week < from || week >= to {
			continue
		}
		switch {
		case e.activity == "filled":
			sums["cast."+e.ware]++
		case e.activity == "packed" && e.grade == "A":
			sums["packed."+e.ware]++
			sums["lead"] += at.Sub(began[e.piece]).Milliseconds()
		case e.activity == "packed":
			sums["seconds."+e.ware]++
		case e.activity == "lost":
			sums["lost."+e.stage+"."+e.cause]++
		case e.activity == "sent to refire":
			sums["refires"]++
		case e.activity == "into the kiln":
			sums["firings"]++
			if load := e.kiln + " " + e.load; !loads[load] {
				loads[load] = true
				sums["kiln."+e.kiln]++
			}
		}
	}
	return ratios(sums, int64(to-from))
}

// ratios are the numerators and denominators of the measures that sums give.
func ratios(sums map[string]int64, weeks int64) map[string][2]int64 {
	var cast, packed int64
	of := map[string][2]int64{"refires.total": {sums["refires"], weeks}}
	for name, n := range sums {
		kind, rest, _ := strings.Cut(name, ".")
		switch kind {
		case "cast":
			cast += n
			of[name] = [2]int64{n, weeks}
			of["yield."+rest] = [2]int64{100 * sums["packed."+rest], n}
		case "packed":
			packed += n
			of[name] = [2]int64{n, weeks}
		case "seconds", "lost":
			of[name] = [2]int64{n, weeks}
		case "kiln":
			of[name+".firings"] = [2]int64{n, weeks}
		}
	}
	of["cast.total"], of["packed.total"] = [2]int64{cast, weeks}, [2]int64{packed, weeks}
	of["yield.total"] = [2]int64{100 * packed, cast}
	of["firings.per_good"] = [2]int64{sums["firings"], packed}
	of["lead_time.mean"] = [2]int64{sums["lead"], packed}
	return of
}

// comparable tells whether a measure is one that the log is to give.
func comparable(name string) bool {
	for _, p := range []string{"packed.", "seconds.", "cast.", "yield.", "lost.", "refires.total", "firings.per_good", "lead_time.mean"} {
		if strings.HasPrefix(name, p) {
			return true
		}
	}
	return strings.HasPrefix(name, "kiln.") && strings.HasSuffix(name, ".firings")
}

// TestMeasuresComeOutOfTheFile computes measures from each format and holds
// them equal to those of the run, to the last bit of numerator and denominator.
func TestMeasuresComeOutOfTheFile(t *testing.T) {
	for _, c := range []struct {
		name         string
		formats      []string
		change       func(*plant.Works)
		warm, length int
	}{
		{"small-works.yaml", slices.Sorted(maps.Keys(readers)), withStock, 1, smallWeeks},
		{"small-works.yaml", []string{"csv"}, nil, 3, 14}, // over the beginning of summer time
		{"plant-a.yaml", []string{"csv"}, nil, 1, 2},
		{"pressure-works.yaml", []string{"csv"}, withStock, 0, 2},
	} {
		if len(c.formats) == 1 && !everyWorks {
			continue // the formats differ more than the works do
		}
		p := works(t, c.name, c.change)
		for _, format := range c.formats {
			l := write(t, p, eventlog.Format(format), 1, c.length)
			got := figures(t, readers[format](t, l.text), p.Clock().Civil(0), c.warm, c.length)
			compared := 0
			for _, m := range p.Measures() {
				if !comparable(m.Name) {
					continue
				}
				num, den := m.Of(l.run, c.warm, c.length)
				mine := got[m.Name]
				if mine == [2]int64{} && num == 0 {
					continue // a loss that did not happen
				}
				compared++
				if m.Name == "lead_time.mean" { // told in hours, logged in milliseconds
					num = math.Round(num * float64(des.Hour))
				}
				if num != float64(mine[0]) || den != float64(mine[1]) {
					t.Errorf("%s, %s: %s is %d/%d from the log, %v/%v of the run", c.name, format, m.Name, mine[0], mine[1], num, den)
				}
			}
			if compared < 12 {
				t.Errorf("%s, %s: only %d measures were compared", c.name, format, compared)
			}
		}
	}
}
