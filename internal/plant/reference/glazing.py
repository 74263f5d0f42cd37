"""White inspection and booths."""

from people import Job, Queue
from reading import span


class White(Queue):
    """White inspection; the trolley is free when its last piece is taken up."""

    def take_up(self, piece):
        Queue.take_up(self, piece)
        if piece.trolley:
            self.works.trolleys.taken_up(piece)


def by_age(pieces):
    """Sorts pieces by the instant of their arrival, those of one ware as they came.

    Of pieces of several wares that came in one instant the one filled first goes first.
    """
    wares, merged = {}, []
    for piece in sorted(pieces, key=lambda piece: piece.since):
        wares.setdefault(piece.ware, []).append(piece)
    while any(wares.values()):
        heads = [queue[0] for queue in wares.values() if queue]
        oldest = min(heads, key=lambda piece: (piece.since, piece.number))
        merged.append(wares[oldest.ware].pop(0))
    return merged


class Booths(Queue):
    """A group of like booths, each set up for one colour."""

    def __init__(self, works, name, given):
        Queue.__init__(self, works, given["crew"], "glazing.time", given["time"], name)
        self.ware = given.get("ware")
        self.change, self.patience = span(given.get("colour-change", "0 min")), span(given.get("patience", "4 h"))
        self.booths = [Booth() for _ in range(given["booths"])]

    def colour(self, piece):
        return self.works.given["ware"][piece.ware].get("colour", "white")

    def next(self, booth, t):
        """The piece that a booth takes."""
        waiting = by_age(self.waiting)
        own = [p for p in waiting if booth.colour in (None, self.colour(p))]
        others = [p for p in waiting if p not in own]
        if others and (not own or t - others[0].since > self.patience):
            return others[0]
        return own[0] if own else None

    def choose(self, fits, t):
        for booth in self.booths:
            piece = None if booth.busy else self.next(booth, t)
            if piece is None:
                continue
            length = self.length(piece)
            if booth.colour not in (None, self.colour(piece)):
                length += self.change
            if not fits(length):
                return None
            self.waiting.remove(piece)
            booth.busy, booth.colour = True, self.colour(piece)
            return Job(length, lambda: self.take_up(piece), lambda: self.leave(booth, piece))
        return None

    def leave(self, booth, piece):
        booth.busy = False
        piece.go_on()


class Booth:
    """One glazing booth."""

    def __init__(self):
        self.busy, self.colour = False, None
