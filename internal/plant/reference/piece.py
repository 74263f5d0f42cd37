"""The life of one piece."""

import math

from SimPy.Simulation import passivate

from clockwork import ENDS, HOURS, Actor
from people import Queue
from reading import law, quantity


class Piece(Actor):
    """One piece of ware, from the mould to the pallet."""

    def __init__(self, works, number, ware, key):
        Actor.__init__(self, works, "piece")
        self.number, self.ware, self.key = number, ware, key
        self.given = works.given["ware"][ware]
        self.yields = self.given.get("yields", {})
        self.section = "casting"
        self.fires, self.extra, self.punched, self.trolley, self.lost_as = 0, 0.0, False, None, None
        self.white_fault = False

    def log(self, event, where=""):
        self.works.log(self, event, where)

    def go_on(self):
        """Lets the piece go on with its life."""
        self.sim.reactivate(self)

    def share(self, key, default):
        return quantity(self.yields.get(key, default))

    def trial(self, purpose, chance, ordinal=0):
        return self.works.luck.trial(purpose, chance, self.key, ordinal)

    def lose(self, section, cause):
        self.log("lost", "lost.%s.%s" % (section, cause))

    def life(self):
        """The stages of a life; each says whether it was the last."""
        for stage in (self.finish, self.dry, self.inspect, self.glaze):
            if (yield from stage()):
                return
        yield from self.fire("first")
        while True:
            grade = yield from self.sort()
            if grade != "refire":
                break
            yield from self.patch()
            yield from self.fire("refire")
        if grade == "a" and (yield from self.test()):
            return
        if grade in ("a", "b"):
            yield from self.pack()

    def finish(self):
        works = self.works
        self.out = works.now()
        self.section = "finishing"
        self.moisture = works.luck.value("demould.moisture", law(self.given.get("demould-moisture", "22 %")), self.key)
        self.window = works.windows.get(self.ware)
        self.closes = self.window.closes(self) if self.window else math.inf
        self.log("demoulded")
        if not works.finishing:
            return False
        if self.window:
            yield from self.until(self.window.opens(self), HOURS)
        if works.finishing.is_punch(self):
            yield from works.finishing.serve(self)
            if self.lost_as:
                self.lose("finishing", self.lost_as)
                return True
            works.finishing.punched(self)
            yield from works.finishing.serve(self)
        else:
            yield from works.finishing.serve(self)
            if self.lost_as:
                self.lose("finishing", self.lost_as)
                return True
            works.finishing.note_late(self)
        self.log("finished", works.finishing.where)
        if self.trial("casting.fault", 1 - self.share("casting", "95 %")):
            self.lose("finishing", "casting fault")
            return True
        return False

    def dry(self):
        if self.works.dryers:
            self.works.trolleys.add(self)
            yield passivate, self
        return False

    def inspect(self):
        self.section = "white"
        if not self.works.white:
            return False
        given = self.works.given["white-inspection"]
        yield from self.works.white.serve(self)
        faulty = self.trial("white.fault", 1 - self.share("white", "93 %") + self.extra)
        if faulty and self.trial("white.finds", quantity(given.get("finds", "100 %"))):
            self.lose("white", "fault")
            return True
        if not faulty and self.trial("white.false-alarm", quantity(given.get("false-alarms", "0 %"))):
            self.lose("white", "false alarm")
            return True
        self.white_fault = faulty
        self.log("passed white inspection")
        return False

    def glaze(self):
        if not self.works.booths:
            return False
        self.section = "glazing"
        booths = next(b for b in self.works.booths if b.ware is None or self.ware in b.ware)
        yield from booths.serve(self)
        if self.trial("glazing.fault", 1 - self.share("glaze", "99 %")):
            self.lose("glazing", "knock or wash-off")
            return True
        self.log("glazed", booths.where)
        yield from self.until(self.works.now() + self.works.coat, ENDS)
        return False

    def fire(self, kind):
        if kind == "first":
            self.section = "buffer"
            self.log("in the buffer")
        else:
            self.section = "refire"
            self.log("waiting for refire")
        self.works.buffers[kind].add(self)
        yield passivate, self

    def sort(self):
        """Grades the piece after a fire: a, b, refire or lost."""
        if self.works.sorting:
            yield from self.works.sorting.serve(self)
        shares = self.yields.get("refire" if self.fires > 1 else "first-fire", {})
        weights = [quantity(shares.get("a", "82 %")), quantity(shares.get("b", "0 %")), quantity(shares.get("refire", "0 %"))]
        weights.append(max(0.0, 1 - sum(weights)))
        grade = ("a", "b", "refire", "scrap")[self.works.luck.choice("firing.grade", weights, self.key, self.fires)]
        cause = "fault"
        if self.white_fault:
            grade, cause = "scrap", "fault missed at white"
        elif grade == "refire" and (not self.works.patching or self.fires > self.works.most):
            grade, cause = "scrap", "no further refire"
        if grade == "scrap":
            self.lose("firing", cause)
        elif grade == "refire":
            self.log("sent to refire")
            self.section = "refire"
        else:
            self.log("sorted: " + grade.upper())
            self.unfit = grade == "a" and self.trial("test.fault", 1 - self.share("test", "100 %"), 1)
        return grade

    def patch(self):
        yield from self.works.patching.serve(self)
        yield from self.until(self.works.now() + self.works.patch_coat, ENDS)

    def test(self):
        for k, test in enumerate(self.works.tests):
            if test.wares is not None and self.ware not in test.wares:
                continue
            if not test.picks(self.ware):
                continue
            self.section = "test"
            yield from test.serve(self)
            if self.unfit and self.trial("test.fault", test.finds, 2 + k):
                self.lose("test", "failed " + test.where)
                return True
            self.log("passed " + test.where)
        return False

    def pack(self):
        self.section = "packing"
        if not self.works.packing:
            return
        yield from self.works.packing.serve(self)
        if self.trial("packing.breakage", self.share("breakage", "0 %")):
            self.lose("packing", "breakage")
        else:
            self.log("packed")


class Test(Queue):
    """One test of A pieces."""

    def __init__(self, works, name, given):
        Queue.__init__(self, works, given["crew"], name + ".time", given["time"], name)
        self.finds, self.wares = quantity(given.get("finds", "100 %")), given.get("ware")
        self.one_in, self.seen = given.get("one-in", 1), {}

    def picks(self, ware):
        """Whether the next piece of a ware is one of the every n-th."""
        self.seen[ware] = self.seen.get(ware, 0) + 1
        return self.seen[ware] % self.one_in == 0
