"""The benchmark models of internal/des in SimPy, for comparison.

SimPy is a general-purpose simulation library in Python, widely known, so it tells the
reader of a benchmark how fast "fast" is. The models are those of bench_test.go: the same
stations, sizes and means, exponential spans by inversion, and the same count of timed
events. They are written the way the library's manual teaches.

Written for SimPy 2 (module SimPy), which is what Debian's python3-simpy installs; SimPy 3
and later (module simpy) has another interface.

Prints one line a model: name, CPU nanoseconds per timed event, mean of the model in ms.
"""

import math
import random
import sys
import time

from SimPy.Simulation import Process, Resource, Simulation, Store, get, hold, put, release, request


def draws(seed):
    """Gives a function that draws exponential spans of a given mean, in ms."""
    uniform = random.Random(seed).random

    def draw(mean):
        return 1 + int(-mean * math.log(1 - uniform()))

    return draw


class Total:
    """Sums the times in system."""

    def __init__(self):
        self.sum = 0


class Server(Process):
    """Serves one customer after another from a store of arrival times."""

    def run(self, waiting, draw, customers, total):
        for _ in range(customers):
            yield get, self, waiting, 1
            yield hold, self, draw(1000)
            total.sum += self.sim.now() - self.got[0]


class Source(Process):
    """Brings customers."""

    def run(self, waiting, draw, customers):
        for _ in range(customers):
            yield put, self, waiting, [self.sim.now()]
            yield hold, self, draw(1250)


def mm1_stations(customers):
    """A single-server queue; source and server are processes, customers are numbers."""
    sim, total = Simulation(), Total()
    sim.initialize()
    waiting = Store(name="waiting", sim=sim, unitName="customers")
    source, server = Source(name="source", sim=sim), Server(name="server", sim=sim)
    sim.activate(source, source.run(waiting, draws(1), customers))
    sim.activate(server, server.run(waiting, draws(2), customers, total))
    sim.simulate(until=1e18)
    return total.sum / customers, 2 * customers


class Customer(Process):
    """Waits for the server, is served, and goes."""

    def run(self, server, draw, total):
        arrived = self.sim.now()
        yield request, self, server
        yield hold, self, draw(1000)
        yield release, self, server
        total.sum += self.sim.now() - arrived


class CustomerSource(Process):
    """Starts a process for each customer."""

    def run(self, server, draw, service, customers, total):
        for _ in range(customers):
            customer = Customer(name="customer", sim=self.sim)
            self.sim.activate(customer, customer.run(server, service, total))
            yield hold, self, draw(1250)


def mm1_customers(customers):
    """A single-server queue in which each customer is a process."""
    sim, total = Simulation(), Total()
    sim.initialize()
    server = Resource(capacity=1, name="server", sim=sim)
    source = CustomerSource(name="source", sim=sim)
    sim.activate(source, source.run(server, draws(1), draws(2), customers, total))
    sim.simulate(until=1e18)
    return total.sum / customers, 2 * customers


class LineSource(Process):
    """Feeds a line that is never starved."""

    def run(self, first, pieces):
        for _ in range(pieces):
            yield put, self, first, [self.sim.now()]


class Station(Process):
    """Takes a piece, works on it, and puts it into the next rack when there is room."""

    def run(self, before, behind, draw, pieces):
        for _ in range(pieces):
            yield get, self, before, 1
            piece = self.got
            yield hold, self, draw(1000)
            yield put, self, behind, piece


def tandem(pieces):
    """A line of 8 stations with room for 10 pieces between them."""
    stations, sim = 8, Simulation()
    sim.initialize()
    racks = [Store(name="rack", sim=sim, capacity=10) for _ in range(stations)]
    racks.append(Store(name="finished", sim=sim, capacity=pieces + 1))
    source = LineSource(name="source", sim=sim)
    sim.activate(source, source.run(racks[0], pieces))
    for i in range(stations):
        station = Station(name="station", sim=sim)
        sim.activate(station, station.run(racks[i], racks[i + 1], draws(i), pieces))
    sim.simulate(until=1e18)
    return sim.now() / pieces, stations * pieces


MODELS = {
    "MM1/source=process/server=process": (mm1_stations, 1_000_000),
    "MM1/customer=process": (mm1_customers, 1_000_000),
    "Tandem": (tandem, 480_000),
}


def main():
    """Runs every model at 1/divisor of its size; the cost per event hardly depends on it."""
    divisor = int(sys.argv[1])
    for name, (model, size) in MODELS.items():
        start = time.process_time()
        mean, timed = model(size // divisor)
        cost = (time.process_time() - start) / timed * 1e9
        print(f"{name} {cost:.0f} {mean:.1f}", flush=True)


if __name__ == "__main__":
    main()
