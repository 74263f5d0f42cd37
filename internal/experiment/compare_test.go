package experiment

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// rival is a works of few weeks whose output is normal about a mean, with luck
// that it shares with other rivals and luck of its own.
type rival struct {
	*toyWorks
	id         uint32  // own luck
	mean       float64 // pieces a week
	shared, sd float64 // spread of a replication's mean by shared and by own luck
}

const rivalWeeks = 2

func newRival(id uint32, mean float64) *rival {
	r := &rival{toyWorks: toy(), id: id, mean: mean, shared: 30, sd: 10}
	r.weeks = rivalWeeks
	return r
}

// Simulate draws one figure for the replication and writes it into each week.
func (r *rival) Simulate(o plant.Options) (*plant.Result, error) {
	if r.pause != nil {
		r.pause(r.number(o.Source))
	}
	if len(r.fail) > 0 {
		if err := r.fail[r.number(o.Source)]; err != nil {
			return nil, err
		}
	}
	luck := func(id uint32) float64 { return stats.NormalQuantile(o.Source.Uniform(toyLuck, uint64(id), 9)) }
	made := r.mean + r.shared*luck(0) + r.sd*luck(r.id)
	result := &plant.Result{Audit: r.laws, Events: 1}
	for range o.Weeks {
		row := make([]int64, counters)
		row[packed], row[standing], row[cars], row[energy] = int64(math.Round(1000*made)), 3000, 150, int64(math.Round(1000*(500+2*made)))
		result.Week = append(result.Week, row)
	}
	return result, nil
}

// gauges are those of the toy, of which only some are asked for here; pieces
// are counted in thousandths, so that rounding is no matter.
func (r *rival) gauges() []gauge {
	return []gauge{
		{&plant.Measure{Name: "packed.total", Unit: "pieces/wk", Headline: true}, func(x *plant.Result, from, to int) (float64, float64) {
			return total(x, packed, from, to) / 1000, float64(to - from)
		}},
		{&plant.Measure{Name: "energy.per_good", Unit: "MJ/piece"}, func(x *plant.Result, from, to int) (float64, float64) {
			return total(x, energy, from, to), total(x, packed, from, to)
		}},
		{&plant.Measure{Name: "load.kiln", Unit: "%"}, func(x *plant.Result, from, to int) (float64, float64) {
			return total(x, cars, from, to), 2 * float64(to-from)
		}},
	}
}

// rivals makes options of works with these means.
func rivals(means ...float64) []Option {
	var options []Option
	for i, mean := range means {
		options = append(options, Option{string(rune('a' + i)), newRival(uint32(i+1), mean)})
	}
	return options
}

func ownGauges(r Runner) []gauge { return r.(*rival).gauges() }

