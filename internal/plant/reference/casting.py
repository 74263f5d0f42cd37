"""Benches and the plan."""

import math

from SimPy.Simulation import passivate

from clockwork import ENDS, STARTS, Actor
from draws import fnv1a, identity
from reading import DAY, quantity, span


class Bench:
    """One casting bench, which goes round and round."""

    def __init__(self, works, name, number, given):
        self.works, self.name, self.number, self.given = works, name, number, given
        self.ware, self.crew = given["ware"], works.crews[given["crew"]]
        self.heads = given.get("casters", 1)
        self.casts = [0] * given["moulds"]
        actor = Actor(works, name)
        actor.begin(self.run(actor))

    def touch_time(self, key):
        return self.crew.stretched(span(self.given.get(key, "0 min")))

    def build(self):
        if "build" in self.given:
            return span(self.given["build"])
        return round(quantity(self.given["wall"]) ** 2 / quantity(self.given.get("build-rate", "1 mm2/min")))

    def fill_time(self, t):
        """The first instant from t on at which a fill fits, and the drain after it."""
        fill, drain, build = self.touch_time("fill"), self.touch_time("drain"), self.build()
        intervals = self.crew.hands[0].hours.intervals
        for a, b in intervals:
            for c, d in intervals:
                at = max(a, c - fill - build, t)
                if b > t and at <= min(b - fill, d - drain - fill - build):
                    return at
        return None

    def run(self, actor):
        ready = 0
        while True:
            yield from actor.until(ready, ENDS)
            touch = yield from self.wait_for_fill(actor, ready)
            if touch is None:
                return
            pieces = touch.pieces
            yield from touch.work(actor)
            yield from actor.until(self.works.now() + self.build(), ENDS)
            yield from self.touch(actor, "drain")
            yield from actor.until(self.works.now() + span(self.given["set"]), ENDS)
            yield from self.demould(actor, pieces)
            ready = self.works.now() + span(self.given.get("dry-back", "10 h"))
            if self.touch_time("clean"):
                yield from self.touch(actor, "clean")
            ready = max(ready, self.works.now())

    def wait_for_fill(self, actor, since):
        """Waits for a time at which a fill fits, the plan allows it and casters are free.

        A bench waits since it was clean and dry and the plan allowed its ware.
        """
        earliest, blocked = since, since
        while True:
            t = self.fill_time(earliest)
            if t is None:
                return None
            yield from actor.until(t, STARTS)
            if self.works.plan.allowed(self.ware) == 0:
                since = earliest = self.works.plan.next_day(self.works.now())
                blocked = self.works.now()
                continue
            touch = Touch(self, "fill", since)
            touch.blocked = blocked
            yield from touch.ask(actor)
            if touch.hands:
                return touch
            earliest = self.works.now()

    def touch(self, actor, what):
        touch = Touch(self, what, self.works.now())
        yield from touch.ask(actor)
        yield from touch.work(actor)

    def fill(self, count):
        """Fills as many places."""
        pieces = []
        for place in range(count):
            self.casts[place] += 1
            key = identity(fnv1a(self.name), self.number, place, self.casts[place])
            pieces.append(self.works.new_piece(self.ware, key))
            pieces[-1].log("filled", self.name)
        self.works.plan.cast(self.ware, count)
        return pieces

    def demould(self, actor, pieces):
        """Opens the bench; pieces come out at the ends of their turns."""
        turn = quantity(self.given["demould"]) / self.heads / self.crew.effective
        touch = Touch(self, "demould", self.works.now())
        touch.length = round(turn * len(pieces))
        yield from touch.ask(actor)
        begun = self.works.now()
        for n, piece in enumerate(pieces, 1):
            yield from actor.until(begun + round(n * turn), ENDS)
            piece.begin(piece.life())
        touch.leave()


class Touch:
    """A time at one bench for which it needs all its casters at once."""

    def __init__(self, bench, what, since):
        self.bench, self.crew, self.what, self.since = bench, bench.crew, what, since
        self.length, self.hands, self.blocked = bench.touch_time(what), [], since

    def order(self):
        """Benches that hold slip or ware go first; then the longest wait counts."""
        return self.what in ("fill", "clean"), self.since, self.blocked, self.bench.name, self.bench.number

    def ask(self, actor):
        self.actor = actor
        self.crew.touches.append(self)
        self.crew.steward.stir()
        yield passivate, actor

    def look(self, t):
        """Begins if it can; a fill gives up if it may not begin at this instant."""
        bench = self.bench
        if self.what != "fill" or bench.fill_time(t) == t and bench.works.plan.allowed(bench.ware) > 0:
            hands = [hand for hand in self.crew.hands if self.crew.free(hand, self.length, t)]
            if len(hands) < bench.heads:
                return
            self.hands = hands[: bench.heads]
            for hand in self.hands:
                hand.busy = True
            if self.what == "fill":
                self.pieces = bench.fill(min(bench.works.plan.allowed(bench.ware), len(bench.casts)))
        self.crew.touches.remove(self)
        self.actor.sim.reactivate(self.actor)

    def work(self, actor):
        yield from actor.until(self.bench.works.now() + self.length, ENDS)
        self.leave()

    def leave(self):
        for hand in self.hands:
            hand.busy = False
        self.crew.steward.stir()


class Plan:
    """Casts planned for each working day begun, by ware."""

    def __init__(self, works):
        self.works, self.done = works, {ware: 0 for ware in works.given["ware"]}
        self.days = {}
        for bench in works.given.get("benches", {}).values():
            hours = works.crews[bench["crew"]].hands[0].hours
            opened = {(a + works.start) // DAY * DAY: a for a, _ in reversed(hours.intervals)}
            self.days.setdefault(bench["ware"], sorted(opened.values()))

    def allowed(self, ware):
        """Casts that may begin now."""
        plan = self.works.given["ware"][ware].get("plan")
        if plan is None:
            return math.inf
        begun = sum(1 for day in self.days[ware] if day <= self.works.now())
        return max(0, math.floor(begun * float(plan.split()[0])) - self.done[ware])

    def next_day(self, t):
        return min(day for days in self.days.values() for day in days if day > t)

    def cast(self, ware, count):
        self.done[ware] += count
