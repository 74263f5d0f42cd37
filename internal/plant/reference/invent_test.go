package reference_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
)

// set is one set of a scenario, its entries in the order of the file.
type set []entry

type entry struct {
	key   string
	value any
}

// put adds an entry.
func (s *set) put(key string, value any) { *s = append(*s, entry{key, value}) }

// write writes a value in the JSON form of YAML, so that the reader of
// scenarios and the second model get the same text. Sets of the first two
// levels have a line for each entry.
func write(b *strings.Builder, value any, level int) {
	s, isSet := value.(set)
	if !isSet {
		text, err := json.Marshal(value)
		if err != nil {
			panic(err) // texts, numbers and lists of texts are all there is
		}
		b.Write(text)
		return
	}
	between := ", "
	if level < 2 {
		between = ",\n" + strings.Repeat(" ", level+1)
	}
	b.WriteString("{")
	for n, e := range s {
		if n > 0 {
			b.WriteString(between)
		}
		fmt.Fprintf(b, "%q: ", e.key)
		write(b, e.value, level+1)
	}
	b.WriteString("}")
}

// inventor makes up small works.
type inventor struct {
	*rand.Rand
	wares   []string
	crews   []string
	planned map[string]bool // wares cast to a plan
}

// invent makes up the works of one seed, in the JSON form of YAML.
func invent(seed uint64) []byte {
	i := &inventor{Rand: rand.New(rand.NewPCG(seed, 19)), planned: map[string]bool{}}
	for n := range 1 + i.IntN(3) {
		i.wares = append(i.wares, []string{"pan", "basin", "cistern"}[n])
	}
	w := set{
		{"potbank", 1}, {"name", fmt.Sprint("works ", seed)},
		{"start", pick(i, "2027-01-04 06:00", "2027-01-04 06:00", "2027-02-03 00:00", "2027-06-18 13:30")},
		{"run", set{{"length", fmt.Sprintf("%d wk", weeks)}, {"warm-up", "0 wk"}, {"seed", 1}}},
		{"hours", i.hours()},
		{"crews", i.people()},
	}
	w.put("ware", i.ware())
	inspects := i.often(70)
	w.put("casting-shop", i.shop(inspects))
	w.put("benches", i.benches())
	w.put("finishing", i.finishing())
	if i.often(70) {
		w.put("dryers", i.dryers())
	}
	if inspects {
		w.put("white-inspection", i.white())
	}
	if i.often(70) {
		w.put("glazing", i.glazing())
	}
	refires := i.often(60)
	w.put("kilns", i.kilns(refires))
	if refires || i.often(60) {
		w.put("sorting", set{{"crew", i.crew()}, {"time", i.perWare(1, 5)}})
	}
	if refires {
		w.put("refire", set{{"crew", i.crew()}, {"time", i.perWare(4, 12)}, {"coat-drying", pick(i, "2 h", "4 h")}, {"most", 1 + i.IntN(2)}})
	}
	if i.often(50) {
		w.put("tests", set{{"leak", i.test()}})
	}
	w.put("packing", set{{"crew", i.crew()}, {"time", i.perWare(2, 6)}})
	var b strings.Builder
	write(&b, w, 0)
	return []byte(b.String())
}

// often is true so many times in a hundred.
func (i *inventor) often(percent int) bool { return i.IntN(100) < percent }

// pick takes one of several values.
func pick[T any](i *inventor, values ...T) T { return values[i.IntN(len(values))] }

// shifts are the weekly hours that crews may have. Each two of a row may be
// rosters of one crew: they do not overlap.
var shifts = [][2]string{
	{"Mon-Fri 06:00-14:00", "Mon-Fri 14:00-22:00"},
	{"Mon-Fri 06:00-10:00 11:06-14:00", "Mon-Fri 14:00-18:00 19:06-22:00"},
	{"Mon-Sat 07:00-12:00 12:40-15:40", "Mon-Thu 22:00-06:00"},
	{"Mon-Fri 08:30-12:00 12:30-17:00, Sat 06:00-12:00", "Sun-Sun 09:00-12:00"},
	{"daily 06:00-18:00", "daily 18:00-06:00"},
	{"Mon-Fri 06:00-10:00 10:00-14:00", "Mon-Thu 14:00-18:00 18:00-22:00"},
}

func (i *inventor) hours() set {
	var s set
	for n, row := range shifts {
		for k, week := range row {
			s.put(fmt.Sprintf("shift-%d-%d", n, k), set{{"weeks", []string{strings.ReplaceAll(week, "Sun-Sun", "Sun")}}})
		}
	}
	s.put("night", set{{"weeks", []string{"Mon-Fri 22:00-06:00", "Mon-Sat 18:00-06:00"}}})
	s.put("chamber-loading", set{{"weeks", []string{pick(i, "Mon-Fri 06:00-07:00", "daily 12:00-13:00")}}})
	s.put("weekend", set{{"weeks", []string{"Sat-Sun 06:00-14:00 14:00-06:00"}}})
	return s
}

