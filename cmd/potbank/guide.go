package main

import (
	"strings"

	"github.com/spf13/cobra"
)

// A worked example is a line that shows what a command is good for. A test
// carries out those that are quick, and holds the flags and files of the others.
type worked struct {
	what, line string
	how        pace
}

// pace tells what to expect of an example.
type pace int

const (
	soon    pace = iota // some seconds
	minutes             // and the help says so
	open                // needs somebody: ends when it is told to, or hangs on another machine or a shell
)

// A guide leads to the commands by what a user comes for.
type guide struct {
	id, title string
	commands  []guided
}

// guided is a command of a guide. The examples of all commands can be carried out
// one after the other in a folder that has the folder scenarios in it.
type guided struct {
	name     string
	examples []worked
}

// guides are in the order of a start page: most users come to decide.
var guides = []guide{
	{"decide", "To decide:", []guided{
		{"compare", []worked{
			{"which shift pattern, with what would turn the answer", "potbank compare scenarios/questions/shifts.yaml", minutes},
			{"is a works with seven dryers better than today's, and how surely", "potbank compare scenarios/plant-a.yaml scenarios/plant-a-seven-dryers.yaml", minutes},
			{"by cost; two runs of a few weeks are a look, not an answer", "potbank compare scenarios/plant-a.yaml scenarios/plant-a-seven-dryers.yaml --by cost.per_good --replications 2 --weeks 6", soon},
		}},
		{"size", []worked{
			{"which kiln for a fifth more", "potbank size scenarios/questions/kiln.yaml", minutes},
			{"what an option costs to build, without a question file", `potbank size scenarios/plant-a.yaml scenarios/plant-a-46-cars.yaml --demand 7200 --capital "plant-a-46-cars = 900000 EUR"`, minutes},
		}},
		{"promise", []worked{
			{"when the 10,000 will be done", "potbank promise scenarios/questions/ten-thousand.yaml", minutes},
			{"an order that is not in the file", "potbank promise scenarios/plant-a.yaml --ware pan --quantity 10000 --due 2027-04-02", minutes},
		}},
		{"master", []worked{
			{"what a bad case costs, and which check is worth its price", "potbank master scenarios/questions/bad-master.yaml", minutes},
			{"a check at first-off of every second mould", `potbank master scenarios/plant-a.yaml --ware pan --gate "first-off 50 % today"`, minutes},
		}},
		{"tornado", []worked{
			{"which inputs the output hangs on", "potbank tornado scenarios/plant-a.yaml", minutes},
			{"one input only", `potbank tornado scenarios/small-works.yaml --input "kilns.shuttle.firing = 10 h .. 12 h" --replications 2 --weeks 8`, soon},
		}},
	}},
	{"look", "To look at a works:", []guided{
		{"check", []worked{
			{"all faults of a file, and what limits the works by hand", "potbank check scenarios/plant-a.yaml", soon},
		}},
		{"run", []worked{
			{"the whole picture", "potbank run scenarios/small-works.yaml --replications 4", soon},
			{"with charts, on one page that prints", "potbank run scenarios/small-works.yaml --replications 2 --html works.html", soon},
			{"as figures for another program, and as tables", "potbank run scenarios/small-works.yaml --replications 2 --json --xlsx works.xlsx", soon},
			{"until every headline figure is known within 1 %", `potbank run scenarios/plant-a.yaml --precision "1 %"`, minutes},
		}},
		{"serve", []worked{
			{"the local page, until Ctrl-C", "potbank serve scenarios", open},
			{"with a ledger: what was asked before is there at once", "potbank serve scenarios --ledger works.ledger", open},
		}},
		{"trace", []worked{
			{"where the thousandth piece was, and when", "potbank trace scenarios/small-works.yaml --piece 1000", soon},
		}},
		{"log", []worked{
			{"what happened to every piece, for process mining", "potbank log scenarios/small-works.yaml --out works.ocel.json --weeks 4", soon},
			{"the second week as a table", "potbank log scenarios/small-works.yaml --out week.csv --from 2 --to 2", soon},
		}},
		{"measures", []worked{
			{"every figure with its formula", "potbank measures", soon},
			{"those of one works", "potbank measures scenarios/small-works.yaml", soon},
		}},
		{"proof", []worked{
			{"one topic only", "potbank proof --only J", soon},
			{"every figure with its source", "potbank proof --figures", minutes},
		}},
		{"bench", []worked{
			{"how long the study would take on other machines", "potbank bench scenarios/questions/kiln.yaml --cores 64,256", minutes},
		}},
	}},
	{"write", "To write a works down:", []guided{
		{"new", []worked{
			{"a dozen questions", "potbank new works.yaml --ask", open},
			{"answers as flags; what is left out is a guess, and marked", `potbank new works.yaml --kind bench-shuttle --ware "closet" --good 600`, soon},
		}},
		{"diff", []worked{
			{"in words", "potbank diff scenarios/plant-a.yaml scenarios/plant-a-46-cars.yaml", soon},
			{"and what comes of it", "potbank diff scenarios/plant-a.yaml scenarios/plant-a-46-cars.yaml --run", minutes},
		}},
		{"keys", []worked{
			{"every key that a kiln can have", "potbank keys kilns", soon},
		}},
		{"schema", []worked{
			{"for completion in an editor", "potbank schema", soon},
			{"of question files", "potbank schema --question", soon},
		}},
	}},
	{"keep", "To keep and share runs:", []guided{
		{"runs", []worked{
			{"keep what is simulated; run again it is there at once", "potbank run scenarios/small-works.yaml --replications 2 --ledger works.ledger", soon},
			{"what a ledger holds", "potbank runs works.ledger", soon},
			{"is it whole", "potbank runs verify works.ledger", soon},
		}},
		{"work", []worked{
			{"take runs of a study that another machine shares", "potbank work --join nats://desk:4222 --token token", open},
		}},
	}},
}

// others are commands that no guide leads to.
var others = []guided{
	{"version", []worked{
		{"the licences of what it has in it", "potbank version --licences", soon},
	}},
	{"completion", []worked{
		{"in this shell only", "source <(potbank completion bash)", open},
		{"in every shell from now on", "potbank completion bash > ~/.local/share/bash-completion/completions/potbank", open},
	}},
}

// guideTo groups the commands of the start page and gives each its examples.
func guideTo(root *cobra.Command) {
	for _, g := range guides {
		root.AddGroup(&cobra.Group{ID: g.id, Title: g.title})
		for _, to := range g.commands {
			commandOf(root, to.name).GroupID = g.id
			to.show(root)
		}
	}
	for _, to := range others {
		to.show(root)
	}
}

// show puts the examples into the help of their command.
func (g guided) show(root *cobra.Command) {
	var b strings.Builder
	for _, e := range g.examples {
		what := e.what
		if e.how == minutes {
			what += " (takes minutes)"
		}
		b.WriteString("  # " + what + "\n  " + e.line + "\n")
	}
	commandOf(root, g.name).Example = strings.TrimRight(b.String(), "\n")
}

// commandOf is the command of a name. A guide to one that does not exist is a fault of
// the program.
func commandOf(root *cobra.Command, name string) *cobra.Command {
	for _, c := range root.Commands() {
		if c.Name() == name {
			return c
		}
	}
	panic("no command " + name)
}
