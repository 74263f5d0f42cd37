/*
Potbank simulates a sanitaryware works, from the filling of a mould to the
packed piece, and answers with figures that carry their own doubt.

Usage:

	potbank run FILE            simulate the works and print the answer
	potbank serve [FOLDER]      open the local page: works, questions, runs, floor
	potbank new FILE            write a first scenario from a dozen answers
	potbank check FILE          find every fault of the file, and reckon by hand
	potbank compare FILE [OPTION...]
	                            say which of several works is best, and how sure that is
	potbank diff A B            say in words how two scenarios differ, and what comes of it
	potbank tornado FILE        say which inputs the answer hangs on most
	potbank size FILE [OPTION...]
	                            say which kiln to build for a demand, and what would turn the answer
	potbank master FILE         say what a bad master costs by where it is caught
	potbank promise FILE        say when an order will be done, and what would bring it forward
	potbank bench FILE          measure what a works or a question takes of the machine, and
	                            project time, memory, disk and cost
	potbank trace FILE --piece N
	                            tell the story of one piece, minute by minute
	potbank runs LEDGER         list what a ledger holds; resume, verify, forget, export
	potbank work --join URL     work for a study that another machine shares
	potbank log FILE --out LOG  write what happened to every piece as an event log
	potbank measures [FILE]     define every measure, with its formula
	potbank keys                explain every key of a scenario file
	potbank schema              print the JSON Schema of a scenario file
	potbank proof               hold the program to published values and exact laws
	potbank version             print the version; with --licences those of what it has in it
	potbank completion SHELL    print a completion script

FILE is a scenario: a works in the trade's words, as text with units.
Start with "potbank check": it names the department that limits the works
before anything is simulated.

# Flags of run

	--replications N   exactly N replications, or at least N with --precision
	--precision P      replicate until every headline measure is known within P, e.g. "1 %"
	--seed S           seed of every draw; the same seed gives the same answer
	--workers W        replications simulated at once; the answer does not depend on it
	--weeks N          simulated weeks of one replication
	--doubt N          works drawn from what counts and records in the scenario leave open,
	                   to tell what is not known from luck; 0: none
	--fixed            randomness off: every time and yield at its mean
	--one-long-run     one run as long as all replications together, cut into stretches of
	                   weeks that stand in for them
	--longest TIME     refuse a study that may take longer (default 24h; 0: none)
	--longest-run TIME
	                   end a replication that takes longer (default 10m; 0: none)
	--most-memory SIZE refuse a study that may take more, e.g. "8 GB" (default three quarters
	                   of the machine's)
	--ledger FILE      keep every replication in FILE, and take from there what is there
	--share ADDR       hand out replications to machines that join at HOST:PORT or by the URL of
	                   a broker; with --ledger. --workers are those of this machine, 0: none
	--token FILE       what those who share must know
	--cert FILE        certificate of this machine, which then speaks TLS only
	--key FILE         private key of the certificate
	--ca FILE          certificate by which a broker is known
	--json             one JSON document instead of tables
	--html FILE        the answer with charts besides, as one file that opens offline
	                   and prints; every command that simulates a works and answers has it
	--csv FOLDER       the answer besides as CSV files, one a table; these commands have it too
	--xlsx FILE        the answer besides as one Excel workbook, with live totals and charts
	--force            write over files that --csv and --xlsx find there

What a flag does not say is taken from the scenario.

# Flags of compare

	--by MEASURE       what decides (default packed.total); further ones are compared too
	--least            the least of it is best (default: as is known of the measure)
	--greatest         the greatest of it is best
	--matters AMOUNT   smallest difference that matters: "25 pieces/wk", "0.20 EUR", or a
	                   share of FILE's value (default "1 %")
	--method METHOD    kn: one replication at a time until the best is known (default);
	                   rinott: two stages; ocba: the best use of a budget
	--budget N         with ocba: replications of all options together
	--most N           replications of one option at which to stop without a choice

FILE is a scenario; or a question, which names its options, what decides and what must
hold, such as scenarios/questions/shifts.yaml. Of a question --seed, --replications,
--most, --weeks and --workers can be changed.

An OPTION is a scenario, or a change file whose base is FILE. The flags --seed,
--workers, --weeks, --fixed and --json are those of run; --replications N makes
exactly N of each option, or at least N with --most.

# Flags of diff

	--run              simulate both on the same luck and compare the results too

--replications N makes exactly N of each; the other flags are those of run.

# Flags of tornado

	--by MEASURE       what is moved (default: packed.total, or what the answer to the
	                   question hangs on: the lead of its best option over the next, the
	                   days to the end of its order, the gain of its best change of watch)
	--input RANGE      a value and where it may lie, e.g. "kilns.tunnel.push = 21 min .. 24 min"
	--guesses[=SHARE]  move what nobody measured too, by a share of each value (20 %)

FILE is a scenario or a question; the other flags are those of run, --replications
being of every works.

# Flags of master

	--ware WARE        whose tooling is at fault; for a scenario, as are the next nine
	--node NODE        where the fault is born: model, block, case (default), mould, punch
	--kind KIND        what is wrong: size (default), hole, waterway, weak wall, surface, warp
	--date DATE        when it is born (default: four weeks after the start)
	--trace LEVEL      what is marked on a piece: none, day, bench, mould, case (default), piece
	--gate GATE        a place, the share inspected there, and today if it is in use:
	                   "white 10 %", "test 2 % today"; as often as there are gates
	--yearly N         such faults a year (default 1)
	--each MONEY       cost of inspecting one piece (default 0.30, a guess)
	--return MONEY     cost of one piece that comes back (default 190, a guess)
	--margin MONEY     price less variable cost of a good piece (default: from the ware's price)

FILE is a question with a section master, or a scenario. The other flags are those of
run; --replications N makes exactly N, each without the fault and with it for every gate.

# Flags of promise

	--order NAME       the order: one of the file's, or a name for the one in the flags
	--ware WARE        ware ordered
	--quantity N       good pieces ordered
	--start DATE       from when ware is cast for it (default: the file's start)
	--due DATE         date asked for
	--priority N       1 goes before 2 in every queue, 3 is last (default 2)
	--packed N         good pieces packed for it already
	--service P        probability with which a date is promised (default 95 %)
	--run-in TIME      simulated before the start, where the file has no opening state
	--pairs N          pairs of runs behind each lever, cause and other order

FILE is a question with a section promise, or a scenario and these flags.
--replications is the runs behind the date, 300 if left out; --seed, --workers and what
is written besides the answer are those of run.

# Flags of bench

	--repeats N        measurements at each number of workers (default 3)
	--cores LIST       cores of other machines to project the study to (default 16,64,256)
	--price AMOUNT     what an hour of one core costs, e.g. "0.04 EUR/h"

FILE is a scenario or a question, and the study that of the command that answers it.
--workers is the most that are tried at once; --replications, --weeks, --seed, --fixed
and --json are those of run.

# Flags of log

	--out LOG          file to write: .json is OCEL 2.0, .xes is XES, .csv one event a line
	--format F         ocel, xes or csv, whatever the extension
	--replication N    which replication of the seed (default 1)
	--from WEEK        first week that is written (default 1)
	--to WEEK          last week that is written (default: the last of the run)

The flags --seed, --weeks and --fixed are those of run; --force writes over a file that
is there. The log is written as a whole or not at all.

# Flags of new

	--ask              put the questions one by one; an empty answer leaves a guess
	--kind KIND        bench-shuttle, bench-tunnel, pressure-tunnel or fireclay
	--force            write over a file that is there

Each of the dozen answers is a flag too: --name, --ware, --good, --mass, --cycle,
--drying, --glazing, --firing, --load, --losses, --refires and --shifts.

# Flags of serve

	--port N           port on the loopback address (default: any that is free)
	--ledger FILE      keep every replication in FILE, and list the studies that it holds
	--share ADDR, --token FILE, --cert FILE, --key FILE, --ca FILE, --workers W
	                   for every study of the page, as with run
	--log              say every refused request on standard error

# Flags of size

	--demand PIECES    good pieces wanted a week: 7200, or by ware pan=2880,basin=1700
	--period TIME      time over which demand must be met (default 4 wk)
	--service P        probability with which it must be met (default 95 %)
	--interest P       interest on capital, a year (default 8 %)
	--year N           weeks worked in a year (default 50)
	--worth AMOUNT     what a good piece that is wanted brings; pieces short are charged with
	                   it (default: with the works' own cost)
	--matters AMOUNT   smallest difference in yearly cost that matters (default 0.2 % of FILE's)
	--capital O=AMOUNT what option O costs to build: "plant-a-46-cars = 900000 EUR"
	--upkeep O=AMOUNT  its fixed cost a year that is in no other line
	--residual O=AMOUNT
	                   what is left of it at the end of its life
	--life O=TIME      its life (default 15 yr)
	--most N           replications of one option at which to stop without a choice

FILE is a question with a size section, which has keys for all of these but --most; or
a scenario, and each OPTION another or a change file. --replications N are those of the
first stage, and of the check on fresh luck; the other flags are those of run.

# Flags of work

	--join URL         where the study is shared: nats://HOST:PORT, or tls:// with --cert there
	--workers W        replications simulated at once (default: all cores)
	--idle TIME        end when there was nothing to do for so long, e.g. 10m
	--longest-run TIME as with run
	--token FILE, --ca FILE
	                   as with --share

# Flags of proof

	--only LIST        ids such as A01, letters of topics, or laws, with commas between
	--figures          every figure with its source instead of the first of each check
	--workers W        checks run at once; the result does not depend on it
	--json             one JSON document instead of tables

# Output

The answer goes to standard output, everything else to standard error. When a
command fails there is nothing on standard output, except for figures labelled
as partial (exit 3 and 130).

Before a study runs, a few weeks of it are timed. One that takes more than a minute is
told so, with what it consists of; one that may go over a limit, or whose ledger would
not find twice its room on the disk, is refused.

While it runs, progress is shown on a terminal, or as a line every ten seconds
elsewhere. Ctrl-C ends the study and prints what it has, labelled; a second
Ctrl-C quits at once.

Faults are printed one a line as FILE:LINE:COLUMN: error: WHAT; hint: WHAT TO
DO, so that an editor can jump to them.

# Exit status

	0    done
	1    failed for another reason
	3    done in part: a replication failed, or a check of the proof; labelled in the output
	4    the scenario is refused
	5    wrong command, flag or path
	6    over a limit
	10   the ledger is missing, 11 in use, 12 damaged or foreign, 13 cannot be written
	70   internal fault; a file is named that tells more, to report
	130  cancelled; what was found is printed, labelled
*/
package main

