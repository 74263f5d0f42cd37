package plant_test

import (
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// Weeks over which Plant A is measured with randomness off. Its moulds cast 80
// times, so wear comes round every 16 weeks; 4 weeks fill the refire loop.
const (
	plantAFrom = 4
	plantATo   = 20
)

// sight is a kind of observation: what happened to a piece of which ware, where.
type sight struct{ event, ware, where string }

// watcher gathers from the observations of one run what no measure tells:
// flows by ware, and times of the day.
type watcher struct {
	from, to  des.Time
	seen      map[sight]int
	cars      map[sight]map[string]bool // distinct cars and loads
	fires     map[sight]int             // of them, entered at the weekend
	lives     map[uint64]*life
	perCar    map[string]float64
	buffered  map[string]int     // in the buffer or on a loaded car, by ware
	coating   int                // glazed, coat not yet dry
	stock     map[des.Time]stock // at instants of the week
	punching  punching
	inFire    []des.Time // stays in the tunnel of cars entered on weekdays, weekends
	inFireEnd []des.Time
	sorted    []des.Time // fill to first sorting as A, pans
	again     []des.Time // lead times on working time of refired pieces
	resorting des.Time   // piece-time of refired pieces from the kiln to the sorter
	dryOn     map[string]int
}

// stock is what stands before the kiln at an instant.
type stock struct{ weeks, pieces, cars, coating float64 }

// punching is what happened to pans in their window.
type punching struct {
	days              map[int64]bool
	startLate, late   int
	byHalfPastSix     int
	last              des.Time // time of day
	first, lastMoulds des.Time // demoulding, time of day
	taken             des.Time // earliest punching, time of day
}

// life is what has been seen of a piece so far.
type life struct {
	filled, demoulded, taken, fired, drawn des.Time
	punched, refired                       bool
}

func newWatcher(w *plant.Works) *watcher {
	k := &watcher{
		from: plantAFrom * des.Week, to: plantATo * des.Week,
		seen: map[sight]int{}, cars: map[sight]map[string]bool{}, fires: map[sight]int{}, lives: map[uint64]*life{},
		perCar: map[string]float64{}, buffered: map[string]int{}, stock: map[des.Time]stock{}, dryOn: map[string]int{},
		punching: punching{days: map[int64]bool{}, first: des.Day, taken: des.Day},
	}
	for i := range w.Ware {
		n, _ := w.Kilns[0].Load.For(w.Ware[i].Name)
		k.perCar[w.Ware[i].Name] = float64(n)
	}
	return k
}

// saturday and fridayNight are instants of the week at which the stock before
// the kiln is counted. The week begins on Monday at 06:00.
const (
	saturday    = 5 * des.Day
	fridayNight = 4*des.Day + 16*des.Hour
)

// timeOfDay is the time since midnight; runs begin at 06:00.
func timeOfDay(t des.Time) des.Time { return (t + 6*des.Hour) % des.Day }

// workingTime is the working time before t: weekends, from Saturday 06:00 to
// Monday 06:00, removed.
func workingTime(t des.Time) des.Time { return t/des.Week*saturday + min(t%des.Week, saturday) }

// watch takes one observation.
func (k *watcher) watch(o plant.Observation) {
	k.count(o)
	l := k.lives[o.Piece]
	if l == nil {
		l = &life{filled: o.At}
		k.lives[o.Piece] = l
	}
	k.stand(o, l)
	if o.At < k.from || o.At >= k.to {
		k.follow(o, l)
		return
	}
	where := o.Where
	if o.Event == "into the kiln" {
		s := sight{o.Event, o.Ware, where}
		if k.cars[s] == nil {
			k.cars[s] = map[string]bool{}
		}
		if !k.cars[s][o.Detail] && o.At%des.Week >= saturday {
			k.fires[s]++
		}
		k.cars[s][o.Detail] = true
	}
	k.seen[sight{o.Event, o.Ware, where}]++
	k.window(o, l)
	k.times(o, l)
	k.follow(o, l)
}

// count takes down the stock before the kiln at the instants of the week that
// have passed since the last observation.
func (k *watcher) count(o plant.Observation) {
	for _, at := range []des.Time{saturday, fridayNight} {
		week := float64(int64((o.At - at + des.Week) / des.Week))
		s := k.stock[at]
		if o.At < at || week <= s.weeks {
			continue
		}
		if o.At >= k.from && o.At < k.to {
			for ware, n := range k.buffered {
				s.pieces += float64(n)
				s.cars += float64(n) / k.perCar[ware]
			}
			s.coating += float64(k.coating)
		}
		s.weeks = week
		k.stock[at] = s
	}
}

// stand keeps the stock before the kiln.
func (k *watcher) stand(o plant.Observation, l *life) {
	switch {
	case o.Event == "glazed":
		k.coating++
	case o.Event == "in the buffer":
		k.coating--
		k.buffered[o.Ware]++
	case o.Event == "into the kiln" && !l.refired:
		k.buffered[o.Ware]--
	}
}

// follow keeps the piece's own times.
func (k *watcher) follow(o plant.Observation, l *life) {
	switch o.Event {
	case "demoulded":
		l.demoulded = o.At
	case "taken up":
		l.taken = o.At
	case "punched":
		l.punched = true
	case "into the kiln":
		l.fired = o.At
	case "out of the kiln":
		l.drawn = o.At
	case "sent to refire":
		l.refired = true
	case "packed", "lost":
		delete(k.lives, o.Piece)
	}
}

// window judges the punching of pans by the clock: the shop dries a point an
// hour, so that the window opens 3.0 h after demoulding and closes after 6.5 h.
func (k *watcher) window(o plant.Observation, l *life) {
	p := &k.punching
	if o.Ware == "pan" {
		switch {
		case o.Event == "demoulded":
			p.first = min(p.first, timeOfDay(o.At))
			p.lastMoulds = max(p.lastMoulds, timeOfDay(o.At))
		case o.Event == "taken up" && o.Where == "finishers" && !l.punched:
			p.taken = min(p.taken, timeOfDay(o.At))
		case o.Event == "punched":
			p.days[int64(o.At/des.Day)] = true
			if l.taken-l.demoulded > 390*des.Minute {
				p.startLate++
			}
			if o.At-l.demoulded > 390*des.Minute {
				p.late++
			}
			if timeOfDay(o.At) <= 18*des.Hour+30*des.Minute {
				p.byHalfPastSix++
			}
			p.last = max(p.last, timeOfDay(o.At))
		}
	}
	if o.Event == "lost" && strings.HasSuffix(o.Where, "too dry to punch") {
		k.dryOn[[]string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}[o.At/des.Day%7]]++
	}
}

