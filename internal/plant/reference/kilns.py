"""The buffer, tunnel kilns and shuttles."""

from fractions import Fraction

from clockwork import ENDS, HOURS, LIMITS, STARTS, Actor, Steward
from glazing import by_age
from people import Job
from reading import per_ware, quantity, span


class Buffer:
    """Glazed or patched pieces before the kilns, oldest first."""

    def __init__(self):
        self.pieces, self.kilns = [], []

    def add(self, piece):
        piece.since = piece.works.now()
        self.pieces.append(piece)
        for kiln in self.kilns:
            kiln.arrived(piece)

    def of(self, ware):
        return [p for p in self.pieces if p.ware == ware]

    def take(self, pieces):
        for piece in pieces:
            self.pieces.remove(piece)


class Car:
    """A kiln car with its ware."""

    def __init__(self, pieces, number):
        self.pieces, self.number = pieces, number


class Tunnel:
    """A tunnel kiln: it pushes without end."""

    def __init__(self, works, name, given):
        self.works, self.name, self.given = works, name, given
        self.buffer = works.buffers[given.get("fires", "first")]
        self.buffer.kilns.append(self)
        self.ahead = given.get("cars-ahead", 8)
        self.loading, self.loaded, self.fired = 0, [], []
        self.crew = None
        if "placers" in given:
            self.crew = works.crews[given["placers"]]
            self.crew.desks.append(self)
        actor = Actor(works, name)
        actor.begin(self.run(actor))

    def arrived(self, _):
        self.stir()

    def stir(self):
        if self.crew:
            self.crew.steward.stir()

    def full(self, ware):
        return per_ware(self.given["load"], ware)

    def shares(self):
        """Full loads that wait, by ware, and the ware with most; a part of a load counts as such."""
        wares = self.given.get("ware", self.works.given["ware"])
        shares = {ware: Fraction(len(self.buffer.of(ware)), self.full(ware)) for ware in wares}
        return shares, max(wares, key=lambda ware: shares[ware])

    def full_load(self):
        """A full load for the next car, or nothing."""
        shares, best = self.shares()
        if self.loading + len(self.loaded) < self.ahead and shares[best] >= 1:
            return self.buffer.of(best)[: self.full(best)]
        return []

    def part_load(self):
        """A part load for a kiln that has no car loaded or loading and no full load, or nothing."""
        shares, best = self.shares()
        least = quantity(self.given.get("part-car", "50 %"))
        if self.loading + len(self.loaded) == 0 and 0 < shares[best] < 1 and shares[best] >= least:
            return self.buffer.of(best)
        return []

    def load_at_push(self):
        """Loads the next car where there are no placers: it takes no time."""
        pieces = self.full_load() or self.part_load()
        self.buffer.take(pieces)
        if pieces:
            self.loaded.append(Car(pieces, 0))

    def choose(self, fits, _):
        """What a placer does next: load a full car, or draw one, or load a part of one."""
        pieces = self.full_load()
        if not pieces and self.fired:
            return self.drawing(fits)
        pieces = pieces or self.part_load()
        length = self.time("place", pieces)
        if not pieces or not fits(length):
            return None
        self.buffer.take(pieces)
        self.loading += 1
        return Job(length, lambda: None, lambda: self.placed(pieces))

    def drawing(self, fits):
        car = self.fired[0]
        length = self.time("draw", car.pieces)
        if not fits(length):
            return None
        self.fired.pop(0)
        return Job(length, lambda: None, lambda: self.drawn(car))

    def time(self, key, pieces):
        return self.crew.stretched(span(self.given.get(key, "0 min")) * len(pieces))

    def placed(self, pieces):
        self.loading -= 1
        self.loaded.append(Car(pieces, 0))

    def out(self, car):
        for piece in car.pieces:
            piece.section = "refire" if piece.fires > 1 else "sorting"
            piece.log("out of the kiln", self.name)
        if self.crew:
            self.fired.append(car)
            self.stir()
        else:
            self.drawn(car)

    def drawn(self, car):
        for piece in car.pieces:
            piece.go_on()

    def run(self, actor):
        """Pushes."""
        inside = [None] * self.given["inside"]
        number = 0
        t = 0
        while True:
            yield from actor.until(t, HOURS)
            inside.append(None)
            car = inside.pop(0)
            if car:
                self.out(car)
            if not self.crew:
                self.load_at_push()
            waiting = len(self.loaded)
            if self.loaded:
                car = self.loaded.pop(0)
                number += 1
                car.number = number
                inside[-1] = car
                for piece in car.pieces:
                    piece.fires += 1
                    piece.section = "refire" if piece.fires > 1 else "kiln"
                    piece.log("into the kiln", self.name)
                self.stir()
            t += self.interval(t, waiting)

    def interval(self, t, waiting):
        """Time to the next push."""
        for name, push in self.given.get("slow-push", {}).items():
            if self.works.hours[name].around(t):
                return span(push)
        if waiting < self.given.get("stretch-below", 0):
            return span(self.given["stretched-push"])
        return span(self.given["push"])


