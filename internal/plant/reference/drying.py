"""Trolleys and dryers."""

import math

from clockwork import ENDS, HOURS, LIMITS, Actor, Steward
from reading import law, span


class Trolleys:
    """Collects finished pieces of one ware until there are enough for a trolley."""

    def __init__(self, works):
        self.works, self.free = works, works.given.get("casting-shop", {}).get("trolleys", math.inf)
        self.loose = {ware: [] for ware in works.given["ware"]}

    def add(self, piece):
        self.loose[piece.ware].append(piece)
        self.load()

    def load(self):
        """Loads free trolleys; where several wares wait for one, in the order of the file."""
        for ware, loose in self.loose.items():
            full = self.works.given["ware"][ware].get("per-trolley", 1)
            while len(loose) >= full and self.free > 0:
                pieces = loose[:full]
                del loose[:full]
                self.free -= 1
                trolley = Trolley(pieces)
                for piece in pieces:
                    piece.trolley = trolley
                    piece.log("on trolley")
                self.works.dryers.arrive(trolley)

    def taken_up(self, piece):
        """A piece has left its trolley."""
        piece.trolley.left -= 1
        if piece.trolley.left == 0:
            self.free += 1
            self.load()


class Trolley:
    """Pieces of one ware that go to the dryer together."""

    def __init__(self, pieces):
        self.pieces, self.left, self.ware = pieces, len(pieces), pieces[0].ware


class Dryers:
    """The queue of trolleys before the dryers."""

    def __init__(self, works, given):
        self.works, self.queue = works, []
        self.dryers = [Dryer(self, name, each) for name, each in given.items()]
        self.steward = Steward(works, self.look)
        for dryer in self.dryers:
            for opens, _ in dryer.hours.intervals if dryer.hours else []:
                self.steward.stir_at(opens, HOURS)
            for opens, _ in dryer.at.intervals if dryer.at else []:
                self.load_at(dryer, opens)

    def load_at(self, dryer, opens):
        """Loads by the clock, before anything begins in that instant."""
        clock = Actor(self.works, "clock")

        def story():
            yield from clock.until(opens, HOURS)
            dryer.look(opens, True)

        clock.begin(story())

    def arrive(self, trolley):
        trolley.since = self.works.now()
        self.queue.append(trolley)
        self.steward.stir()
        for dryer in self.dryers:
            if dryer.latest is not None:
                self.steward.stir_at(trolley.since + dryer.latest, LIMITS)

    def look(self, t):
        for dryer in self.dryers:
            dryer.look(t)


class Dryer:
    """One group of chambers, or one floor or tunnel."""

    def __init__(self, dryers, name, given):
        self.all, self.works, self.name, self.given = dryers, dryers.works, name, given
        hours = self.works.hours
        self.at = hours[given["at"]] if "at" in given else None
        self.hours = hours[given["hours"]] if "hours" in given else None
        self.latest = span(given["latest"]) if "latest" in given else None
        self.chamber = given["kind"] == "chamber"
        self.places = given["trolleys"]
        self.empty = given.get("chambers", 1) if self.chamber else self.places
        self.ware = given.get("ware")

    def waiting(self):
        return [t for t in self.all.queue if self.ware is None or t.ware in self.ware]

    def look(self, t, clock=False):
        if self.hours and not self.hours.around(t) or self.at and not clock:
            return
        while self.empty > 0:
            load = self.load(t)
            if not load:
                return
            self.dry(load, t)

    def load(self, t):
        """The trolleys that go in now."""
        waiting = self.waiting()
        if not self.chamber:
            return waiting[:1]
        if self.at:
            return waiting[: self.places]
        if len(waiting) >= self.places:
            return waiting[: self.places]
        if waiting and self.latest is not None and t >= waiting[0].since + self.latest:
            return waiting
        return []

    def dry(self, load, t):
        self.empty -= 1
        for trolley in load:
            self.all.queue.remove(trolley)
            for piece in trolley.pieces:
                piece.section = "dryers"
                piece.log("into dryer", self.name)
        cycle = round(law(self.given["cycle"]).value)
        actor = Actor(self.works, "dryer")

        def story():
            yield from actor.until(t + cycle, ENDS)
            self.empty += 1
            self.all.steward.stir()
            for trolley in load:
                for piece in trolley.pieces:
                    piece.log("out of dryer", self.name)
                    piece.go_on()
                    if not self.works.white:
                        self.works.trolleys.taken_up(piece)

        actor.begin(story())