import (
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/ledger"
	"potbank/internal/scenario"
	"potbank/internal/share"
	"potbank/internal/web"
)

func main() {
	interrupts := make(chan os.Signal, 2)
	signal.Notify(interrupts, os.Interrupt, syscall.SIGTERM)
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr, environment{
		interrupts: interrupts,
		quit:       os.Exit,
		now:        time.Now,
	}))
}

// environment is what a program has of the world besides its arguments and
// streams. A test brings its own.
type environment struct {
	interrupts <-chan os.Signal
	quit       func(code int) // ends the program at once
	now        func() time.Time
	watch      func(experiment.Progress) // told of every progress instead of the terminal; nil: the terminal
	faces      func(web.Answer)          // given the answer in every form besides the printed one; nil: nobody
}

// program is one run of potbank.
type program struct {
	args     []string
	in       io.Reader
	out, err io.Writer
	store    *ledger.Store    // nil: the command keeps nothing
	desk     *share.Desk      // nil: replications are run here
	opened   func() error     // opens store and desk, once; nil: the command keeps nothing
	keeper   *keeper          // that does so; nil likewise
	limits   effort.Limits    // zero: the command has none
	longest  time.Duration    // that one replication may take here, with as many at once as there are; 0: any
	seen     hashes           // of the works that may be simulated
	read     []*scenario.File // works that were read, for the report of a mishap
	tables   tables           // that are written besides
	page     string           // path of the page that is written besides; empty: none
	environment
}
