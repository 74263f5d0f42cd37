"""The clock of the second model: instants, their phases, and what happens at their ends."""

from SimPy.Simulation import Process, hold, passivate


# A tick of the clock is a quarter of a millisecond. In one instant work that ends comes
# first, then the opening and closing of hours, then work that begins, then time limits.
ENDS, HOURS, STARTS, LIMITS = range(4)


class Actor(Process):
    """A process that knows the works' clock."""

    def __init__(self, works, name="actor"):
        Process.__init__(self, name=name, sim=works.sim)
        self.works = works

    def until(self, ms, phase):
        """Waits for a phase of an instant; not at all if it has begun."""
        wait = 4 * ms + phase - self.sim.now()
        if wait > 0:
            yield hold, self, wait

    def begin(self, story):
        self.sim.activate(self, story)


class Steward(Actor):
    """Hands out work at the end of each instant in which something changed."""

    def __init__(self, works, look):
        Actor.__init__(self, works, "steward")
        self.look, self.stirred = look, False
        self.begin(self.run())

    def stir(self):
        if not self.stirred:
            self.stirred = True
            self.sim.reactivate(self)

    def stir_at(self, ms, phase):
        """Stirs at a later instant."""
        bell = Actor(self.works, "bell")

        def story():
            yield from bell.until(ms, phase)
            self.stir()

        bell.begin(story())

    def run(self):
        while True:
            if not self.stirred:
                yield passivate, self
                continue
            yield from self.until(self.works.now(), STARTS)
            self.stirred = False
            self.look(self.works.now())
