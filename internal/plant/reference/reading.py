"""Reads the values of a scenario: quantities with units, laws, weekly hours.

A scenario arrives as sets and texts, just as its file has them. Times become whole
milliseconds, shares and moistures plain fractions.
"""

import re

from draws import Constant, Uniform

UNITS = {
    "ms": 1, "s": 1000, "min": 60_000, "h": 3_600_000, "d": 86_400_000, "wk": 604_800_000,
    "%": 0.01,
    "%/h": 0.01 / 3_600_000,
    "mm": 1.0,
    "mm2/min": 1 / 60_000,
    "degC": 1.0,
}
MINUTE, DAY, WEEK = 60_000, 86_400_000, 604_800_000


def quantity(text):
    """One number and its unit, in milliseconds, fractions, millimetres."""
    number, unit = re.fullmatch(r"([0-9.]+) ?(\S+)", text).groups()
    return float(number) * UNITS[unit]


def span(text):
    """A time in whole milliseconds."""
    return round(quantity(text))


def law(text):
    """A constant, a spread or a uniform law."""
    inner = re.fullmatch(r"uniform\((.*), (.*)\)", text)
    if inner:
        return Uniform(quantity(inner[1]), quantity(inner[2]))
    middle, _, spread = text.partition(" +- ")
    if spread:
        share = quantity(spread)
        return Uniform(quantity(middle) * (1 - share), quantity(middle) * (1 + share))
    return Constant(quantity(text))


def per_ware(value, ware):
    """A value given once, or by ware; None where a ware has none."""
    if isinstance(value, dict):
        return value.get(ware, value.get("others"))
    return value


def curve(points, read):
    """A loss along moisture or time: straight between its points, level beyond them."""
    table = sorted((read(at), quantity(loss)) for at, loss in (points or {}).items())

    def loss(at):
        if not table:
            return 0.0
        if at <= table[0][0]:
            return table[0][1]
        for (x0, y0), (x1, y1) in zip(table, table[1:]):
            if at <= x1:
                return y0 + (y1 - y0) * ((at - x0) / (x1 - x0))
        return table[-1][1]

    return loss


DAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]


def minute(clock):
    """A time of day in minutes."""
    return 60 * int(clock[:2]) + int(clock[3:])


def weekly(text):
    """The shifts of one week as (from, to) in minutes from Monday 00:00."""
    if text == "always":
        text = "daily 00:00-24:00"
    shifts = []
    for group in text.split(","):
        days, *times = group.replace("daily", "Mon-Sun").split()
        first, _, last = days.partition("-")
        numbers = range(DAYS.index(first), DAYS.index(last or first) + 1)
        for day in numbers:
            for time in times:
                start, end = time.split("-")
                length = (minute(end) - minute(start)) % 1440 or 1440
                shifts.append((1440 * day + minute(start), 1440 * day + minute(start) + length))
    return sorted(shifts)


class Hours:
    """The open intervals of named hours, in milliseconds from the start.

    The start is a given number of minutes after a Monday's midnight; all is UTC.
    """

    def __init__(self, pattern, start, weeks):
        self.intervals = []
        if isinstance(pattern, str):
            pattern = [pattern]
        for week in range(-1, weeks + 9):
            for begin, end in weekly(pattern[week % len(pattern)]):
                a = (week * 10080 + begin - start) * MINUTE
                b = (week * 10080 + end - start) * MINUTE
                if b > 0:
                    self.intervals.append((max(a, 0), b))
        self.merge()

    def merge(self):
        """Joins intervals that touch."""
        whole = []
        for a, b in sorted(self.intervals):
            if whole and a <= whole[-1][1]:
                whole[-1] = (whole[-1][0], max(b, whole[-1][1]))
            else:
                whole.append((a, b))
        self.intervals = whole

    def around(self, t):
        """The interval that is open at t, or None. It is shut at its end."""
        for a, b in self.intervals:
            if a <= t < b:
                return a, b
        return None

    def opening(self, t):
        """The first instant at or after t when the hours are open."""
        for a, b in self.intervals:
            if t < b:
                return max(a, t)
        return None

    def worked(self, t, length):
        """When work of a length begun at t ends if it rests while the hours are shut."""
        for a, b in self.intervals:
            if b <= t:
                continue
            begin = max(a, t)
            if begin + length <= b:
                return begin + length
            length -= b - begin
        return None