// people makes the casters' crew and a few others.
func (i *inventor) people() set {
	s := set{{"casters", set{
		{"roster", set{{fmt.Sprintf("shift-%d-0", pick(i, 0, 1, 2, 4, 5)), 6}}},
		{"in-hand", pick(i, "half", "fits", "finish")},
		{"effective", pick(i, "100 %", "85 %", "90 %")},
	}}}
	for n := range 1 + i.IntN(5) {
		name := fmt.Sprint("crew-", n)
		row := i.IntN(len(shifts))
		inHand, heads := pick(i, "half", "fits", "finish", "pause"), 4
		if inHand == "pause" {
			heads = 1 // the order of two works resumed and ended together is not settled
		}
		roster := set{{fmt.Sprintf("shift-%d-0", row), 1 + i.IntN(heads)}}
		if i.often(40) {
			roster.put(fmt.Sprintf("shift-%d-1", row), 1+i.IntN(heads))
		}
		s.put(name, set{{"roster", roster}, {"in-hand", inHand}, {"effective", pick(i, "100 %", "85 %", "90 %")}})
		i.crews = append(i.crews, name)
	}
	return s
}

// crew takes one of the crews that are not casters.
func (i *inventor) crew() string { return pick(i, i.crews...) }

// time is a working time between so many minutes, constant or with a spread.
func (i *inventor) time(from, to int) string {
	middle := fmt.Sprintf("%d s", 60*from+i.IntN(60*(to-from)+1))
	return middle + pick(i, "", " +- 25 %", " +- 10 %")
}

// perWare is a time once or by ware.
func (i *inventor) perWare(from, to int) any {
	if i.often(50) {
		return i.time(from, to)
	}
	var s set
	for _, ware := range i.wares {
		s.put(ware, i.time(from, to))
	}
	return s
}

func (i *inventor) percent(from, to int) string { return fmt.Sprintf("%d %%", from+i.IntN(to-from+1)) }

func (i *inventor) ware() set {
	var all set
	for n, name := range i.wares {
		s := set{
			{"fired-mass", "17 kg"}, {"dry-mass", "18.1 kg"}, {"wet-mass", "22.1 kg"},
			{"per-trolley", 1 + i.IntN(6)},
			{"demould-moisture", pick(i, "uniform(21.3 %, 22.7 %)", "22 %", "uniform(18.5 %, 20.5 %)")},
		}
		if i.often(40) {
			i.planned[name] = true
			s.put("plan", fmt.Sprintf("%d.5 per day", 4+i.IntN(12)))
		}
		if i.often(80) {
			s.put("window", i.window())
		}
		if n > 0 && i.often(30) {
			s.put("body", "fine fireclay")
		}
		s.put("yields", i.yields())
		all.put(name, s)
	}
	return all
}

func (i *inventor) window() set {
	if i.often(25) {
		s := set{{"after", pick(i, "1 h", "150 min")}, {"until", pick(i, "5 h", "8 h")}}
		if i.often(50) {
			s.put("late-loss-after", set{{"0 h", "0 %"}, {"10 h", "40 %"}})
		}
		return s
	}
	return set{
		{"opens", pick(i, "19 %", "20 %")}, {"closes", pick(i, "17 %", "15.5 %")},
		{"refuse-below", pick(i, "12 %", "14 %")}, {"too-dry", pick(i, "scrap", "punch")},
		{"late-loss", set{{"17 %", "0 %"}, {"13 %", "15 %"}, {"12 %", "40 %"}}},
	}
}

func (i *inventor) yields() set {
	s := set{{"casting", i.percent(85, 100)}, {"white", i.percent(85, 100)}, {"glaze", i.percent(90, 100)}}
	s.put("first-fire", set{{"a", i.percent(50, 70)}, {"b", i.percent(0, 10)}, {"refire", i.percent(0, 20)}})
	s.put("refire", set{{"a", i.percent(50, 70)}, {"b", i.percent(0, 10)}, {"refire", i.percent(0, 20)}})
	s.put("test", i.percent(80, 100))
	s.put("breakage", i.percent(0, 5))
	return s
}

func (i *inventor) shop(inspects bool) set {
	s := set{{"temperature", pick(i, "30 degC", "26 degC")}, {"humidity", pick(i, "60 %", "50 %")}, {"drying-rate", pick(i, "1 %/h", "0.7 %/h")}}
	if i.often(50) {
		s.put("covered", "night")
		s.put("cover-factor", i.percent(5, 40))
	}
	if inspects && i.often(40) {
		s.put("trolleys", 4+i.IntN(8))
	}
	return s
}

