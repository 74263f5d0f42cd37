"""A second model of a reduced works, written from the guide alone.

Every piece is a process here and tells its own life, from the mould to the pallet; the
simulator under test does it the other way round, with stations as processes and pieces as
data. Nothing is optimised. What is left out of the works: presses, the mould shop, robots,
wrecks and stops, suites, orders, correlations, costs and fuel.

Written for SimPy 2 (module SimPy), which is what Debian's python3-simpy installs.

Usage: works.py FILE, where FILE holds one scenario a line, as JSON; writes for each the
number of events and then one line an event: time in ms, piece, ware, event, section, place.
"""

import datetime
import json
import sys

from SimPy.Simulation import Simulation

from casting import Bench, Plan
from draws import Luck, known_answers
from drying import Dryers, Trolleys
from glazing import Booths, White
from kilns import Buffer, Shuttles, Tunnel
from leatherhard import Air, Finishing, Window
from people import Crew, Queue
from piece import Piece, Test
from reading import MINUTE, WEEK, Hours, span


class Works:
    """A whole works, and the log of its run."""

    def __init__(self, given, seed, replication, weeks):
        self.given, self.luck = given, Luck(seed, replication)
        self.end, self.sim, self.lines, self.pieces = weeks * WEEK, Simulation(), [], 0
        self.sim.initialize()
        self.start = minutes_after_monday(given["start"]) * MINUTE
        self.hours = {n: Hours(h["weeks"], self.start // MINUTE, weeks) for n, h in given["hours"].items()}
        self.crews = {n: Crew(self, n, c) for n, c in given["crews"].items()}
        self.air = Air(self, given.get("casting-shop", {}))
        self.windows = {n: Window(self, w["window"]) for n, w in given["ware"].items() if "window" in w}
        self.plan, self.trolleys = Plan(self), Trolleys(self)
        self.lay_out(given)

    def lay_out(self, given):
        """Builds the departments in the order of the flow, in which crews are asked."""
        self.finishing = Finishing(self, given["finishing"]) if "finishing" in given else None
        self.dryers = Dryers(self, given["dryers"]) if "dryers" in given else None
        self.white = self.queue(White, "white-inspection", "white inspection")
        glazing = given.get("glazing", {})
        self.booths = [Booths(self, n, b) for n, b in glazing.get("booths", {}).items()]
        self.coat = span(glazing.get("coat-drying", "4 h"))
        self.buffers = {"first": Buffer(), "refire": Buffer()}
        for name, kiln in given["kilns"].items():
            (Shuttles if kiln["kind"] == "shuttle" else Tunnel)(self, name, kiln)
        self.sorting = self.queue(Queue, "sorting", "sorting")
        self.patching = self.queue(Queue, "refire", "patching")
        self.most = given.get("refire", {}).get("most", 1)
        self.patch_coat = span(given.get("refire", {}).get("coat-drying", "4 h"))
        self.tests = [Test(self, n, t) for n, t in given.get("tests", {}).items()]
        self.packing = self.queue(Queue, "packing", "packing")
        for name, bench in sorted(given.get("benches", {}).items()):
            for number in range(bench.get("benches", 1)):
                Bench(self, name, number, bench)

    def queue(self, kind, key, where):
        given = self.given.get(key)
        return kind(self, given["crew"], where + ".time", given["time"], where) if given else None

    def now(self):
        """The clock in milliseconds."""
        return self.sim.now() // 4

    def new_piece(self, ware, key):
        self.pieces += 1
        return Piece(self, self.pieces, ware, key)

    def log(self, piece, event, where):
        self.lines.append((self.now(), piece.number, piece.ware, event, piece.section, where))

    def run(self):
        self.sim.simulate(until=4 * self.end - 1)
        return self.lines


def minutes_after_monday(text):
    """The start in minutes after the midnight of its Monday."""
    at = datetime.datetime.strptime(text, "%Y-%m-%d %H:%M")
    return at.weekday() * 1440 + at.hour * 60 + at.minute


def main():
    """Runs every scenario of a file."""
    known_answers()
    with open(sys.argv[1]) as file:
        for line in file:
            job = json.loads(line)
            lines = Works(job["works"], job["seed"], job["replication"], job["weeks"]).run()
            print(len(lines))
            for entry in lines:
                print("%d %d %s %s|%s|%s" % entry)


if __name__ == "__main__":
    main()
