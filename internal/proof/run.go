package proof

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// A Report is the outcome of a proof.
type Report struct {
	Laws   []Check // the exact laws, over the runs of the example scenarios
	Checks []Check // the published values, in the order of their ids
	// Runs is how many replications of examples were held to the laws, and
	// Equalities how many equalities were checked in them.
	Runs       int
	Equalities int64
}

// Held counts the checks and laws that held, and those that apply.
func (r *Report) Held() (held, of int) {
	for _, list := range [][]Check{r.Laws, r.Checks} {
		for i := range list {
			if list[i].Applies() {
				of++
				if list[i].Held() {
					held++
				}
			}
		}
	}
	return held, of
}

// Settings say what to prove, and how.
type Settings struct {
	Only    []string // ids; none: everything
	Workers int      // cases run at once; the report does not depend on it
	// Progress is told, from one goroutine at a time, how many of the cases are
	// done; nil: nobody is.
	Progress func(done, of int)
}

// A method is how one row is run, or why it is not.
type method struct {
	id   string
	path string // what it is run through
	run  func(t *trial)
	not  string // the reason
}

// laws is the id that stands for all exact laws in Settings.Only.
const laws = "laws"

// IDs lists what Settings.Only may name.
func IDs() []string {
	ids := []string{laws}
	for _, m := range methods() {
		ids = append(ids, m.id)
	}
	return ids
}

// methods lists how every row is run, topic by topic.
func methods() []method {
	return slices.Concat(queueing, factory, statistics, drawing, sampling, reliability, clay, heat, calendars, quality, plants)
}

// Run runs the proof. It returns an error if the context ends first or a
// published list is damaged; what does not hold is in the report.
func Run(ctx context.Context, s Settings) (*Report, error) {
	rows, err := published()
	if err != nil {
		return nil, err
	}
	how := map[string]method{}
	for _, m := range methods() {
		how[m.id] = m
	}
	wants := func(id string) bool { return len(s.Only) == 0 || slices.Contains(s.Only, id) }
	rows = slices.DeleteFunc(rows, func(p Published) bool { return !wants(p.ID) })
	r := &Report{Checks: make([]Check, len(rows))}
	var tasks []func()
	var runs []audited
	if wants(laws) {
		runs = make([]audited, len(examples()))
		for i, name := range examples() {
			tasks = append(tasks, func() { runs[i] = audit(name) })
		}
	}
	for i, row := range rows {
		tasks = append(tasks, func() { r.Checks[i] = conduct(row, how[row.ID]) })
	}
	s.each(ctx, tasks)
	r.keepLaws(runs)
	return r, ctx.Err()
}

// each runs the tasks on the workers, in order; it begins no more of them when
// the context has ended.
func (s *Settings) each(ctx context.Context, tasks []func()) {
	var wait sync.WaitGroup
	var lock sync.Mutex
	next, done := 0, 0
	take := func() (task func()) {
		lock.Lock()
		defer lock.Unlock()
		if next == len(tasks) || ctx.Err() != nil {
			return nil
		}
		next++
		return tasks[next-1]
	}
	for range max(1, s.Workers) {
		wait.Go(func() {
			for task := take(); task != nil; task = take() {
				task()
				lock.Lock()
				if done++; s.Progress != nil {
					s.Progress(done, len(tasks))
				}
				lock.Unlock()
			}
		})
	}
	wait.Wait()
}

// conduct runs one row. A model that fails is a figure that did not hold: the
// table is printed all the same.
func conduct(row Published, m method) (c Check) {
	c = Check{Published: row, Path: m.path, Reason: m.not}
	if !c.Applies() {
		return c
	}
	t := &trial{id: row.ID}
	defer func() {
		if fault := recover(); fault != nil {
			t.report(Figure{Name: "run", Want: "an end", Got: fmt.Sprint("failed: ", fault)})
		}
		c.Figures, c.Note = t.figures, t.note
	}()
	m.run(t)
	return c
}

// Choose resolves ids as a user gives them: in either case, with the letter of a
// topic for all of its ids. No words mean everything. The error names the word
// that is none of these.
func Choose(words []string) ([]string, error) {
	var ids []string
	for _, word := range words {
		found := false
		for _, id := range IDs() {
			if strings.EqualFold(word, id) || len(word) == 1 && id != laws && strings.EqualFold(word, id[:1]) {
				ids, found = append(ids, id), true
			}
		}
		if !found {
			return nil, fmt.Errorf("there is no check %q; hint: give ids such as A01, a letter from A to K, or laws", word)
		}
	}
	return ids, nil
}
