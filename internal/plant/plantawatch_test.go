package plant_test

import (
	"slices"
	"strings"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// Instants of the week, which begins on Monday at 06:00.
const (
	friday22   = 4*des.Day + 16*des.Hour
	saturday06 = 5 * des.Day
)

// The window of a pan in Plant A's shop, which dries a point an hour: from 22 %
// at demoulding to 19 % and to 15.5 %.
const (
	windowOpens  = 180 * des.Minute
	windowCloses = 390 * des.Minute
)

// timeOfDay is the time since midnight.
func timeOfDay(t des.Time) des.Time { return (t + 6*des.Hour) % des.Day }

// workingTime is the working time before t: weekends are left out.
func workingTime(t des.Time) des.Time {
	return t/des.Week*saturday06 + min(t%des.Week, saturday06)
}

// sight is a kind of observation: what happened to a piece of which ware, where.
type sight struct{ event, ware, where string }

// watcher gathers from the observations of one run of Plant A what no measure
// tells: flows by ware, and times of the day.
type watcher struct {
	from, to des.Time
	seen     map[sight]int
	lives    map[uint64]*life
	perCar   map[string]float64

	cars       map[string]map[string]bool // cars into the tunnel, by ware
	weekendCar map[string]bool
	buffered   map[string]int // in the buffer or on a loaded car, by ware
	coating    int            // glazed, coat not yet dry
	stock      map[des.Time]*stock
	punching   punching
	dryOn      map[string]int

	stays, weekendStays []des.Time // in the tunnel
	leastLead           des.Time   // fill to first sorting as A, pans
	leastCoat           des.Time   // from the booth to the buffer
	refiredLeads        []des.Time // on working time
	resorting           des.Time   // piece-time on working time of refired ware waiting for a sorter
}

// stock is what stood before the kiln at one instant of the week, summed over weeks.
type stock struct {
	week                  int64
	pieces, cars, coating float64
}

// punching is what happened to pans in their windows, summed over days.
type punching struct {
	days                         map[int64]bool
	startLate, late, by1830      int
	last, firstOut, lastOut      des.Time // of a day
	firstStart                   des.Time
	windowFirst                  des.Time   // wait for the window, first pans of a day
	starts                       []des.Time // of all punchings, for the start of the day's
	outside                      int        // punched before the opening
	fireclayOut, fireclayLastOut des.Time
}

// life is what has been seen of a piece so far.
type life struct {
	filled, demoulded, taken, glazed, fired, drawn des.Time
	punched, refired                               bool
}

func newWatcher(w *plant.Works, from, to int) *watcher {
	k := &watcher{
		from: des.Time(from) * des.Week, to: des.Time(to) * des.Week,
		seen: map[sight]int{}, lives: map[uint64]*life{}, perCar: map[string]float64{},
		cars: map[string]map[string]bool{}, weekendCar: map[string]bool{}, buffered: map[string]int{},
		stock: map[des.Time]*stock{friday22: {}, saturday06: {}}, dryOn: map[string]int{},
		punching:  punching{days: map[int64]bool{}, firstOut: des.Day, firstStart: des.Day, fireclayOut: des.Day},
		leastLead: des.Never, leastCoat: des.Never,
	}
	for i := range w.Ware {
		n, _ := w.Kilns[0].Load.For(w.Ware[i].Name)
		k.perCar[w.Ware[i].Name] = float64(n)
		k.cars[w.Ware[i].Name] = map[string]bool{}
	}
	return k
}

// watch takes one observation.
func (k *watcher) watch(o plant.Observation) {
	l := k.lives[o.Piece]
	if l == nil {
		l = &life{filled: o.At}
		k.lives[o.Piece] = l
	}
	k.lookAtStock(o)
	switch {
	case o.Event == "glazed":
		k.coating++
	case o.Event == "in the buffer":
		k.coating--
		k.buffered[o.Ware]++
	case o.Event == "into the kiln" && !l.refired:
		k.buffered[o.Ware]--
	}
	if o.At >= k.from && o.At < k.to {
		k.seen[sight{o.Event, o.Ware, o.Where}]++
		k.window(o, l)
		k.kiln(o, l)
		k.leads(o, l)
	}
	k.follow(o, l)
}

// lookAtStock adds up the stock before the kiln whenever an instant of the week
// has passed since the last observation.
func (k *watcher) lookAtStock(o plant.Observation) {
	for at, s := range k.stock {
		week := int64((o.At - at + des.Week) / des.Week) // times it has passed
		if o.At < at || week <= s.week {
			continue
		}
		s.week = week
		if o.At < k.from || o.At >= k.to {
			continue
		}
		for ware, n := range k.buffered {
			s.pieces += float64(n)
			s.cars += float64(n) / k.perCar[ware]
		}
		s.coating += float64(k.coating)
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
	case "glazed":
		l.glazed = o.At
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

// window judges the punching of pans by the clock.
func (k *watcher) window(o plant.Observation, l *life) {
	p, now := &k.punching, timeOfDay(o.At)
	switch {
	case o.Event == "lost" && strings.HasSuffix(o.Where, "too dry to punch"):
		k.dryOn[weekday(l.demoulded)+" to "+weekday(o.At)]++
	case o.Event == "demoulded" && o.Ware == "fireclay":
		p.fireclayOut, p.fireclayLastOut = min(p.fireclayOut, now), max(p.fireclayLastOut, now)
	case o.Ware != "pan":
	case o.Event == "demoulded":
		p.firstOut, p.lastOut = min(p.firstOut, now), max(p.lastOut, now)
	case o.Event == "taken up" && o.Where == "finishers" && !l.punched:
		p.starts = append(p.starts, o.At)
		if now < p.firstStart {
			p.firstStart, p.windowFirst = now, o.Spent[3]
		}
		if o.At < l.demoulded+windowOpens {
			p.outside++
		}
	case o.Event == "punched":
		p.days[int64((o.At+6*des.Hour)/des.Day)] = true
		if l.taken > l.demoulded+windowCloses {
			p.startLate++
		}
		if o.At > l.demoulded+windowCloses {
			p.late++
		}
		if now <= 18*des.Hour+30*des.Minute {
			p.by1830++
		}
		p.last = max(p.last, now)
	}
}

// weekday names the day of an instant.
func weekday(t des.Time) string {
	return []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}[(t+6*des.Hour)/des.Day%7]
}

// kiln takes down cars and stays in the tunnel kiln.
func (k *watcher) kiln(o plant.Observation, l *life) {
	if o.Where != "tunnel" {
		return
	}
	switch o.Event {
	case "into the kiln":
		k.cars[o.Ware][o.Detail] = true
		if o.At%des.Week >= saturday06 {
			k.weekendCar[o.Detail] = true
		}
	case "out of the kiln":
		// Only cars that spend all their time within weekdays, or in a weekend.
		switch in, out := l.fired%des.Week, o.At%des.Week; {
		case in > out:
		case in >= saturday06:
			k.weekendStays = append(k.weekendStays, o.At-l.fired)
		case out < saturday06:
			k.stays = append(k.stays, o.At-l.fired)
		}
	}
}

// leads takes down stays of coats and lead times.
func (k *watcher) leads(o plant.Observation, l *life) {
	switch {
	case o.Event == "in the buffer":
		k.leastCoat = min(k.leastCoat, o.At-l.glazed)
	case o.Event == "sorted: A" && o.Ware == "pan" && !l.refired:
		k.leastLead = min(k.leastLead, o.At-l.filled)
	case o.Event == "taken up" && o.Where == "sorting" && l.refired:
		k.resorting += workingTime(o.At) - workingTime(l.drawn)
	case o.Event == "packed" && l.refired:
		k.refiredLeads = append(k.refiredLeads, workingTime(o.At)-workingTime(l.filled))
	}
}

func (k *watcher) weeks() float64 { return float64(k.to-k.from) / float64(des.Week) }

// perDay is how often a thing was seen on a working day. An empty ware or
// place stands for all.
func (k *watcher) perDay(event, ware, where string) float64 {
	n := 0
	for s, c := range k.seen {
		if s.event == event && (ware == "" || s.ware == ware) && (where == "" || s.where == where) {
			n += c
		}
	}
	return float64(n) / 5 / k.weeks()
}

// placesBegin is when, on the mean over the days, each of the first n punching
// places begins: the first start of a day at which so many punchings are under
// way at once.
func (p *punching) placesBegin(n int) []des.Time {
	byDay := map[int64][]des.Time{}
	for _, t := range p.starts {
		day := int64((t + 6*des.Hour) / des.Day)
		byDay[day] = append(byDay[day], timeOfDay(t))
	}
	sums := make([]des.Time, n)
	for _, starts := range byDay {
		slices.Sort(starts)
		busy := 0
		for i, t := range starts {
			first, _ := slices.BinarySearch(starts, t-punchTime+1)
			for ; busy < min(n, i+1-first); busy++ {
				sums[busy] += t
			}
		}
	}
	for i := range sums {
		sums[i] /= des.Time(len(byDay))
	}
	return sums
}

// meanHours is the mean of some spans in hours.
func meanHours(all []des.Time) float64 {
	var sum des.Time
	for _, t := range all {
		sum += t
	}
	return hours(sum) / float64(len(all))
}
