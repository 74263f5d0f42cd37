package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// Bench is what a works takes of the machine, and what a study of it would take.
type Bench struct {
	Scenario experiment.Scenario
	Study    string // in words, e.g. "8 options x 3 futures x 40 runs of 52 weeks"
	Runs     experiment.Runs
	Seed     uint64
	Measured *effort.Bench
	Projects []effort.Projection
	Price    float64 // of a core hour, whole units; 0: not given
	Currency string
}

// BenchDocument lays out a bench: one replication, the curve over workers, the study
// here and on other machines, and what that rests on.
func BenchDocument(b *Bench) Document {
	m := b.Measured
	last := m.Last()
	d := Document{Title: b.Scenario.Name + ": what it takes", Lead: []string{
		fmt.Sprintf("A simulated year takes %s s of one processor; %d at once make %s replications of %d weeks a second.", estimate(m.Year), last.Workers, estimate(last.Rate), m.Weeks),
		b.lead(),
	}}
	d.add(b.one(), b.curve(), b.study(), b.rests())
	return d
}

// lead says what the study takes here.
func (b *Bench) lead() string {
	for _, p := range b.Projects {
		if p.Here {
			return fmt.Sprintf("The study (%s) takes about %s on this machine, and up to %s in a ledger.", b.Study, effort.Span(p.Least, p.Most), effort.Bytes(b.disk()))
		}
	}
	return ""
}

// disk is what a ledger of the study takes, bytes.
func (b *Bench) disk() int64 { return int64(float64(b.Runs.Most) * b.Measured.Stored.Value) }

// one is what one replication takes.
func (b *Bench) one() Part {
	m := b.Measured
	t := &Table{Columns: []Column{{Head: "Of one replication", Text: true}, {Head: "Mean"}, {Head: "±"}, {Head: "Unit", Text: true}}}
	row := func(name, unit string, e stats.Estimate) {
		value, half := columns(e)
		t.add(name, value, half, unit)
	}
	row("Processor time, one worker", "s", m.Points[0].Work)
	row("Processor time of a simulated year", "s", m.Year)
	row("Events", "", m.Events)
	row("Result, packed", "bytes", m.Packed)
	row("Result in a ledger", "bytes", m.Stored)
	return Part{Heading: "One replication", Table: t}
}

// curve is the scaling over workers.
func (b *Bench) curve() Part {
	t := &Table{Columns: []Column{
		{Head: "Workers"}, {Head: "Replications/s"}, {Head: "±"}, {Head: "Times one"}, {Head: "% of ideal"}, {Head: "Processor s each"}, {Head: "Peak memory"},
	}}
	first := b.Measured.Points[0].Rate.Value
	for _, p := range b.Measured.Points {
		rate, half := columns(p.Rate)
		peak := "not known"
		if p.Peak > 0 {
			peak = effort.Bytes(p.Peak)
		}
		work, _ := columns(p.Work)
		t.add(fmt.Sprint(p.Workers), rate, half, fixed(p.Rate.Value/first, 2), fixed(100*p.Rate.Value/first/float64(p.Workers), 0), work, peak)
	}
	return Part{Heading: "By workers", Table: t}
}

// study is what the whole study takes, here and elsewhere.
func (b *Bench) study() Part {
	t := &Table{Columns: []Column{
		{Head: "Cores"}, {Head: "Where", Text: true}, {Head: "Time at most", Text: true}, {Head: "Likely from", Text: true}, {Head: "To", Text: true}, {Head: "Core hours"},
	}}
	if b.Price > 0 {
		t.Columns = append(t.Columns, Column{Head: "Cost, " + b.Currency})
	}
	for _, p := range b.Projects {
		where, from, to := "others", "not known", "not known"
		if p.Here {
			where = "here"
		}
		if p.High >= 0 {
			from, to = effort.Duration(p.Low), effort.Duration(p.High)
		}
		cells := []string{fmt.Sprint(p.Cores), where, effort.Duration(p.Most), from, to, fixed(p.Hours, decimalsFor(p.Hours/20))}
		if b.Price > 0 {
			cost := b.Price * p.Hours
			cells = append(cells, fixed(cost, decimalsFor(cost/20)))
		}
		t.add(cells...)
	}
	return Part{Heading: "The study: " + b.Study, Table: t, After: []string{
		fmt.Sprintf("%s replications at most, %s in a ledger, wherever they are made.", count(int64(b.Runs.Most)), effort.Bytes(b.disk())),
	}}
}

// quiet is the share of the processors from which on a machine counts as quiet.
const quiet = 0.85