// contend compares and wants no error.
func contend(t *testing.T, options []Option, c Criterion, s Settings) *Comparison {
	t.Helper()
	r, err := compare(t.Context(), options, c, s, ownGauges)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// open are settings that go on until the choice is made.
func open(seed uint64) Settings {
	return Settings{Replications: 10, Most: 2000, Precision: 1, Seed: seed, WarmUp: 0}
}

// A method with a guarantee must find the best in 95 of 100 studies or more
// when it leads by just the margin, and all others are equal: the least
// favourable case. The bound is 95 % less what chance takes from the share found
// with a probability of 0.1 % (normal approximation of the binomial law).
func TestTheBestIsChosenAsOftenAsPromised(t *testing.T) {
	const margin = 5.0
	for _, test := range []struct {
		method  Method
		shared  float64
		studies int
	}{
		{KimNelson, 30, 10 * selectionStudies},
		{Rinott, 5, selectionStudies}, // its constant takes longer than its runs
	} {
		right, runs := 0, 0
		for seed := range uint64(test.studies) {
			options := rivals(1000, 1000, 1000+margin, 1000)
			for _, o := range options {
				o.Runner.(*rival).shared = test.shared
			}
			c, err := newContest(options, Criterion{Method: test.method, Matters: Margin{Absolute: margin}}, open(seed), ownGauges)
			if err != nil {
				t.Fatal(err)
			}
			if err := c.run(t.Context()); err != nil {
				t.Fatal(err)
			}
			choice := c.outcome(c.contrast("packed.total").Values)
			if !choice.Guaranteed() {
				t.Fatalf("%s, seed %d: not decided: %+v", test.method, seed, choice)
			}
			if choice.Best == 2 {
				right++
			}
			runs += c.taken()
		}
		n := float64(test.studies)
		if share, bound := float64(right)/n, 0.95-3.09*math.Sqrt(0.95*0.05/n); share < bound {
			t.Errorf("%s: the best was chosen in %.3f of the studies, want %.3f at least", test.method, share, bound)
		}
		t.Logf("%s: %.3f right, %.1f replications a study", test.method, float64(right)/n, float64(runs)/n)
		if runs <= 40*test.studies {
			t.Errorf("%s: %d replications in %d studies: the first stages alone", test.method, runs, test.studies)
		}
	}
}

// What is clearly behind is given up early; the first option runs along even so.
func TestOptionsBehindAreGivenUp(t *testing.T) {
	r := contend(t, rivals(900, 1000, 1003, 850), Criterion{Matters: Margin{Absolute: 3}}, open(3))
	n := runsOf(r)
	if r.Choice.Best != 2 || !slices.Equal(r.Choice.InRace, []int{2}) {
		t.Errorf("chosen %d of %v", r.Choice.Best, r.Choice.InRace)
	}
	if n[0] != n[2] || n[1] != n[2] || n[3] != 10 || n[2] <= 10 {
		t.Errorf("replications %v; want the far one to stop at 10 and the first to run along", n)
	}
}

func runsOf(r *Comparison) []int {
	var n []int
	for _, o := range r.Options {
		n = append(n, o.Answer.Replications)
	}
	return n
}

// Of two equal options either may be chosen, and the choice ends all the same.
func TestEqualOptionsAreNoEndlessRace(t *testing.T) {
	r := contend(t, rivals(1000, 1000), Criterion{Matters: Margin{Absolute: 4}}, open(1))
	if !r.Choice.Decided || r.Measures[0].Differences[1].Verdict == Better {
		t.Errorf("choice %+v, verdict %q", r.Choice, r.Measures[0].Differences[1].Verdict)
	}
}

func TestLimitWithoutChoice(t *testing.T) {
	s := open(1)
	s.Most = 12
	r := contend(t, rivals(1000, 1001), Criterion{Matters: Margin{Absolute: 0.5}}, s)
	if r.Choice.Decided || r.Choice.Guaranteed() || r.Choice.Best < 0 || len(r.Choice.InRace) != 2 || !slices.Equal(runsOf(r), []int{12, 12}) {
		t.Errorf("choice %+v after %v replications", r.Choice, runsOf(r))
	}
	s.Precision = 0
	if r := contend(t, rivals(1000, 1001), Criterion{Matters: Margin{Absolute: 0.5}}, s); !slices.Equal(runsOf(r), []int{10, 10}) {
		t.Errorf("%v replications, want exactly 10", runsOf(r))
	}
}

func TestRinottSaysWhatItWouldNeed(t *testing.T) {
	s := open(1)
	s.Most = 20
	r := contend(t, rivals(1000, 1001), Criterion{Method: Rinott, Matters: Margin{Absolute: 0.5}}, s)
	if r.Choice.Decided || r.Choice.Required[0] < 1000 || !slices.Equal(runsOf(r), []int{20, 20}) {
		t.Errorf("choice %+v after %v replications", r.Choice, runsOf(r))
	}
	if d := r.Measures[0].Differences[1]; !math.IsNaN(d.Correlation) || !d.HasInterval() {
		t.Errorf("difference %+v on independent luck; want an interval and no correlation", d)
	}
}

// The budget is kept, and goes to the options that are hard to tell apart.
func TestBudgetGoesWhereItTells(t *testing.T) {
	const budget = 120
	r := contend(t, rivals(1000, 1004, 1006, 940), Criterion{Method: OCBA, Budget: budget}, open(2))
	n := runsOf(r)
	if sum := n[0] + n[1] + n[2] + n[3]; sum > budget || sum < budget-1 {
		t.Errorf("%v replications, %d in all; want the budget of %d, but for half a pair", n, sum, budget)
	}
	if n[3] != 10 || n[1] <= 10 || n[2] <= 10 || n[0] != slices.Max(n) {
		t.Errorf("%v replications: want the far option to get none beyond the first stage, and the first the most", n)
	}
	if !r.Choice.Decided || r.Choice.Guaranteed() || r.Choice.Best != 2 {
		t.Errorf("choice %+v", r.Choice)
	}
}

// Any number of workers gives the same comparison, whatever the order in which
// replications end.
func TestWorkersDoNotChangeTheComparison(t *testing.T) {
	for _, c := range []Criterion{
		{Matters: Margin{Absolute: 3}, By: []string{"packed.total", "load.kiln"}},
		{Method: Rinott, Matters: Margin{Absolute: 30}},
		{Method: OCBA, Budget: 61},
	} {
		var want *Comparison
		for _, workers := range []int{1, 2, 3, 8} {
			options := rivals(1000, 1004, 960)
			for _, o := range options {
				w := o.Runner.(*rival)
				w.pause = func(number uint64) {
					time.Sleep(time.Duration(number*7%5*uint64(w.id)) * 100 * time.Microsecond)
				}
			}
			s := open(7)
			s.Workers = workers
			got := contend(t, options, c, s)
			if want == nil {
				want = got
			} else if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
				t.Errorf("%s, %d workers give another comparison (-one +more):\n%s", c.Method, workers, diff)
			}
		}
	}
}

