"""Crews, and the departments in which pieces wait for a hand."""

from SimPy.Simulation import passivate

from casting import Touch
from clockwork import ENDS, HOURS, Actor, Steward
from reading import law, per_ware, quantity


class Hand:
    """One head of a roster."""

    def __init__(self, hours):
        self.hours, self.busy = hours, False


class Crew:
    """Hands of one skill, and the departments that they serve, in the order of the flow."""

    def __init__(self, works, name, given):
        self.works, self.name = works, name
        self.in_hand = given.get("in-hand", "half")
        self.effective = quantity(given.get("effective", "100 %"))
        self.hands = [Hand(works.hours[shift]) for shift, heads in given["roster"].items() for _ in range(heads)]
        self.desks, self.touches = [], []
        self.steward = Steward(works, self.look)
        for shift in given["roster"]:
            for opens, _ in works.hours[shift].intervals:
                if opens < works.end:
                    self.steward.stir_at(opens, HOURS)

    def stretched(self, ms):
        """A drawn or given time, stretched and rounded once."""
        return round(ms / self.effective)

    def free(self, hand, length, t):
        """Whether a hand may begin work of a length now."""
        open_now = hand.hours.around(t)
        if hand.busy or open_now is None:
            return False
        left = open_now[1] - t
        return {"finish": True, "pause": True, "fits": length <= left, "half": length <= 2 * left}[self.in_hand]

    def look(self, t):
        """Gives each idle hand the next work of the first department that has some."""
        for touch in sorted(self.touches, key=Touch.order):
            touch.look(t)
        for hand in self.hands:
            while not hand.busy and hand.hours.around(t):
                job = None
                for desk in self.desks:
                    job = desk.choose(lambda length: self.free(hand, length, t), t)
                    if job:
                        break
                if not job:
                    break
                self.take([hand], job, t)

    def take(self, hands, job, t):
        """Lets hands do a job together."""
        for hand in hands:
            hand.busy = True
        actor = Actor(self.works, "work")
        end = t + job.length
        if self.in_hand == "pause":
            end = hands[0].hours.worked(t, job.length)

        job.taken()

        def story():
            yield from actor.until(end, ENDS)
            for hand in hands:
                hand.busy = False
            job.ended()
            self.steward.stir()

        actor.begin(story())


class Job:
    """A time of work, and what happens at its beginning and its end."""

    def __init__(self, length, taken, ended):
        self.length, self.taken, self.ended = length, taken, ended


class Queue:
    """A department in which pieces wait for a hand, first in first out."""

    def __init__(self, works, crew, purpose, times, where):
        self.works, self.purpose, self.times, self.where = works, purpose, times, where
        self.crew, self.waiting = works.crews[crew], []
        self.crew.desks.append(self)

    def length(self, piece):
        drawn = self.works.luck.value(self.purpose, law(per_ware(self.times, piece.ware)), piece.key, self.ordinal(piece))
        return self.crew.stretched(drawn)

    def ordinal(self, piece):
        return piece.fires

    def order(self, _):
        return 0  # first in, first out: sorting keeps the order of arrival

    def choose(self, fits, t):
        for piece in sorted(self.waiting, key=self.order):
            if not fits(self.length(piece)):
                return None
            self.waiting.remove(piece)
            return self.job(piece, t)
        return None

    def job(self, piece, _):
        return Job(self.length(piece), lambda: self.take_up(piece), piece.go_on)

    def take_up(self, piece):
        piece.log("taken up", self.where)

    def serve(self, piece):
        """Waits for a hand and its work; runs in the piece's process."""
        piece.since = self.works.now()
        self.waiting.append(piece)
        self.crew.steward.stir()
        yield passivate, piece
