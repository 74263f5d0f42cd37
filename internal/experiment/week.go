package experiment

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// Week is one week of the first replication as it went: one run of chance, to
// see how the works moves. It proves nothing.
type Week struct {
	Number   int       // from 1
	Start    time.Time // civil
	Sections []string
	Stock    [][]int // [section][hour], pieces at the end of the hour
	Kilns    []KilnWeek
	Weekend  []HourSpan // Saturdays and Sundays
	Days     []HourSpan // civil days
}

// HourSpan is a stretch of hours since the start of the week.
type HourSpan struct {
	From, To float64
	Name     string
}

// KilnWeek is what one kiln did.
type KilnWeek struct {
	Kiln  string
	Kind  string
	Unit  int // which of several alike, from 1
	Units int
	Spans []KilnSpan
}

// KilnSpan is a push with its car, or a state of a kiln with what is in it.
type KilnSpan struct {
	From, To float64 // h since the start of the week
	State    string  // pushed, holding, stopped; waiting, loading, firing, cooling, drawing
	Ware     string  // most of the load; empty: nothing in it
	Text     string  // the load in words
	Share    float64 // of a full load
	Full     bool
}

// AddWeek runs the first replication once more, up to the end of its typical
// week, and keeps that week. Nothing is added where there is none. The error is
// that of ctx or a *ReplicationError.
func (a *Answer) AddWeek(ctx context.Context, p Runner, s Settings) error {
	if a.Pictures.Typical == 0 {
		return nil
	}
	o := newOnlooker(p, a.Pictures.Typical)
	_, err := p.Simulate(plant.Options{
		Source: random.New(s.Seed, 1), Fixed: s.Fixed, Weeks: a.Pictures.Typical,
		Stopped: func() bool { return ctx.Err() != nil },
		Lookout: &plant.Lookout{Moved: o.moved, Kiln: o.kiln},
	})
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return &ReplicationError{Number: 1, Err: err}
	}
	a.Pictures.Week = o.close()
	return nil
}

// onlooker writes a week down.
type onlooker struct {
	week     *Week
	wares    []string
	from, to des.Time
	now      []int // pieces by section
	open     map[string]*openSpan
}

// openSpan is what a kiln does at present.
type openSpan struct {
	kiln *KilnWeek
	span KilnSpan
	at   des.Time
}

func newOnlooker(p Runner, number int) *onlooker {
	o := &onlooker{from: des.Time(number-1) * des.Week, to: des.Time(number) * des.Week, open: map[string]*openSpan{}}
	o.week = &Week{Number: number, Start: p.Clock().Civil(o.from), Sections: plant.SectionNames()}
	o.now, o.week.Stock = make([]int, len(o.week.Sections)), make([][]int, len(o.week.Sections))
	for i := range p.Works().Ware {
		o.wares = append(o.wares, p.Works().Ware[i].Name)
	}
	for i := range p.Works().Kilns {
		k := &p.Works().Kilns[i]
		units := max(1, k.Count)
		for u := range units {
			o.week.Kilns = append(o.week.Kilns, KilnWeek{Kiln: k.Name, Kind: k.Kind, Unit: u + 1, Units: units})
		}
	}
	o.days(p)
	return o
}

// days marks the civil days and the weekends. Days are cut where the wall clock
// shows midnight, so that the day of a clock change is an hour shorter or longer.
func (o *onlooker) days(p Runner) {
	clock := p.Clock()
	for at := o.from; at < o.to; {
		day := clock.Civil(at)
		next := clock.Tick(time.Date(day.Year(), day.Month(), day.Day()+1, 0, 0, 0, 0, day.Location()))
		span := HourSpan{hours(at - o.from), hours(min(next, o.to) - o.from), day.Format("Mon 2 Jan")}
		o.week.Days = append(o.week.Days, span)
		if d := day.Weekday(); d == time.Saturday || d == time.Sunday {
			o.week.Weekend = append(o.week.Weekend, span)
		}
		at = next
	}
}

// moved follows the stocks.
func (o *onlooker) moved(at des.Time, from, to int) {
	o.until(at)
	if from != plant.Outside {
		o.now[from]--
	}
	if to != plant.Outside {
		o.now[to]++
	}
}

// until writes down the hours that have ended.
func (o *onlooker) until(now des.Time) {
	for end := o.from + des.Time(len(o.week.Stock[0])+1)*des.Hour; end <= min(now, o.to); end += des.Hour {
		for s, n := range o.now {
			o.week.Stock[s] = append(o.week.Stock[s], n)
		}
	}
}

// kiln follows the kilns. The push in which a tunnel stops is over, and so is a
// stop when it pushes again.
func (o *onlooker) kiln(e plant.KilnEvent) {
	name := fmt.Sprintf("%s %d", e.Kiln, e.Unit)
	if before := o.open[name]; before != nil {
		o.end(before, e.At)
	}
	delete(o.open, name)
	i := slices.IndexFunc(o.week.Kilns, func(k KilnWeek) bool { return k.Kiln == e.Kiln && k.Unit == e.Unit })
	if i < 0 || e.State == "running" { // the next push says what runs
		return
	}
	s := KilnSpan{State: e.State, Share: min(1, e.Share), Full: e.Full}
	s.Ware, s.Text = o.load(e)
	o.open[name] = &openSpan{&o.week.Kilns[i], s, e.At}
}

// end closes what a kiln did, as far as it lies in the week.
func (o *onlooker) end(b *openSpan, at des.Time) {
	from, to := max(b.at, o.from), min(at, o.to)
	if from >= to {
		return
	}
	b.span.From, b.span.To = hours(from-o.from), hours(to-o.from)
	b.kiln.Spans = append(b.kiln.Spans, b.span)
}

// load says what is in a kiln, and what is most of it.
func (o *onlooker) load(e plant.KilnEvent) (ware, text string) {
	var parts []string
	most := 0
	for w, n := range e.Pieces {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, o.wares[w]))
		}
		if n > most {
			ware, most = o.wares[w], n
		}
	}
	switch {
	case parts == nil && e.State == plant.Pushed:
		return "", "empty"
	case parts == nil:
		return "", e.State
	}
	text = strings.Join(parts, ", ")
	if e.Again > 0 {
		text += fmt.Sprintf(", %d of them again", e.Again)
	}
	if !e.Full {
		text += ", part load"
	}
	if e.State != plant.Pushed {
		text = e.State + ": " + text
	}
	return ware, text
}

// close ends the week.
func (o *onlooker) close() *Week {
	o.until(o.to)
	for _, k := range o.week.Kilns {
		if b := o.open[fmt.Sprintf("%s %d", k.Kiln, k.Unit)]; b != nil {
			o.end(b, o.to)
		}
	}
	return o.week
}