// When it is stopped, a comparison holds of each option its first replications,
// without a gap.
func TestStoppedComparisonKeepsThePrefix(t *testing.T) {
	for _, kept := range []int{2, 9, 35} {
		ctx, cancel := context.WithCancel(t.Context())
		s := open(5)
		s.Workers = 4
		s.Progress = func(p Progress) {
			if p.Replications == kept {
				cancel()
			}
		}
		r, err := compare(ctx, rivals(1000, 1001), Criterion{Matters: Margin{Absolute: 0.1}}, s, ownGauges)
		cancel()
		if !errors.Is(err, context.Canceled) || r == nil || r.Partial == "" || r.Choice.Decided {
			t.Fatalf("kept %d: %+v, error %v", kept, r, err)
		}
		if r.Warnings[0] != r.Partial {
			t.Errorf("the first warning is %q", r.Warnings[0])
		}
		for i, o := range r.Options {
			n := o.Answer.Replications
			whole := contend(t, rivals(1000, 1001), Criterion{}, Settings{Replications: n, Seed: 5})
			if diff := cmp.Diff(whole.Options[i].Answer.Measures, o.Answer.Measures, cmpopts.EquateNaNs()); diff != "" {
				t.Errorf("%s is not replications 1..%d:\n%s", o.Name, n, diff)
			}
		}
	}
}

func TestStoppedBeforeAnything(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if r, err := compare(ctx, rivals(1, 2), Criterion{}, open(1), ownGauges); r != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("comparison %v, error %v", r, err)
	}
}

func TestFailureNamesTheOption(t *testing.T) {
	stuck := errors.New("dryer waits for kiln")
	for _, workers := range []int{1, 4} {
		options := rivals(1000, 1010, 1020)
		options[1].Runner.(*rival).fail = map[uint64]error{4: stuck}
		s := open(1)
		s.Workers = workers
		r, err := compare(t.Context(), options, Criterion{}, s, ownGauges)
		var failed *OptionError
		if !errors.As(err, &failed) || !errors.Is(err, stuck) || err.Error() != "b: replication 4: dryer waits for kiln" {
			t.Fatalf("%d workers: error %v", workers, err)
		}
		if want := []int{4, 3, 3}; !slices.Equal(runsOf(r), want) || !strings.Contains(r.Partial, "replication 4 of b") {
			t.Errorf("%d workers: %v replications, want %v; labelled %q", workers, runsOf(r), want, r.Partial)
		}
	}
}

