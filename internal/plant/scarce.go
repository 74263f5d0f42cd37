package plant

import "slices"

// scarce is a thing that ware takes up and gives back, and of which there are
// only so many: trolleys, the floor of the casting shop, the cars of a kiln. Its
// mean use tells little, since a stock that is used up at times may never hold
// anything back; so what is measured is the time in which ware waits for one.
type scarce struct {
	r     *run
	clock stateClock
	short int // its state
}

// Scarce states.
const (
	enoughFree = iota
	waitedFor
)

var scarceStateNames = []string{"enough", "waited for"}

// newScarce registers a thing of which there are only so many.
func (r *run) newScarce(name string) *scarce {
	s := &scarce{r: r, clock: newStateClock(len(scarceStateNames), 1)}
	r.addResource(name, "scarce", scarceStateNames, 1, &s.clock)
	return s
}

// tell notes whether ware waits for one now. A thing without a limit is nil.
func (s *scarce) tell(waits bool) {
	if s == nil {
		return
	}
	now := enoughFree
	if waits {
		now = waitedFor
	}
	s.clock.move(s.r.sim.Now(), s.short, now, 1)
	s.short = now
}

// Names of scarce things as resources.
const (
	trolleysName = "trolleys"
	floorName    = "casting floor"
)

// carsOf names the cars of a kiln.
func carsOf(kiln string) string { return "cars of " + kiln }

// takers lists, by section, the resources that take ware out of it: what piles
// up there waits for one of them.
func (w *Works) takers() (by [sections][]string) {
	add := func(s section, names ...string) { by[s] = append(by[s], names...) }
	for k := range w.Benches {
		add(inMould, w.Benches[k].Name, w.Benches[k].Crew)
	}
	if w.Finishing != nil {
		add(atFinishing, w.Finishing.Crew)
	}
	add(atFinishing, trolleysName)
	for k := range w.Dryers {
		// What finds no trolley stays in finishing, and trolleys wait for dryers.
		add(atFinishing, w.Dryers[k].Name)
		add(atDryers, w.Dryers[k].Name)
	}
	if w.White != nil {
		add(atDryers, w.White.Crew)
		add(atWhite, w.White.Crew)
	}
	if w.Glazing != nil {
		for k := range w.Glazing.Booths {
			add(atGlazing, w.Glazing.Booths[k].Name, w.Glazing.Booths[k].Crew)
		}
	}
	for k := range w.Kilns {
		in := &w.Kilns[k]
		if in.Fires != "refire" {
			add(inBuffer, in.Name, in.Placers, carsOf(in.Name))
		}
		if in.Fires != "first" {
			add(inRefire, in.Name, in.Placers, carsOf(in.Name))
		}
		add(inKiln, in.Placers)
		add(atSorting, in.Placers)
	}
	if w.Sorting != nil {
		add(atSorting, w.Sorting.Crew)
	}
	if w.Refire != nil {
		add(inRefire, w.Refire.Crew)
	}
	for k := range w.Tests {
		add(atTest, w.Tests[k].Crew)
	}
	if w.Packing != nil {
		add(atPacking, w.Packing.Crew)
	}
	return by
}

// handsOf is the crew without which a bench stands still.
func (w *Works) handsOf(bench string) string {
	for k := range w.Benches {
		if w.Benches[k].Name == bench {
			return w.Benches[k].Crew
		}
	}
	return ""
}

// sectionsBefore lists the sections that a resource takes ware out of, in the
// order of the flow. A crew may serve several.
func (w *Works) sectionsBefore(resource string) (all []string) {
	for s, names := range w.takers() {
		if slices.Contains(names, resource) {
			all = append(all, sectionNames[s])
		}
	}
	return all
}