// rests says what the figures rest on.
func (b *Bench) rests() Part {
	m := b.Measured
	text := []string{
		fmt.Sprintf("- %d measurements at each number of workers, of %d replications for each, on the same luck: ± is the 95 %% interval of their mean. What else the machine did meanwhile is in it.", m.Repeats, m.Batch),
		"- The works as it is was measured; options of a question may be larger or smaller.",
		fmt.Sprintf("- Other machines are reckoned by processor time, with cores like those here when %d workers are at work and with nothing else to do; handing out and keeping a replication takes 2 ms of one machine for all. Cores are paid for until the last is done.", m.Last().Workers),
		"- What a question does besides its runs, such as to replay inspections or to draw works, is not counted.",
	}
	if got := m.Busy(); got < quiet {
		text = append([]string{fmt.Sprintf("- The machine was busy: the program got %.0f %% of the processors that it asked for. What stands here as time on this machine is so much longer than it would be on a quiet one.", 100*got)}, text...)
	}
	if b.Price == 0 {
		text = append(text, `- For the cost, say what an hour of a core costs: --price "0.04 EUR/h".`)
	}
	return Part{Heading: "What this rests on", Text: text}
}

// The document of a bench, an interface to other programs like that of an answer:
// keys are added, never renamed. Times are in seconds, sizes in bytes; a number
// that does not exist is null.
type jsonBench struct {
	Version      string         `json:"version"`
	Scenario     jsonScenario   `json:"scenario"`
	Seed         uint64         `json:"seed"`
	Weeks        int            `json:"weeks"`
	Repeats      int            `json:"repeats"`
	Confidence   number         `json:"confidence"`
	YearSeconds  jsonSwing      `json:"processor_seconds_per_year"`
	Events       jsonSwing      `json:"events"`
	Packed       jsonSwing      `json:"result_bytes"`
	Stored       jsonSwing      `json:"ledger_bytes"`
	Points       []jsonPoint    `json:"workers"`
	Study        string         `json:"study"`
	Least        int            `json:"least_replications"`
	Most         int            `json:"most_replications"`
	LedgerBytes  int64          `json:"study_ledger_bytes"`
	Price        number         `json:"price_per_core_hour"` // null: not given
	Currency     string         `json:"currency,omitempty"`
	Projections  []jsonProjects `json:"projections"`
	Share        number         `json:"share_of_processors"` // that the program got of those it asked for
	RestsOn      []string       `json:"rests_on"`
	MachineCores int            `json:"machine_cores"`
}

type jsonPoint struct {
	Workers int       `json:"workers"`
	Rate    jsonSwing `json:"replications_per_second"`
	Work    jsonSwing `json:"processor_seconds"`
	Peak    *int64    `json:"peak_bytes"`
}

type jsonProjects struct {
	Cores int    `json:"cores"`
	Here  bool   `json:"here"`
	Least number `json:"least_seconds"`
	Most  number `json:"most_seconds"`
	Low   number `json:"most_seconds_low"`
	High  number `json:"most_seconds_high"`
	Hours number `json:"core_hours"`
	Cost  number `json:"cost"`
}

// BenchJSON writes a bench as one JSON document with a newline at its end.
func BenchJSON(w io.Writer, b *Bench, version string) error {
	m := b.Measured
	d := jsonBench{
		Version: version, Scenario: jsonScenario{b.Scenario.Name, b.Scenario.Hash}, Seed: b.Seed, Weeks: m.Weeks, Repeats: m.Repeats, Confidence: experiment.Level,
		YearSeconds: intervalOf(m.Year), Events: intervalOf(m.Events), Packed: intervalOf(m.Packed), Stored: intervalOf(m.Stored),
		Study: b.Study, Least: b.Runs.Least, Most: b.Runs.Most, LedgerBytes: b.disk(), Price: number(math.NaN()), Currency: b.Currency,
		Share: number(m.Busy()), RestsOn: b.rests().Text, MachineCores: m.Cores,
	}
	if b.Price > 0 {
		d.Price = number(b.Price)
	}
	for _, p := range m.Points {
		j := jsonPoint{Workers: p.Workers, Rate: intervalOf(p.Rate), Work: intervalOf(p.Work)}
		if p.Peak > 0 {
			j.Peak = &p.Peak
		}
		d.Points = append(d.Points, j)
	}
	seconds := func(t time.Duration) number {
		if t < 0 {
			return number(math.NaN())
		}
		return number(t.Seconds())
	}
	for _, p := range b.Projects {
		d.Projections = append(d.Projections, jsonProjects{
			Cores: p.Cores, Here: p.Here, Least: seconds(p.Least), Most: seconds(p.Most), Low: seconds(p.Low), High: seconds(p.High),
			Hours: number(p.Hours), Cost: d.Price * number(p.Hours),
		})
	}
	text, err := json.MarshalIndent(d, "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// intervalOf copies an estimate.
func intervalOf(e stats.Estimate) jsonSwing {
	return jsonSwing{Mean: number(e.Value), Low: number(e.Low), High: number(e.High), N: e.N}
}