// What is shared falls out of the difference: of two normal figures with spread
// 30 in common and 10 each the correlation is 0.9, and the variance factor 0.1.
func TestSharedLuckFallsOut(t *testing.T) {
	r := contend(t, rivals(1000, 1010), Criterion{}, Settings{Replications: 400, Seed: 1})
	d := r.Measures[0].Differences[1]
	if math.Abs(d.Correlation-0.9) > 0.03 || math.Abs(d.VarianceFactor-0.1) > 0.03 {
		t.Errorf("correlation %.3f and factor %.3f, want about 0.9 and 0.1", d.Correlation, d.VarianceFactor)
	}
	if !d.Contains(10) || d.HalfWidth() > 2 || d.Verdict != Better && d.Verdict != Alike {
		t.Errorf("difference %+v", d)
	}
}

// TestWhoSharesLuck compares a works with itself: on shared luck nothing
// differs, and Rinott's procedure, whose guarantee wants independent samples, must
// not see the same figures twice.
func TestWhoSharesLuck(t *testing.T) {
	for _, method := range []Method{KimNelson, Rinott} {
		options := rivals(1000, 1000, 1000)
		for _, o := range options {
			o.Runner.(*rival).id = 1
		}
		s := Settings{Replications: 10, Most: 10, Seed: 3}
		r := contend(t, options, Criterion{Method: method, Matters: Margin{Absolute: 5}}, s)
		v := r.Measures[0].Values
		if alike := v[0].Value == v[1].Value && v[1].Value == v[2].Value; alike != (method == KimNelson) {
			t.Errorf("%s: a works compared with itself gives %v, %v and %v", method, v[0].Value, v[1].Value, v[2].Value)
		}
	}
}

// Differences are those of the values shown, and their intervals hold together.
func TestDifferencesAgreeWithValues(t *testing.T) {
	r := contend(t, rivals(1000, 1010, 990), Criterion{By: []string{"energy.per_good"}}, Settings{Replications: 10, Seed: 1})
	if len(r.Measures) != 2 || r.Measures[0].Name != "energy.per_good" || r.Measures[0].Way != Less {
		t.Fatalf("measures %+v", r.Measures)
	}
	for _, m := range r.Measures {
		for i := range r.Options[1:] {
			d := m.Differences[i+1]
			if want := m.Values[i+1].Value - m.Values[0].Value; math.Abs(d.Value-want) > 1e-9*math.Abs(m.Values[0].Value) {
				t.Errorf("%s of option %d differs by %v, shown are values %v apart", m.Name, i+1, d.Value, want)
			}
			if d.Level != 0.975 {
				t.Errorf("a difference at level %v; two together at 0.95 want 0.975", d.Level)
			}
		}
	}
}

func TestVerdicts(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		reason    string
		low, high float64
		way       Direction
		want      Verdict
	}{
		{"above 0, more is better", 2, 30, More, Better},
		{"above 0, less is better", 2, 30, Less, Worse},
		{"below 0, less is better", -30, -2, Less, Better},
		{"above 0, neither", 2, 30, Neither, Higher},
		{"below 0, neither", -30, -2, Neither, Lower},
		{"not 0, but within the margin", 2, 9, More, Alike},
		{"0, and within the margin", -9, 9, More, Alike},
		{"0, and more than the margin", -9, 11, More, NoEvidence},
		{"no interval", nan, nan, More, Unjudged},
	}
	for _, test := range tests {
		e := stats.Estimate{Value: (test.low + test.high) / 2, Low: test.low, High: test.high}
		if got := verdict(e, test.way, 10); got != test.want {
			t.Errorf("%s: %q, want %q", test.reason, got, test.want)
		}
	}
}

