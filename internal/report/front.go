package report

// Front is what a first page says before any part: for whoever reads one page
// and decides. A document without one is fronted by its title and lead.
type Front struct {
	About   string      // what was asked about; empty: the title of the document
	Answer  string      // one sentence
	Doubt   string      // how sure it is, one or two sentences
	Figures []KeyFigure // at most three
	Trust   []Credit    // lowest first
	Notes   []Part      // what a document that is printed elsewhere has no part for: audit, values nobody measured
	Leaves  []string    // what the model leaves out
	Source  Source
}

// KeyFigure is one of the figures that matter.
type KeyFigure struct {
	Name, Value, Unit string
	Note              string // its interval in words
}

// Credit is one factor of credibility with its level, and why it is no higher.
type Credit struct {
	Factor string
	Level  int // 0 to 4
	Why    string
}

// Source is what is needed to get the same answer again.
type Source struct {
	File, Hash string
	Seed       uint64
	Runs       string
}

// Pips shows the level as filled and empty marks.
func (c Credit) Pips() string {
	const full, empty = "●●●●", "○○○○"
	n := len("●") * min(4, max(0, c.Level))
	return full[:n] + empty[n:]
}
