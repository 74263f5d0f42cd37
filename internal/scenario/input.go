package scenario

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// An Input is a value of a works that may be otherwise, and the two between
// which it lies with a probability of 80 %: it is as likely to be below Low as
// above High, one chance in ten each.
type Input struct {
	Path      string // keys, such as "kilns.tunnel.push"
	Low, High string // as written in a file, or what evidence leaves open
	Rests     string // why it is thought to lie there

	draws [2]uint32 // of evidence: the draws that lie at the two ends; 0: the texts hold
}

// A Side is where an input is taken to lie.
type Side int8

// The sides of an input.
const (
	AtLow    Side = -1
	AsStated Side = 0
	AtHigh   Side = 1
)

// inputDraws is how many draws are ranked to find the tenth and the ninetieth
// percentile of what evidence leaves open: the 20th and the 180th of 199.
const inputDraws = 199

// Inputs returns the values of the works that rest on evidence, with the ranges
// that it leaves open, in the order of the sections.
func (f *File) Inputs() []Input {
	var all []Input
	for _, e := range f.evidence {
		type draw struct {
			k     uint32
			value float64
		}
		var draws []draw
		for k := uint32(1); k <= inputDraws; k++ {
			r := newRedrawing()
			r.rests(e, random.New(0, k))
			if r.works(f.Works); r.err == nil {
				draws = append(draws, draw{k, r.values[e.Path]})
			}
		}
		if len(draws) < inputDraws/2 {
			continue // evidence so thin that most laws it allows cannot be had says nothing of a range
		}
		slices.SortStableFunc(draws, func(a, b draw) int { return cmp.Compare(a.value, b.value) })
		low, high := draws[len(draws)/10], draws[len(draws)-1-len(draws)/10]
		all = append(all, Input{
			Path: e.Path, Rests: e.String(), draws: [2]uint32{low.k, high.k},
			Low: f.spoken(e, low.value), High: f.spoken(e, high.value),
		})
	}
	return all
}

// GuessedInputs returns what nobody measured, with ranges of so much of each
// value to either side; a share is moved by so much of itself or of its
// complement, whichever is less, as 93 % good is as much a guess as 7 % lost.
// Values that are no plain number, such as uniform(a, b), are left out.
func (f *File) GuessedInputs(spread float64) []Input {
	var all []Input
	for _, o := range f.Unmeasured() {
		text, _ := strings.CutSuffix(o.Text, " from "+guessed)
		number, rest, _ := strings.Cut(text, " ")
		x, err := strconv.ParseFloat(number, 64)
		if err != nil || x == 0 {
			continue
		}
		step := spread * x
		switch o.field.typ {
		case shareType:
			step = spread * min(x, 100-x)
		case reflect.TypeFor[quantity.Moisture](), reflect.TypeFor[quantity.Temperature]():
			step = spread / 4 * x // where it lies on its scale is known to a few points, whatever else is not
		}
		in := Input{Path: o.Path, Rests: "nothing"}
		if in.Low, in.High = beside(x-step, rest), beside(x+step, rest); o.field.typ.Kind() == reflect.Int {
			step = max(1, math.Round(step))
			in.Low, in.High = beside(max(1, x-step), rest), beside(x+step, rest)
		}
		all = append(all, in)
	}
	return all
}

// beside is a number with three digits and what stood behind it.
func beside(x float64, rest string) string {
	return strings.TrimSpace(strconv.FormatFloat(x, 'g', 3, 64) + " " + rest)
}

// spoken prints a drawn share, or the mean of a drawn law.
func (f *File) spoken(e Evidence, value float64) string {
	if e.Kind == Counted {
		return fmt.Sprintf("%.1f %%", 100*value)
	}
	i := slices.IndexFunc(f.origins, func(o Origin) bool { return o.Path == e.Path })
	switch f.origins[i].field.unit {
	case "time":
		return "mean " + quantity.FormatTime(int64(des.Time(value+0.5)/des.Second*des.Second))
	case "moisture":
		return fmt.Sprintf("mean %.2f %%", value)
	}
	return fmt.Sprintf("mean %.1f casts", value)
}

// Leaning returns the scenario with inputs moved to one of their sides each, the
// others left as they are; sides go with inputs. Values given as text are laid
// over the file as a changing file would be. The faults say why no works can be
// had, at the places of the file where that is seen.
func (f *File) Leaning(inputs []Input, sides []Side) (*File, []Fault) {
	over := &value{kind: set, place: place{file: &source{path: "input", from: "overlay"}, line: 1, col: 1}}
	drawn := newRedrawing()
	for i, in := range inputs {
		if sides[i] == AsStated {
			continue
		}
		end, written := 0, in.Low
		if sides[i] == AtHigh {
			end, written = 1, in.High
		}
		if in.draws[end] == 0 {
			over = joined(over, nested(over.place, in.Path, written))
			continue
		}
		k := slices.IndexFunc(f.evidence, func(e Evidence) bool { return e.Path == in.Path })
		drawn.rests(f.evidence[k], random.New(0, in.draws[end]))
	}
	moved := *f
	var faults []Fault
	if len(over.entries) > 0 {
		var m merger
		root := m.merge(f.root, over, "")
		moved.Works = nil
		if faults = append(m.faults, moved.fill(root, f.beside)...); refuses(faults) {
			return nil, faults
		}
		moved.Works.Run.Length = f.Works.Run.Length // which may have been set otherwise since the file was read
	}
	for _, path := range sortedKeys(drawn.evidence) {
		moved.Hash = derived(moved.Hash, fmt.Sprintf("%s as of draw %d", path, drawn.sources[path].Replication()))
	}
	works := drawn.works(moved.Works)
	if drawn.err != nil {
		return nil, append(faults, Fault{File: f.Path, What: drawn.err.Error(), Hint: "give this value a range of its own", Code: Refused})
	}
	moved.Works = &works
	return &moved, faults
}

// overlaid is a tree with inputs as they are written at their sides.
func overlaid(inputs []Input, sides []Side) *value {
	over := &value{kind: set, place: place{file: &source{path: "input", from: "overlay"}, line: 1, col: 1}}
	for i, in := range inputs {
		switch sides[i] {
		case AtLow:
			over = joined(over, nested(over.place, in.Path, in.Low))
		case AtHigh:
			over = joined(over, nested(over.place, in.Path, in.High))
		}
	}
	return over
}

// nested is a tree with one value, at a path of keys.
func nested(at place, path, written string) *value {
	v := &value{place: at, kind: text, text: written}
	keys := strings.Split(path, ".")
	for i := len(keys) - 1; i >= 0; i-- {
		v = &value{place: at, kind: set, entries: []entry{{keys[i], at, v}}}
	}
	return v
}