// Probabilities of being best add up, and agree with the choice.
func TestStandingsAddUp(t *testing.T) {
	r := contend(t, rivals(1000, 1004, 960, 1003), Criterion{Matters: Margin{Absolute: 3}}, open(1))
	var sum float64
	for _, s := range r.Standings {
		sum += s.Best.Value
	}
	best := r.Standings[r.Choice.Best]
	if math.Abs(sum-1) > 1e-12 || best.Best.Value < 0.5 || r.Standings[2].Best.Value > 0.01 {
		t.Errorf("standings %+v, chosen %d", r.Standings, r.Choice.Best)
	}
	if r.Standings[2].Loss.Value < 30 || best.Loss.Value > 1 {
		t.Errorf("regret %v of the worst, %v of the chosen", r.Standings[2].Loss.Value, best.Loss.Value)
	}
}

// The same weeks are compared: the longest warm-up of all, and the length of
// the shortest.
func TestSameWeeksAreCompared(t *testing.T) {
	quick, slow := toy(), toy()
	slow.ramp, slow.weeks = 12, 60
	slow.works.Start = "2028-01-03"
	options := []Option{{"quick", quick}, {"slow", slow}}
	r, err := compare(t.Context(), options, Criterion{}, Settings{Replications: 10, Seed: 1, WarmUp: Auto},
		func(r Runner) []gauge { return r.(*toyWorks).gauges() })
	if err != nil {
		t.Fatal(err)
	}
	if r.Weeks != 52 || r.WarmUp.Weeks < 11 || !strings.Contains(r.WarmUp.Method, "for slow") {
		t.Errorf("%d weeks, warm-up %d by %q", r.Weeks, r.WarmUp.Weeks, r.WarmUp.Method)
	}
	for _, o := range r.Options {
		if o.Answer.WarmUp.Weeks != r.WarmUp.Weeks || o.Answer.Weeks != 52 {
			t.Errorf("%s: %d weeks from week %d", o.Name, o.Answer.Weeks, o.Answer.WarmUp.Weeks)
		}
	}
	said := strings.Join(r.Warnings, "\n")
	for _, want := range []string{"quick is 52 weeks long and slow 60", "slow on 2028-01-03"} {
		if !strings.Contains(said, want) {
			t.Errorf("no warning says %q; there are\n%s", want, said)
		}
	}
}

// Without chance there is an order, but no choice.
func TestComparisonWithoutChance(t *testing.T) {
	s := open(1)
	s.Fixed = true
	for reason, s := range map[string]Settings{"fixed": s, "one replication": {Replications: 1}} {
		r := contend(t, rivals(1000, 1100), Criterion{}, s)
		if r.Choice.Decided || r.Choice.Best != 1 || r.Standings != nil || r.Measures[0].Differences[1].Verdict != Unjudged || len(r.Warnings) == 0 {
			t.Errorf("%s: choice %+v, standings %v, warnings %q", reason, r.Choice, r.Standings, r.Warnings)
		}
	}
}

func TestBrokenLawIsSaidFirst(t *testing.T) {
	options := rivals(1000, 1010)
	options[1].Runner.(*rival).laws = []plant.Law{{Name: "pieces", Checked: 5, Broken: 1, First: "1 short"}}
	r := contend(t, options, Criterion{}, Settings{Replications: 2})
	if len(r.Warnings) < 2 || !strings.HasPrefix(r.Warnings[0], "b: a law of the works was broken 2 times") || !strings.HasPrefix(r.Warnings[1], "Only 2 replications") {
		t.Errorf("warnings %q", r.Warnings)
	}
}

