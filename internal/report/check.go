package report

import (
	"fmt"

	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// CheckDocument lays out what can be said of a works without a run: capacity
// and load by department, the one that limits, and every value that nobody
// measured.
func CheckDocument(s experiment.Scenario, hand *plant.Hand, unmeasured []experiment.Assumption) Document {
	d := Document{
		Title: s.Name,
		Lead:  []string{fmt.Sprintf("%s (%s), reckoned by hand from rates, before any run. Queues, shift ends, windows and chance are not in these figures.", s.Path, shortHash(s.Hash))},
	}
	d.add(
		Part{Heading: "What limits the works by hand", Text: sentences(hand.Binding)},
		Departments(hand.Departments),
		handValues(hand.Values),
		allUnmeasured(unmeasured),
		caution(),
	)
	return d
}

// sentences makes paragraphs of the texts that say something.
func sentences(texts ...string) []string {
	var some []string
	for _, text := range texts {
		if text != "" {
			some = append(some, text)
		}
	}
	return some
}

// handValues shows the measures reckoned by hand, and how, so that they can be
// reckoned again on paper.
func handValues(values []plant.HandValue) Part {
	t := &Table{Columns: []Column{{Head: "Measure", Text: true}, {Head: "By hand"}, {Head: "Unit", Text: true}, {Head: "How", Text: true, Wide: 52}}}
	for _, v := range values {
		t.add(v.Name, plain(v.Value), v.Unit, v.How)
	}
	return Part{Heading: "By hand", Table: t}
}

// hashShown is how much of the hash of a scenario is shown: enough to tell two
// files apart, short enough to compare by eye.
const hashShown = 12

// shortHash is the beginning of a hash.
func shortHash(hash string) string { return hash[:min(len(hash), hashShown)] }
