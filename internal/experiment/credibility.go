package experiment

import (
	"cmp"
	"fmt"
	"slices"
)

// Credit is one of the eight factors by which NASA-STD-7009 (2008) judges how
// far the result of a model may be trusted, with its level from 0, nothing
// known, to 4, and why it is no higher (levels from memory).
type Credit struct {
	Factor string
	Level  int
	Why    string
	Yours  bool // only whoever asks can know more
}

// Credibility judges the answer by what is in it, the lowest factor first. What
// only people at the works can know stands at what the program can vouch for,
// and says so.
func (a *Answer) Credibility() []Credit {
	all := append([]Credit{a.validation(), a.pedigree(), a.robustness(), a.uncertainty(), a.verification()}, yours()...)
	slices.SortStableFunc(all, func(x, y Credit) int { return cmp.Compare(x.Level, y.Level) })
	return all
}

// yours are the factors of which only people at the works can know.
func yours() []Credit {
	return []Credit{
		{"use history", 0, "Only you can say: has a forecast of this model been held against what then happened?", true},
		{"people qualification", 0, "Only you can say: who wrote the scenario, and who checked it?", true},
		{"management of model and data", 2, "Scenario by its hash, seed and version are in the answer: whoever has the file gets it again. Whether the file and its changes are kept and reviewed only you can say.", true},
	}
}

// A Basis is what an answer that weighs several works rests on, where there is no
// Answer of one of them.
type Basis struct {
	Scenario
	Laws   []Law // checked; none where a broken one ends the study
	Runs   int   // behind each figure
	Fresh  bool  // the choice was put to runs that did not make it
	Turned bool  // it was looked at what would turn the answer
	Drawn  bool  // each run has a works of its own, as far as the evidence leaves it open
}

// Credibility judges an answer that weighs several works; see that of Answer.
func (b Basis) Credibility() []Credit {
	a := Answer{Unmeasured: b.Unmeasured, Audit: b.Laws, Replications: b.Runs}
	verified := a.verification()
	if b.Laws == nil {
		verified.Level, verified.Why = 3, "A run that breaks an exact law ends the study. The program is held to published values by potbank proof; nobody else has reviewed this works."
	}
	robust := Credit{Factor: "results robustness", Why: "Not asked: potbank tornado says which inputs the answer hangs on."}
	if b.Turned {
		robust.Level, robust.Why = 2, "It was looked at what would turn the answer, one input at a time."
	}
	sure := a.uncertainty()
	if sure.Level == 3 {
		sure.Why = "Every figure has its interval of chance. What the inputs leave open is not in it."
		if b.Drawn {
			sure.Why = "Every figure has its interval, and the works is drawn anew for each run as far as the evidence leaves it open."
		}
		if b.Fresh {
			sure.Why += " The choice was put to runs that did not make it."
		}
	}
	all := append([]Credit{a.validation(), a.pedigree(), robust, sure, verified}, yours()...)
	slices.SortStableFunc(all, func(x, y Credit) int { return cmp.Compare(x.Level, y.Level) })
	return all
}

// verification: is the model built right?
func (a *Answer) verification() Credit {
	c := Credit{Factor: "verification", Level: 3}
	var checked int64
	for _, law := range a.Audit {
		checked += law.Checked
		if !law.Held() {
			c.Level, c.Why = 0, fmt.Sprintf("The law %q was broken: the figures are not to be used.", law.Law)
			return c
		}
	}
	if checked == 0 {
		c.Level, c.Why = 1, "No exact law was checked in this run."
		return c
	}
	c.Why = "Every exact law held in every replication. The program is held to published values by potbank proof; nobody else has reviewed this works."
	return c
}

// validation: is it the right model? Only the works itself can tell.
func (a *Answer) validation() Credit {
	c := Credit{Factor: "validation", Yours: true}
	if len(a.Hand) == 0 {
		c.Why = "Nothing was held against it. Run the past quarter and compare it with your records."
		return c
	}
	apart := 0
	for _, h := range a.Hand {
		if h.Explained != "" {
			apart++
		}
	}
	c.Level = 1
	c.Why = fmt.Sprintf("Held against an estimate by hand only: of %d figures %d differ, and it is said why. Run the past quarter and compare it with your records: only you can.", len(a.Hand), apart)
	return c
}

// pedigree: where do the inputs come from?
func (a *Answer) pedigree() Credit {
	c := Credit{Factor: "input pedigree", Level: 1}
	switch n := len(a.Unmeasured); {
	case n > 0:
		c.Why = fmt.Sprintf("%d values are defaults that nobody measured at this works.", n)
	case a.Doubt == nil:
		c.Why = "All values are stated, but not what they rest on: write counts, as in 92 % from 460 of 500."
	default:
		c.Level = 3
	}
	if a.Doubt != nil {
		c.Level = max(c.Level, 2)
		c.Why += fmt.Sprintf(" %d inputs carry the counts or records that they rest on.", len(a.Doubt.Evidence))
	}
	return c
}

// uncertainty: how far may the result be off by chance, and by what is not
// known?
func (a *Answer) uncertainty() Credit {
	c := Credit{Factor: "results uncertainty"}
	independent := a.Replications
	if a.LongRun != nil {
		independent = a.LongRun.Stretches
	}
	switch {
	case independent < 2:
		c.Level, c.Why = 1, "One run: chance is in it and cannot be told."
	case a.Doubt != nil:
		c.Level, c.Why = 4, "Every figure has its interval, and chance is told apart from what the inputs leave open."
	default:
		c.Level, c.Why = 3, "Every figure has its interval of chance. What the inputs leave open is not in it: give counts in the scenario, or ask with --doubt."
	}
	if a.Precision.Wanted > 0 && !a.Precision.Reached {
		c.Level, c.Why = min(c.Level, 2), "The precision asked for was not reached. "+c.Why
	}
	return c
}

// robustness: does the result hang on few inputs, and are they known?
func (a *Answer) robustness() Credit {
	c := Credit{Factor: "results robustness", Why: "Not asked: potbank tornado says which inputs the answer hangs on."}
	if a.Doubt != nil {
		c.Level = 2
		c.Why = fmt.Sprintf("%d works drawn from the evidence show what the answer hangs on, of the inputs with evidence only; potbank tornado moves the others.", a.Doubt.Draws)
	}
	return c
}

// LeftOut says what the model does not hold. It is the same for every works:
// what could change a decision and nobody would look for in a table.
func LeftOut() []string {
	return []string{
		"Slip house and glaze mill: slip and glaze are there whenever they are asked for, always the same.",
		"Gas, power, water and air: nothing fails outside the machines that the scenario names.",
		"People beyond their hours, pace and absence: no learning, tiredness within a shift, or helping out between crews that do not share a name.",
		"Ways: trolleys and cars move in no time, and nobody is in the way of another.",
		"Quality that depends on other things than the scenario says: no drift of a glaze, no bad week of clay.",
		"Selling: what is packed is sold at its price, and nothing waits for a customer.",
		"Planning day by day: the rules of the scenario hold all the time; nobody steps in when they do badly.",
		"Gas, fire, carbon monoxide, dust, heat and lifting: nothing here says that anything may be done.",
	}
}
