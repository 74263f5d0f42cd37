package draft

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A given is a figure as it stands in the file: measured if it was answered,
// else a guess that says so.
type given struct {
	Text  string
	Known bool
}

// String is the figure as written in the file.
func (g given) String() string {
	if g.Known {
		return g.Text
	}
	return g.Text + " from guess"
}

// A sizing is everything the file is made of: what was answered, and what
// follows from it by averages. Minutes are hand minutes for one piece; heads are
// for one shift.
type sizing struct {
	File                      string // to be written
	Name, Kind, Ware, Start   string
	Shuttle, Pressure, Refire bool
	Shifts                    int // of the hand shops, Monday to Friday

	Fired, Dry, Wet                  given
	Casting, White, FirstA, RefireA  given
	RefireShare                      given
	Build, Cycle, DryTime            given
	GlazeTime, PunchTime, FinishTime given
	Demould                          string
	Plan                             string
	Benches, Moulds, BenchCasters    int
	Casters                          int
	Machines, Cavities               int
	Finishers, Inspectors, Sprayers  int
	Placers, Sorters, Patchers       int
	Packers                          int
	PerTrolley, Trolleys, Chambers   int
	Load                             given
	Inside, Kilns, RefireLoad        int
	Push                             given
	Firing, Cooling                  given
	MouldsADay, MouldTarget          int
	Cases, SpareCases                int
}

// Presses are the hours of pressure machines, by shifts of the hand shops.
func (sizing) Presses() []string {
	return []string{1: "Mon-Fri 06:00-14:00", 2: "Mon-Fri 06:00-22:00", 3: `"Mon-Fri 06:00-14:00 14:00-22:00 22:00-06:00"`}
}

// Covered is when ware is covered on working days, by shifts: while no finisher
// is there to see to it.
func (sizing) Covered() []string {
	return []string{1: "Mon-Fri 18:30-06:00, ", 2: "Mon-Fri 22:00-06:00, ", 3: ""}
}

// Roster is a crew with so many heads in every shift; hours are named with a
// prefix. Nights cost more.
func (z *sizing) Roster(prefix string, heads int) string {
	var parts []string
	for _, shift := range []string{"day", "late", "night"}[:z.Shifts] {
		parts = append(parts, fmt.Sprintf("%s%s: %d", prefix, shift, heads))
	}
	text := "roster: {" + strings.Join(parts, ", ") + "}"
	if z.Shifts == 3 {
		text += ", premium: {" + prefix + "night: 25 % from guess}"
	}
	return text
}

// Trade practice behind what is not asked; each is from memory and stands in
// the file as a guess or as a count that the averages give.
const (
	minutesAShift = 414.0 // worked in a shift of 8 h: 8 h less 50 min of breaks, times 0.96
	spare         = 1.12  // heads beyond the averages, for windows and weekends
	mouldsABench  = 30
	placesIdle    = 0.03
	punching      = 5.0 // min, inside the window
	finishing     = 7.0
	inspecting    = 2.5
	sorting       = 4.0
	patching      = 8.0
	packing       = 3.0
	placing       = 2.8 // place and draw
	chamber       = 30  // trolleys
	kilnSpare     = 1.07
	mouldLife     = 80.0 // casts, plaster
	poursADay     = 5.0  // moulds, from one case set
	casePours     = 500.0
	caseLead      = 8.0 // working days to a new case set, off a new block at that
)

// check refuses an answer that cannot be one.
func check(q Question, text string) error {
	switch q.Key {
	case "name":
		return nil
	case "ware":
		if strings.Trim(strings.ToLower(text), "abcdefghijklmnopqrstuvwxyz-") != "" {
			return fmt.Errorf("the ware is one word of letters, got %q", text)
		}
		return nil
	case "losses":
		_, err := shares(text)
		return err
	}
	x, err := number(text, q.Unit)
	switch {
	case err != nil:
		return err
	case q.Key == "shifts" && x != 1 && x != 2 && x != 3:
		return fmt.Errorf("1, 2 or 3 shifts, got %q", text)
	case x <= 0 && q.Key != "refires":
		return fmt.Errorf("it must be above 0, got %q", text)
	case q.Key == "refires" && (x < 0 || x > 50):
		return fmt.Errorf("0 to 50 %%, got %q", text)
	case q.Key == "drying" && x > 22 && q.Usual == "20":
		return fmt.Errorf("chambers are loaded once a day, so 22 h at most, got %q", text)
	case x > 100_000:
		return fmt.Errorf("%q is beyond any works", text)
	}
	return nil
}

// number reads a number, bare or with its unit.
func number(text, unit string) (float64, error) {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), unit))
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%q is no number of %s", text, unit)
	}
	return x, nil
}

// shares reads "6 / 7 / 6".
func shares(text string) ([3]float64, error) {
	var all [3]float64
	parts := strings.Split(strings.ReplaceAll(text, "%", ""), "/")
	if len(parts) != 3 {
		return all, fmt.Errorf("three shares with strokes between them, such as 6 / 7 / 6, got %q", text)
	}
	for i, p := range parts {
		x, err := number(p, "%")
		if err != nil || x < 0 || x > 60 {
			return all, fmt.Errorf("a loss is 0 to 60 %%, got %q", strings.TrimSpace(p))
		}
		all[i] = x / 100
	}
	return all, nil
}

// value is the number of an answer, or of the guess, and its text with the unit.
func (s *Sheet) value(key string) (float64, given) {
	for _, q := range s.Questions() {
		if q.Key == key {
			text, known := s.answers[key]
			if !known {
				text = q.Usual
			}
			x, _ := number(text, q.Unit)
			return x, given{strings.TrimSpace(plainNumber(x) + " " + q.Unit), known}
		}
	}
	panic("draft: no question " + key)
}

