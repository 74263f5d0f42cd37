"""The air of the casting shop, the punching window, finishing."""

import math

from people import Queue
from reading import curve, law, per_ware, quantity, span


def vapour(celsius):
    """Saturation vapour pressure over water in Pa.

    Source: R. W. Hyland, A. Wexler, ASHRAE Transactions 89, 1983.
    """
    t = celsius + 273.15
    return math.exp(
        -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2 - 1.4452093e-8 * t**3 + 6.5459673 * math.log(t)
    )


class Air:
    """The air of the casting shop, in which pieces dry to leather-hard."""

    def __init__(self, works, given):
        deficit = vapour(quantity(given.get("temperature", "30 degC"))) * (1 - quantity(given.get("humidity", "60 %")))
        self.rate = quantity(given.get("drying-rate", "1 %/h")) * deficit / (vapour(30) * (1 - 0.6))
        self.covered = works.hours[given["covered"]].intervals if "covered" in given else []
        self.factor = quantity(given.get("cover-factor", "15 %"))

    def stretches(self, t):
        """Lists (from, to, rate) from t on."""
        for a, b in self.covered:
            if b <= t:
                continue
            if a > t:
                yield t, a, self.rate
            yield max(a, t), b, self.rate * self.factor
            t = b
        yield t, math.inf, self.rate

    def dry_until(self, t, points):
        """When a piece has lost so many points of moisture since t; in ms, not rounded."""
        if points <= 0:
            return t
        for a, b, rate in self.stretches(t):
            if rate > 0 and points <= rate * (b - a):
                return a + points / rate
            points -= rate * (b - a)
        raise AssertionError("the last stretch has no end")

    def lost(self, t, to):
        """Points lost between two instants."""
        return sum(rate * (min(b, to) - a) for a, b, rate in self.stretches(t) if a < to)


class Window:
    """The punching window of one ware."""

    def __init__(self, works, given):
        self.works = works
        self.given = given
        self.fixed = "after" in given
        if self.fixed:
            self.after, self.until = span(given["after"]), span(given["until"])
            self.late = curve(given.get("late-loss-after"), span)
        else:
            self.open, self.close = quantity(given["opens"]), quantity(given["closes"])
            self.late = curve(given.get("late-loss"), quantity)
        self.refuse = quantity(given.get("refuse-below", "12 %"))
        self.scrap = given.get("too-dry", "scrap") == "scrap"

    def opens(self, piece):
        if self.fixed:
            return piece.out + self.after
        return round(self.works.air.dry_until(piece.out, piece.moisture - self.open))

    def closes(self, piece):
        if self.fixed:
            return piece.out + self.until
        return round(self.works.air.dry_until(piece.out, piece.moisture - self.close))

    def moisture(self, piece, t):
        return piece.moisture - self.works.air.lost(piece.out, t)

    def too_dry(self, piece, t):
        return not self.fixed and self.scrap and self.moisture(piece, t) < self.refuse

    def loss(self, piece, t):
        """What punching that ended at t adds to the white faults."""
        if t <= piece.closes:
            return 0.0
        return self.late(t - piece.closes) if self.fixed else self.late(self.moisture(piece, t))


class Finishing(Queue):
    """Punching in the window, then the rest; or one job, once the window is open."""

    def __init__(self, works, given):
        Queue.__init__(self, works, given["crew"], "finishing.time", None, given["crew"])
        self.punch, self.finish = given.get("punch"), given["finish"]
        self.places, self.punching = given.get("punching-places", math.inf), 0

    def is_punch(self, piece):
        return not piece.punched and per_ware(self.punch, piece.ware) is not None

    def length(self, piece):
        times = self.punch if self.is_punch(piece) else self.finish
        drawn = self.works.luck.value(self.purpose, law(per_ware(times, piece.ware)), piece.key, 0 if self.is_punch(piece) else 1)
        return self.crew.stretched(drawn)

    def order(self, piece):
        return not self.is_punch(piece), piece.closes, piece.number

    def choose(self, fits, t):
        """The next punching, if there is a place for it; or else the next of the rest."""
        for punching in True, False:
            if punching and self.punching >= self.places:
                continue
            piece = self.next(punching, t)
            if piece and fits(self.length(piece)):
                self.waiting.remove(piece)
                return self.job(piece, t)
        return None

    def next(self, punching, t):
        """The first piece for a punching or for the rest; those too dry are scrapped on the way."""
        while True:
            pieces = [piece for piece in self.waiting if self.is_punch(piece) == punching]
            if not pieces:
                return None
            piece = min(pieces, key=self.order)
            if piece.punched or not piece.window or not piece.window.too_dry(piece, t):
                return piece
            self.waiting.remove(piece)
            piece.lost_as = "too dry to punch"
            piece.go_on()

    def take_up(self, piece):
        Queue.take_up(self, piece)
        if self.is_punch(piece):
            self.punching += 1

    def punched(self, piece):
        """Ends the punching of a piece."""
        self.punching -= 1
        piece.punched = True
        piece.log("punched", self.where)
        self.note_late(piece)

    def note_late(self, piece):
        if piece.window:
            piece.extra = piece.window.loss(piece, self.works.now())