class Shuttles:
    """A group of like shuttle kilns."""

    def __init__(self, works, name, given):
        self.works, self.name, self.given = works, name, given
        self.buffers = [works.buffers[kind] for kind in ("first", "refire") if given.get("fires", "first") in (kind, "both")]
        for buffer in self.buffers:
            buffer.kilns.append(self)
        self.hours = works.hours[given["hours"]] if "hours" in given else None
        self.latest = span(given["latest"]) if "latest" in given else None
        self.empty = given.get("kilns", 1)
        self.steward = Steward(works, self.look)

    def arrived(self, piece):
        self.steward.stir()
        if self.latest is not None:
            self.steward.stir_at(piece.since + self.latest, LIMITS)

    def waiting(self):
        pieces = [p for buffer in self.buffers for p in buffer.pieces]
        wares = self.given.get("ware", list(self.works.given["ware"]))
        return by_age([p for p in pieces if p.ware in wares])

    def look(self, t):
        if self.hours and not self.hours.around(t):
            self.steward.stir_at(self.hours.opening(t), HOURS)
            return
        while self.empty > 0:
            load = self.next_load(t)
            if not load:
                return
            for buffer in self.buffers:
                buffer.take([p for p in load if p in buffer.pieces])
            self.empty -= 1
            for piece in load:
                piece.log("set on", self.name)
            actor = Actor(self.works, self.name)
            actor.begin(self.fire(actor, load))

    def fullness(self, pieces):
        return sum(self.share(piece) for piece in pieces)

    def share(self, piece):
        return Fraction(1, per_ware(self.given["load"], piece.ware))

    def groups(self):
        """What may share a load: one ware, one body, anything; in the order of the file."""
        mix, groups = self.given.get("mix", "one-ware"), {}
        for ware, given in self.works.given["ware"].items():
            name = {"one-ware": ware, "one-body": given.get("body", ""), "any": ""}[mix]
            groups.setdefault(name, [])
            groups[name] += [piece for piece in self.waiting() if piece.ware == ware]
        return [by_age(pieces) for pieces in groups.values() if pieces]

    def next_load(self, t):
        least = quantity(self.given.get("least-load", "100 %")) if self.given.get("start") == "least" else 1.0
        groups = self.groups()
        for pieces in sorted(groups, key=self.fullness, reverse=True):
            load, full = self.fit(pieces, least)
            if full:
                return load
        for pieces in sorted(groups, key=lambda pieces: pieces[0].since):
            if self.latest is not None and t >= pieces[0].since + self.latest:
                return self.fit(pieces, least)[0]
        return []

    def fit(self, pieces, least):
        """The pieces that go into one load, and whether they make a load."""
        load, room, over = [], Fraction(1), False
        for piece in pieces:
            share = self.share(piece)
            if room < share:
                over = True
                continue
            room -= share
            load.append(piece)
        return load, over or 1 - room >= least

    def within_hours(self, t, length):
        """The first instant from t on at which half of a work fits before the hours end."""
        while self.hours:
            t = self.hours.opening(t)
            if length <= 2 * (self.hours.around(t)[1] - t):
                break
            t = self.hours.around(t)[1]
        return t

    def fire(self, actor, load):
        loading, drawing = span(self.given["loading"]), span(self.given["drawing"])
        yield from actor.until(self.within_hours(self.works.now(), loading), STARTS)
        yield from actor.until(self.works.now() + loading, ENDS)
        for piece in load:
            piece.fires += 1
            piece.section = "refire" if piece.fires > 1 else "kiln"
            piece.log("into the kiln", self.name)
        yield from actor.until(self.works.now() + span(self.given["firing"]) + span(self.given["cooling"]), ENDS)
        for piece in load:
            piece.section = "refire" if piece.fires > 1 else "sorting"
            piece.log("out of the kiln", self.name)
        yield from actor.until(self.within_hours(self.works.now(), drawing), STARTS)
        yield from actor.until(self.works.now() + drawing, ENDS)
        for piece in load:
            piece.go_on()
        self.empty += 1
        self.steward.stir()