func TestCriteriaThatMakeNoSense(t *testing.T) {
	dollars := newRival(2, 1000)
	tests := []struct {
		reason  string
		options []Option
		c       Criterion
		s       Settings
		says    string
	}{
		{"nothing to compare with", rivals(1000), Criterion{}, open(1), "at least 2"},
		{"no such measure", rivals(1, 2), Criterion{By: []string{"packed.total", "cost.per_good"}}, open(1), "a has no measure cost.per_good"},
		{"neither good nor bad", rivals(1, 2), Criterion{By: []string{"load.kiln"}}, open(1), "whether less or more"},
		{"no such method", rivals(1, 2), Criterion{Method: "dice"}, open(1), `no method "dice"`},
		{"a budget below the first stage", rivals(1, 2), Criterion{Method: OCBA, Budget: 19}, open(1), "takes 20"},
		{"a budget without its method", rivals(1, 2), Criterion{Budget: 50}, open(1), "method ocba"},
		{"no replications", rivals(1, 2), Criterion{}, Settings{}, "at least 1"},
	}
	for _, test := range tests {
		if r, err := compare(t.Context(), test.options, test.c, test.s, ownGauges); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, error %v; want %q", test.reason, r, err, test.says)
		}
	}
	boxes := func(r Runner) []gauge {
		gauges := r.(*rival).gauges()
		if r == Runner(dollars) {
			gauges[0].Measure = &plant.Measure{Name: "packed.total", Unit: "boxes/wk"}
		}
		return gauges
	}
	_, err := compare(t.Context(), []Option{rivals(1000)[0], {"other", dollars}}, Criterion{}, open(1), boxes)
	if err == nil || !strings.Contains(err.Error(), "pieces/wk for a and in boxes/wk for other") {
		t.Errorf("other units: error %v", err)
	}
}

// A measure of which a headline lacks in one option is left out, not refused.
func TestMeasuresThatAllOptionsHave(t *testing.T) {
	fewer := func(r Runner) []gauge {
		gauges := r.(*rival).gauges()
		if r.(*rival).id == 2 {
			return gauges[:1]
		}
		return gauges
	}
	r, err := compare(t.Context(), rivals(1000, 1010), Criterion{}, Settings{Replications: 3}, fewer)
	if err != nil || len(r.Measures) != 1 {
		t.Errorf("measures %+v, error %v", r.Measures, err)
	}
}

func TestNothingToTakeAShareOf(t *testing.T) {
	r := contend(t, rivals(0, 10), Criterion{}, Settings{Replications: 10, Fixed: false, Most: 20, Precision: 1})
	if r.Choice.Margin > 1 {
		t.Errorf("margin %v of a value near 0", r.Choice.Margin)
	}
	options := rivals(0, 10)
	options[0].Runner.(*rival).shared, options[0].Runner.(*rival).sd = 0, 0
	r = contend(t, options, Criterion{}, open(1))
	if r.Choice.Decided || !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, "Say what difference matters") }) {
		t.Errorf("choice %+v, warnings %q", r.Choice, r.Warnings)
	}
}

func TestDirections(t *testing.T) {
	tests := map[string]Direction{
		"packed.total": More, "packed.pan": More, "yield.total": More, "contribution": More, "cost.reclaim": More,
		"cost.per_good": Less, "wip.total": Less, "lead_time.p95": Less, "lost.white.crack": Less, "refires.total": Less,
		"window.late": Less, "energy.per_good": Less, "co2.per_good": Less, "fuel.week": Less, "firings.per_good": Less,
		"cast.total": Neither, "load.tunnel": Neither, "state.tunnel.full": Neither, "kiln.tunnel.full": Neither, "slip.poured": Neither, "seconds.pan": Neither,
	}
	for name, want := range tests {
		if got := DirectionOf(name); got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	// Every beginning in the list is that of a measure that exists.
	for _, d := range directions {
		if !slices.ContainsFunc(plant.MeasureCatalogue(), func(m *plant.Measure) bool {
			return strings.HasPrefix(m.Name, d.begins) || d.begins == "cost.reclaim" && m.Name == "cost.<line>"
		}) {
			t.Errorf("no measure begins with %s", d.begins)
		}
	}
}

// Options on independent luck never share a replication.
func TestBlocksOfLuckDoNotMeet(t *testing.T) {
	if random.New(1, 1) == random.New(1, 1+luckBlock) {
		t.Error("two blocks share their draws")
	}
	const mostReplications, mostOptions = 1_000_000, 50
	if luckBlock <= mostReplications || uint64(luckBlock)*mostOptions+mostReplications > math.MaxUint32 {
		t.Errorf("blocks of %d do not hold %d replications of %d options", luckBlock, mostReplications, mostOptions)
	}
}
