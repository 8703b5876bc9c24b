"""The travel that a general routing library finds on the sheets of benches/order.rs.

    target/ortools/bin/python benches/order_reference.py FOLDER [SECONDS]

Reads FOLDER/*.json, writes FOLDER/reference.json: name -> mm. Every way of every line is a node,
the ways of a line a disjunction of which exactly one is visited (a generalised travelling
salesman); going from one node to another costs the distance from exit to entry. Guided local
search from the cheapest-arc start, the setting its manual recommends for routing.
"""

import json
import math
import pathlib
import sys

from ortools.constraint_solver import pywrapcp, routing_enums_pb2

SCALE = 1000  # the library counts in whole numbers: micrometres


def solve(sheet, seconds):
    park = sheet["park"]
    nodes = [(park, park)]
    lines = []
    for ways in sheet["lines"]:
        lines.append(list(range(len(nodes), len(nodes) + len(ways))))
        nodes += ways
    cost = [[round(SCALE * math.dist(a[1], b[0])) for b in nodes] for a in nodes]
    manager = pywrapcp.RoutingIndexManager(len(nodes), 1, 0)
    routing = pywrapcp.RoutingModel(manager)
    call = routing.RegisterTransitMatrix(cost)
    routing.SetArcCostEvaluatorOfAllVehicles(call)
    for line in lines:
        if len(line) > 1:
            routing.AddDisjunction([manager.NodeToIndex(n) for n in line], 10**9, 1)
    p = pywrapcp.DefaultRoutingSearchParameters()
    p.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    p.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    p.time_limit.seconds = seconds
    solution = routing.SolveWithParameters(p)
    at, total, visited = routing.Start(0), 0.0, 0
    while not routing.IsEnd(at):
        after = solution.Value(routing.NextVar(at))
        total += math.dist(nodes[manager.IndexToNode(at)][1], nodes[manager.IndexToNode(after)][0])
        visited += not routing.IsEnd(after)
        at = after
    assert visited == len(lines), (visited, len(lines))
    return total


def main():
    folder = pathlib.Path(sys.argv[1])
    seconds = int(sys.argv[2]) if len(sys.argv) > 2 else 30
    found = {}
    for path in sorted(folder.glob("*.json")):
        if path.stem != "reference":
            found[path.stem] = solve(json.loads(path.read_text()), seconds)
            print(path.stem, round(found[path.stem], 1), flush=True)
    (folder / "reference.json").write_text(json.dumps(found, indent=1))


main()