// word is an answer that is no number.
func (s *Sheet) word(key string) string {
	if text, ok := s.answers[key]; ok {
		return text
	}
	for _, q := range s.Questions() {
		if q.Key == key {
			return q.Usual
		}
	}
	panic("draft: no question " + key)
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// percent is a share as the file has it.
func percent(x float64, known bool) given {
	return given{plainNumber(math.Round(1000*x)/10) + " %", known}
}

// up is the whole number that is enough.
func up(x float64) int { return int(math.Ceil(float64(x) - 1e-9)) }

// size works the answers out into departments.
func (s *Sheet) size() (*sizing, error) {
	loss, err := shares(s.word("losses"))
	if err != nil {
		return nil, err
	}
	_, told := s.answers["losses"]
	z := &sizing{Name: s.word("name"), Kind: s.Kind, Ware: s.word("ware"), Shuttle: s.shuttle(), Pressure: s.pressure()}
	refires, refireShare := s.value("refires")
	shifts, _ := s.value("shifts")
	z.Shifts, z.Refire, z.RefireShare = int(shifts), refires > 0, refireShare
	first := 1 - loss[2] - float64(refires/100)
	if first < 0.2 {
		return nil, fmt.Errorf("a first fire with %g %% lost and %g %% refired leaves too little", 100*loss[2], refires)
	}
	z.Casting, z.White, z.FirstA, z.RefireA = percent(1-loss[0], told), percent(1-loss[1], told), percent(first, told), given{"80 %", false}
	good, _ := s.value("good")
	tested := good / (first + float64(refires/100*0.8)) // pieces into the first fire a day
	dried := tested / 0.99 / (1 - loss[1])
	cast := dried / (1 - loss[0])
	z.Plan = plainNumber(math.Round(10*cast) / 10)
	s.clay(z, cast, dried, shifts)
	s.fire(z, tested, refires/100, good, shifts)
	return z, nil
}

// clay sizes what comes before the kiln, for so many casts and pieces into the
// dryer on a working day.
func (s *Sheet) clay(z *sizing, cast, dried, shifts float64) {
	mass, fired := s.value("mass")
	z.Fired = fired
	z.Dry, z.Wet = given{plainNumber(math.Round(10.6*mass)/10) + " kg", false}, given{plainNumber(math.Round(13*mass)/10) + " kg", false}
	cycle, text := s.value("cycle")
	_, z.DryTime = s.value("drying")
	spray, glaze := s.value("glazing")
	z.GlazeTime, z.PunchTime, z.FinishTime = glaze, given{"5 min +- 25 %", false}, given{"7 min +- 25 %", false}
	crew := func(minutes float64) int { return max(1, up(minutes*spare/(minutesAShift*shifts))) }
	if z.Pressure {
		z.Cycle, z.Demould, z.Cavities = text, "uniform(18.8 %, 20.2 %)", 4
		z.Machines = up(cast * spare / (float64(z.Cavities) * shifts * 8 * 60 * 0.85 / cycle))
	} else {
		z.Build, z.Demould, z.Moulds = text, "uniform(21.3 %, 22.7 %)", mouldsABench
		z.Benches = up(cast / (mouldsABench * (1 - placesIdle)) * 1.02)
		z.BenchCasters = 2
		z.Casters = z.Benches * z.BenchCasters
		worn := cast / mouldLife
		z.MouldsADay, z.MouldTarget = up(1.3*worn), up(8*worn)+2
		z.Cases = max(2, up(1.3*worn/poursADay))
		z.SpareCases = max(1, up(float64(z.Cases)*poursADay*caseLead/casePours))
	}
	z.Finishers = crew(cast * (punching + finishing))
	if !z.Pressure {
		// Benches give all of a day's ware at once, to be punched in a window of about
		// four hours; presses give it through their shifts.
		z.Finishers = max(z.Finishers, up(cast*punching*spare/(4*60)))
	}
	z.Inspectors, z.Sprayers = crew(dried*inspecting), crew(dried*spray)
	z.PerTrolley = max(1, min(12, int(100/mass)))
	hours, _ := s.value("drying")
	z.Trolleys = up(1.5 * dried / float64(z.PerTrolley) * max(1, (hours+48)/24))
	z.Chambers = up(dried / float64(z.PerTrolley) / chamber * 1.1)
}

// fire sizes kilns and what comes after them, for so many pieces into the first
// fire and so many good ones on a working day.
func (s *Sheet) fire(z *sizing, tested, refires, good, shifts float64) {
	crew := func(minutes float64) int { return max(1, up(minutes*spare/(minutesAShift*shifts))) }
	load, text := s.value("load")
	hours, firing := s.value("firing")
	z.Load = text
	if z.Shuttle {
		z.Firing, z.Cooling = given{plainNumber(math.Round(0.52*hours)) + " h", firing.Known}, given{plainNumber(hours-math.Round(0.52*hours)) + " h", firing.Known}
		z.Kilns = up(tested * (1 + refires) * 5 / (load * 4.5)) // a load a day, less one a week for the weekend
	} else {
		cars := 5 * tested / load * kilnSpare
		push := 7 * 24 * 60 / cars
		z.Inside = max(2, int(math.Round(hours*60/push)))
		z.Push = given{plainNumber(math.Round(hours*60/float64(z.Inside)*10)/10) + " min", firing.Known}
		z.Kilns, z.RefireLoad = 1, max(12, 4*up(refires*tested*5/6/4)) // a refire shuttle of about six loads a week
	}
	z.Placers = max(1, up(5*tested*placing*spare/(7*24*60*0.8)))
	z.Sorters, z.Patchers, z.Packers = crew(tested*(1+refires)*sorting), crew(tested*refires*patching), crew(good*packing)
}
