"""Routes of a general solver through the stops of planned sheets, precedence kept.

    cargo bench --bench route -- --stops FOLDER
    python3 -m venv venv && venv/bin/pip install ortools
    venv/bin/python benches/route_reference.py FOLDER [SECONDS]

Prints, for each sheet, the length of our route, of what the solver makes of it in SECONDS (20 unless
given), and by what percent ours is longer. The solver is OR-tools with guided local search; it starts
from our order, as it finds no order of its own that keeps to the precedence in that time.
"""

import json
import math
import sys
from pathlib import Path

from ortools.constraint_solver import pywrapcp, routing_enums_pb2

MICRON = 1000


def solved(stops: list[dict], seconds: int) -> float:
    """The length of the route found, mm. Node 0 is home, node k + 1 the stop k; the way back is free."""
    exits = [[0.0, 0.0]] + [stop["exit"] for stop in stops]
    count = len(exits)
    cost = [
        [0] + [round(MICRON * math.dist(leave, stop["entry"])) for stop in stops] for leave in exits
    ]
    manager = pywrapcp.RoutingIndexManager(count, 1, 0)
    routing = pywrapcp.RoutingModel(manager)
    move = routing.RegisterTransitCallback(
        lambda a, b: cost[manager.IndexToNode(a)][manager.IndexToNode(b)]
    )
    routing.SetArcCostEvaluatorOfAllVehicles(move)
    one = routing.RegisterUnaryTransitCallback(lambda _: 1)
    routing.AddDimension(one, 0, count + 1, True, "place")
    place = routing.GetDimensionOrDie("place")
    for at, stop in enumerate(stops):
        for before in stop["after"]:
            first, then = (manager.NodeToIndex(node + 1) for node in (before, at))
            routing.solver().Add(place.CumulVar(first) < place.CumulVar(then))
    wanted = pywrapcp.DefaultRoutingSearchParameters()
    wanted.local_search_metaheuristic = (
        routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    )
    wanted.time_limit.FromSeconds(seconds)
    # The stops are numbered in the order we cut them.
    routing.CloseModelWithParameters(wanted)
    ours = routing.ReadAssignmentFromRoutes([list(range(1, count))], True)
    found = routing.SolveFromAssignmentWithParameters(ours, wanted)
    return found.ObjectiveValue() / MICRON if found else math.inf


def main() -> None:
    folder = Path(sys.argv[1])
    seconds = int(sys.argv[2]) if len(sys.argv) > 2 else 20
    print(f"{'sheet':<22}{'runs':>6}{'ours':>10}{'solver':>10}{'longer %':>10}")
    for file in sorted(folder.glob("*.json")):
        sheet = json.loads(file.read_text())
        ours, stops = sheet["route_mm"], sheet["stops"]
        found = solved(stops, seconds)
        longer = 100 * (ours / found - 1)
        print(f"{file.stem:<22}{len(stops):>6}{ours:>10.0f}{found:>10.0f}{longer:>10.2f}", flush=True)


if __name__ == "__main__":
    main()