// times takes down stays and lead times.
func (k *watcher) times(o plant.Observation, l *life) {
	switch {
	case o.Event == "out of the kiln" && !l.refired:
		// A car that spends all its time within the weekdays, or the weekend.
		switch in, out := l.fired%des.Week, o.At%des.Week; {
		case in >= saturday && out >= saturday && out > in:
			k.inFireEnd = append(k.inFireEnd, o.At-l.fired)
		case in < saturday && out < saturday && out > in:
			k.inFire = append(k.inFire, o.At-l.fired)
		}
	case o.Event == "sorted: A" && o.Ware == "pan" && !l.refired:
		k.sorted = append(k.sorted, o.At-l.filled)
	case o.Event == "taken up" && o.Where == "sorting" && l.refired:
		k.resorting += o.At - l.drawn
	case o.Event == "packed" && l.refired:
		k.again = append(k.again, workingTime(o.At)-workingTime(l.filled))
	}
}

// perDay is how often a thing was seen on a working day.
func (k *watcher) perDay(event, ware, where string) float64 {
	n := 0
	for s, c := range k.seen {
		if s.event == event && (ware == "" || s.ware == ware) && (where == "" || s.where == where) {
			n += c
		}
	}
	return float64(n) / 5 / (plantATo - plantAFrom)
}

func meanHours(all []des.Time) float64 {
	var sum des.Time
	for _, t := range all {
		sum += t
	}
	return hours(sum) / float64(len(all))
}

// plantA is one run of Plant A or a variant of it, watched.
type plantA struct {
	t *testing.T
	p *plant.Plant
	r *plant.Result
	w *watcher
}

// runPlantA runs a variant of Plant A with randomness off.
func runPlantA(t *testing.T, change func(*plant.Works)) *plantA {
	t.Helper()
	w := readWorks(t, "../../scenarios/plant-a.yaml")
	if change != nil {
		change(w)
	}
	a := &plantA{t: t, p: build(t, w), w: newWatcher(w)}
	o := fixed(plantATo)
	o.Observer = a.w.watch
	a.r = simulate(t, a.p, o)
	return a
}

// measure is a measure over the weeks measured.
func (a *plantA) measure(name string) float64 {
	return figure(a.t, a.p, a.r, name, plantAFrom, plantATo)
}
