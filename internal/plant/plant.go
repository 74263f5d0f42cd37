package plant

import (
	"slices"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/random"
)

// Plant is a works that has passed New: its calendars are laid out and its
// names resolved. It is immutable and shared by all replications.
type Plant struct {
	works *Works
	clock calendar.Clock
	hours map[string]*des.Hours
	wares map[string]int32

	castDays  map[string][]des.Time // first opening of each working day, by ware
	rests     []Rest
	changes   map[*Bench][]des.Time
	lucks     map[string]wareLuck
	orderFrom []des.Time
	orderDue  []des.Time
	orderLots [][]lotDate

	resources []Resource
	measures  []*Measure
	hand      *Hand
	recall    Recaller // nil: replications are run
}

// New checks whether the works is possible and makes it ready to run. It
// returns nil and the faults if it is not; warnings may come with a plant.
func New(w *Works) (*Plant, []Fault) {
	p := &Plant{works: w, hours: map[string]*des.Hours{}, wares: map[string]int32{}, castDays: map[string][]des.Time{}, changes: map[*Bench][]des.Time{}, lucks: map[string]wareLuck{}}
	c := &checker{p: p, w: w}
	c.calendar()
	if c.fatal() {
		return nil, c.faults
	}
	c.names()
	if c.fatal() {
		return nil, c.faults
	}
	c.departments()
	if c.fatal() {
		return nil, c.faults
	}
	c.sizes()
	c.events()
	c.money()
	c.openingState()
	if c.fatal() {
		return nil, c.faults
	}
	p.castDays = p.allCastDays()
	p.rests = p.allRests()
	for i := range w.Ware {
		p.lucks[w.Ware[i].Name] = newWareLuck(&w.Ware[i].Yields)
	}
	layout := newRun(p, Options{Source: random.New(0, 0), Fixed: true})
	defer layout.sim.Close()
	for _, res := range layout.resources {
		p.resources = append(p.resources, Resource{Name: res.name, Kind: res.kind, Parts: res.parts, States: res.states, Before: w.sectionsBefore(res.name), Hands: w.handsOf(res.name)})
	}
	p.measures = newCatalogue(p, layout).all
	p.hand = p.estimate()
	c.plausible(p.hand)
	return p, c.faults
}

// Works returns the description, which must not be changed.
func (p *Plant) Works() *Works { return p.works }

// Weeks is the length of a replication, warm-up included.
func (p *Plant) Weeks() int { return int(p.works.Run.Length / des.Week) }

// Clock ties simulated time to civil time.
func (p *Plant) Clock() calendar.Clock { return p.clock }

// Resources lists what has its time told by state.
func (p *Plant) Resources() []Resource { return p.resources }

// Measures lists the measures, in the order in which they are told.
func (p *Plant) Measures() []*Measure { return p.measures }

// Hand returns the static estimate.
func (p *Plant) Hand() *Hand { return p.hand }

func (p *Plant) wareNo(name string) int32 { return p.wares[name] }

// waresOf tells, by ware, whether it is in a list; an empty list means all.
func (p *Plant) waresOf(names []string) []bool {
	takes := make([]bool, len(p.works.Ware))
	for i := range takes {
		takes[i] = len(names) == 0
	}
	for _, n := range names {
		takes[p.wares[n]] = true
	}
	return takes
}

func (p *Plant) crewNamed(name string) *Crew {
	for k := range p.works.Crews {
		if p.works.Crews[k].Name == name {
			return &p.works.Crews[k]
		}
	}
	return nil
}

// crewHours are the hours in which anyone of a crew is on.
func (p *Plant) crewHours(name string) *des.Hours {
	var all []*des.Hours
	c := p.crewNamed(name)
	for _, n := range sortedKeys(c.Roster) {
		all = append(all, p.hours[n])
	}
	return p.union(all)
}

func (p *Plant) union(all []*des.Hours) *des.Hours {
	if len(all) == 0 {
		return des.Always(0)
	}
	u := all[0]
	for _, h := range all[1:] {
		u = calendar.Union(u, h)
	}
	return u
}

// mouldLife is the life of the working moulds of a ware: that of the first
// bench, by name, that casts it or will; of a press if there is none.
func (p *Plant) mouldLife(ware string) random.Law {
	first := ""
	var life random.Law
	for k := range p.works.Benches {
		b := &p.works.Benches[k]
		casts := b.Ware == ware || slices.ContainsFunc(b.Change, func(c Changeover) bool { return c.Ware == ware })
		if casts && (life == nil || b.Name < first) {
			first, life = b.Name, b.Life
		}
	}
	for k := range p.works.Presses {
		if life == nil && p.works.Presses[k].Ware == ware {
			life = p.works.Presses[k].Life
		}
	}
	return life
}

// caseCount is the case sets in use for a ware.
func (p *Plant) caseCount(ware string) int {
	if p.works.MouldShop != nil {
		for _, m := range p.works.MouldShop.Moulds {
			if m.Name == ware {
				return max(1, m.Cases)
			}
		}
	}
	return 1
}

// allCastDays lists, for each ware, the first opening on each civil date of the
// hours in which it is cast: its working days.
func (p *Plant) allCastDays() map[string][]des.Time {
	hours := p.hoursOfCasting()
	days := map[string][]des.Time{}
	for _, ware := range sortedKeys(hours) {
		days[ware] = p.workingDays(p.union(hours[ware]))
	}
	return days
}

// hoursOfCasting lists, for each ware, the hours of those who cast it.
func (p *Plant) hoursOfCasting() map[string][]*des.Hours {
	hours := map[string][]*des.Hours{}
	for k := range p.works.Benches {
		b := &p.works.Benches[k]
		hours[b.Ware] = append(hours[b.Ware], p.crewHours(b.Crew))
		for _, c := range b.Change {
			hours[c.Ware] = append(hours[c.Ware], p.crewHours(b.Crew))
		}
	}
	for k := range p.works.Presses {
		b := &p.works.Presses[k]
		hours[b.Ware] = append(hours[b.Ware], p.hours[b.Hours])
	}
	return hours
}

// workingDays lists the beginnings of the working days of some hours: the first
// opening on each civil date. An opening that never ends begins a working day
// every 24 h.
func (p *Plant) workingDays(h *des.Hours) []des.Time {
	var days []des.Time
	last := calendar.Date(-1)
	for _, iv := range h.Intervals() {
		for t := iv.Open; t < iv.Close; t += des.Day {
			if d := p.clock.Date(t); d != last {
				last = d
				days = append(days, t)
			}
		}
	}
	return days
}

// civil parses a date or a date and time into simulated time.
func (p *Plant) civil(text string) (des.Time, error) {
	t, err := calendar.ParseStart(text, p.works.Zone)
	if err != nil {
		return 0, err
	}
	return p.clock.Tick(t), nil
}