func (i *inventor) benches() set {
	var all set
	casters := 1
	for n, ware := range i.wares {
		benches := 1 + i.IntN(2)
		if i.planned[ware] {
			benches = 1 // the turns of benches that a plan held up are not settled
		}
		s := set{{"benches", benches}, {"moulds", 3 + i.IntN(6)}, {"ware", ware}, {"crew", "casters"}, {"casters", casters}}
		s.put("fill", fmt.Sprintf("%d min", 5+i.IntN(20)))
		s.put("build", fmt.Sprintf("%d min", 40+i.IntN(60)))
		s.put("drain", fmt.Sprintf("%d min", 5+i.IntN(15)))
		s.put("set", pick(i, fmt.Sprintf("%d min", 30+i.IntN(60)), fmt.Sprintf("%d s", 1800+i.IntN(3600))))
		s.put("demould", pick(i, fmt.Sprintf("%d.5 min", 1+i.IntN(4)), fmt.Sprintf("%d s", 61+i.IntN(200))))
		// Cleans and dry-backs differ, so that no two groups are ready in one
		// instant: whose turn it is then is not settled.
		s.put("clean", fmt.Sprintf("%d min", i.IntN(2)*(15+n)))
		s.put("dry-back", fmt.Sprintf("%d s", pick(i, 10, 3, 1)*3600+61*n))
		s.put("mould-life", "80 casts")
		all.put([]string{"long", "round", "old"}[n], s)
	}
	return all
}

func (i *inventor) finishing() set {
	s := set{{"crew", i.crew()}, {"finish", i.perWare(3, 9)}}
	if i.often(70) {
		var punch set
		for _, ware := range i.wares {
			if i.often(70) {
				punch.put(ware, i.time(2, 6))
			}
		}
		if len(punch) > 0 {
			s.put("punch", punch)
		}
		if i.often(50) {
			s.put("punching-places", 1+i.IntN(2))
		}
	}
	return s
}

func (i *inventor) dryers() set {
	chamber := set{{"kind", "chamber"}, {"chambers", 1 + i.IntN(2)}, {"trolleys", 2 + i.IntN(6)}, {"cycle", pick(i, "43207 s", "79217 s")}}
	if i.often(50) {
		chamber.put("load", "clock")
		chamber.put("at", "chamber-loading")
	} else {
		chamber.put("load", "full")
		chamber.put("latest", pick(i, "4 h", "30 h"))
	}
	floor := set{{"kind", pick(i, "floor", "tunnel")}, {"trolleys", 3 + i.IntN(20)}, {"cycle", pick(i, "30 h", "14 h")}}
	return pick(i, set{{"chamber", chamber}}, set{{"floor", floor}})
}

func (i *inventor) white() set {
	return set{{"crew", i.crew()}, {"time", i.perWare(2, 5)}, {"finds", i.percent(70, 100)}, {"false-alarms", i.percent(0, 5)}}
}

func (i *inventor) glazing() set {
	booth := set{{"kind", "hand"}, {"booths", 1 + i.IntN(3)}, {"crew", i.crew()}, {"time", i.perWare(3, 7)}}
	return set{{"booths", set{{"hand", booth}}}, {"coat-drying", pick(i, "4 h", "90 min")}}
}

// loads is a loading plan by ware.
func (i *inventor) loads(from, to int) set {
	var s set
	for _, ware := range i.wares {
		s.put(ware, from+i.IntN(to-from+1))
	}
	return s
}

func (i *inventor) kilns(refires bool) set {
	var all set
	if i.often(70) {
		all.put("tunnel", i.tunnel())
	} else {
		all.put("first", i.shuttle("first", 8, 16))
	}
	if refires {
		all.put("shuttle", i.shuttle("refire", 2, 5))
	}
	return all
}

func (i *inventor) tunnel() set {
	s := set{{"kind", "tunnel"}, {"inside", 3 + i.IntN(8)}, {"push", pick(i, "60 min", "47 min", "77 min")}, {"load", i.loads(3, 6)}}
	if i.often(50) {
		s.put("placers", i.crew())
		s.put("place", pick(i, "1 min", "2 min"))
		s.put("draw", "1 min")
		s.put("cars-ahead", 2+i.IntN(6))
	}
	if i.often(30) {
		s.put("slow-push", set{{"weekend", "80 min"}})
	}
	return s
}

func (i *inventor) shuttle(fires string, from, to int) set {
	s := set{{"kind", "shuttle"}, {"fires", fires}, {"load", i.loads(from, to)}, {"mix", pick(i, "one-ware", "one-body", "any")}}
	s.put("loading", pick(i, "1 h", "2 h"))
	s.put("firing", "7 h")
	s.put("cooling", "6 h")
	s.put("drawing", pick(i, "1 h", "90 min"))
	if i.often(50) {
		s.put("hours", "shift-0-0")
	}
	if i.often(50) {
		s.put("latest", pick(i, "24 h", "50 h"))
	}
	if i.often(30) {
		s.put("kilns", 2)
	}
	return s
}

func (i *inventor) test() set {
	s := set{{"crew", i.crew()}, {"time", i.perWare(2, 4)}, {"finds", i.percent(80, 100)}}
	if i.often(30) {
		s.put("one-in", 2+i.IntN(3))
	}
	if i.often(30) {
		s.put("ware", slices.Clone(i.wares[:1]))
	}
	return s
}
