package teeth_test

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"potbank/internal/teeth"
)

var (
	seed   = flag.Uint64("seed", 1, "with POTBANK_NIGHTLY: draws the mutants")
	sample = flag.String("mutants", "des=60,stats=60,plant=80", "with POTBANK_NIGHTLY: how many mutants of which packages")
)

// known reads the survivors that somebody has read, with what they are. Each is a
// line with its name and a line, indented, with the reason why no test can notice.
func known(t *testing.T) map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "survivors.txt"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	why := map[string]string{}
	name := ""
	for lines := bufio.NewScanner(file); lines.Scan(); {
		switch line := lines.Text(); {
		case line == "" || line[0] == '#':
		case line[0] != '\t':
			name = line
			why[name] = ""
		default:
			why[name] += strings.TrimSpace(line)
		}
	}
	return why
}

// TestSurvivorsFit keeps the list of known survivors from rotting: each is still a
// mutant, and has its reason.
func TestSurvivorsFit(t *testing.T) {
	all := map[string]bool{}
	for _, pkg := range []string{"des", "stats", "plant"} {
		mutants, err := teeth.Mutants(absolute(t), "internal/"+pkg, *seed)
		if err != nil || len(mutants) < 100 {
			t.Fatalf("%d mutants of %s, %v", len(mutants), pkg, err)
		}
		for i := range mutants {
			all[mutants[i].Name()] = true
		}
	}
	for name, why := range known(t) {
		if !all[name] || why == "" {
			t.Errorf("no mutant, or without a reason: %s", name)
		}
	}
}

// TestMutants draws mutants and runs the tests of their package over each. Those
// that survive must be known. The sample grows by one for each mutant that does
// not compile or lies where no test comes by; these are counted apart.
// Outside the nightly tier it draws none.
func TestMutants(t *testing.T) {
	text := *sample
	if !nightly {
		text = "des=0"
	}
	why := known(t)
	for part := range strings.SplitSeq(text, ",") {
		name, size, _ := strings.Cut(part, "=")
		n := 0
		if _, err := fmt.Sscan(size, &n); err != nil {
			t.Fatalf("%s: %v", part, err)
		}
		if n == 0 {
			continue
		}
		t.Run(name, func(t *testing.T) { runMutants(t, "internal/"+name, n, why) })
	}
}

// runMutants tries n mutants of a package.
func runMutants(t *testing.T, pkg string, n int, why map[string]string) {
	at := absolute(t)
	all, err := teeth.Mutants(at, pkg, *seed)
	if err != nil {
		t.Fatal(err)
	}
	base, err := teeth.NewBaseline(context.Background(), at, pkg)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d mutants in all; the tests take %.1f s", len(all), base.Took.Seconds())
	s := &score{t: t, why: why, wanted: n}
	var wait sync.WaitGroup
	for range max(1, *jobs) {
		wait.Go(func() {
			for m := s.next(&all, base); m != nil; m = s.next(&all, base) {
				v, err := tryMutant(at, pkg, m, base)
				s.book(m, v, err)
			}
		})
	}
	wait.Wait()
	t.Logf("%d tried: %d caught, %d of them by timeout; %d survived and are known, %d are not; besides %d do not compile, %d lie where no test comes by",
		s.tried, s.caught, s.timeouts, s.equal, s.tried-s.caught-s.equal, s.notBuilt, s.unreached)
}

// tryMutant runs the tests over one mutant.
func tryMutant(at, pkg string, m *teeth.Mutant, base *teeth.Baseline) (teeth.Verdict, error) {
	src, err := os.ReadFile(filepath.Join(at, filepath.FromSlash(m.File)))
	if err != nil {
		return teeth.Verdict{}, err
	}
	return teeth.Trial{
		Root: at, File: m.File, Changed: m.Apply(src), Tests: []string{pkg},
		Limit: base.Limit(), Slow: map[string]string{pkg: base.Slow},
	}.Run(context.Background())
}

// score counts what became of the mutants of a package.
type score struct {
	sync.Mutex
	t                     *testing.T
	why                   map[string]string
	wanted, inHand, tried int // mutants to try, begun, and done
	caught, timeouts      int
	equal                 int // survivors that are known
	notBuilt, unreached   int
}

// next takes the next mutant to be tried off the list; nil when there are enough.
func (s *score) next(all *[]teeth.Mutant, base *teeth.Baseline) *teeth.Mutant {
	s.Lock()
	defer s.Unlock()
	for len(*all) > 0 && s.inHand < s.wanted {
		m := &(*all)[0]
		*all = (*all)[1:]
		if base.Reaches(m) {
			s.inHand++
			return m
		}
		s.unreached++
		fmt.Printf("unreached  %s:%d %s\n", m.File, m.Line, m.Name())
	}
	return nil
}

// book counts one mutant.
func (s *score) book(m *teeth.Mutant, v teeth.Verdict, err error) {
	s.Lock()
	defer s.Unlock()
	if v.Outcome == teeth.NotBuilt {
		s.notBuilt++
		s.inHand-- // another in its place
		return
	}
	s.tried++
	why := s.why[m.Name()]
	switch {
	case err != nil:
		s.t.Errorf("%s: %v", m.Name(), err)
	case v.IsCaught():
		s.caught++
		if v.Outcome == teeth.TimedOut {
			s.timeouts++
		}
	case v.Outcome == teeth.Survived && why != "":
		s.equal++
	default:
		s.t.Errorf("%s:%d %s: %s", m.File, m.Line, v.Outcome, m.Name())
	}
	fmt.Printf("%-18s %6.1f s  %s  [%s]\n", v.Outcome, v.Took.Seconds(), m.Name(), v.Test)
}
