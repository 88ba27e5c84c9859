"""The supply diagram: layers from the pump, and crossings counted as another library counts them."""

import random
from itertools import combinations, pairwise

import pytest
from benched import NAMES, lay_of
from builders import place, read, with_nipple, with_part, with_row, with_tube
from shapely import LineString

from routeviz.pipeline import check_reading
from routeviz.records.supply import crossings, supply_of, untangled


def drawn(order):
    """Where nodes stand: layers far apart, so that no two edges run along each other."""
    return {name: (100.0 * layer, float(k)) for layer, row in enumerate(order) for k, name in enumerate(row)}


def counted(order, edges):
    at = drawn(order)
    lines = [(set(pair), LineString([at[pair[0]], at[pair[1]]])) for pair in edges]
    return sum(one.crosses(other) for (a, one), (b, other) in combinations(lines, 2) if not a & b)


def a_tangle(seed):
    rng = random.Random(seed)
    order = [[f"{layer}{k}" for k in range(rng.randint(1, 5))] for layer in range(4)]
    pairs = [(a, b) for low, high in pairwise(order) for a in low for b in high]
    return order, [pair for pair in pairs if rng.random() < 0.5]


@pytest.mark.parametrize("seed", range(30))
def test_crossings_are_those_of_straight_lines(seed):
    order, edges = a_tangle(seed)
    assert crossings(order, edges) == counted(order, edges)
    better = untangled(order, edges)
    assert counted(better, edges) <= counted(order, edges)
    assert [sorted(row) for row in better] == [sorted(row) for row in order]


def test_an_edge_within_a_layer_passes_over_what_stands_between():
    assert crossings([["a", "b", "c"]], [("a", "c")]) == 1
    assert crossings(untangled([["a", "b", "c"]], [("a", "c")]), [("a", "c")]) == 0


@pytest.mark.parametrize("seed", range(10))
def test_a_tree_is_drawn_without_crossings(seed):
    rng = random.Random(seed)
    layers = [["0"], [], [], []]
    edges = []
    for layer in range(3):
        for parent in layers[layer]:
            for k in range(rng.randint(1, 3)):
                layers[layer + 1].append(f"{parent}{k}")
                edges.append((parent, f"{parent}{k}"))
    for row in layers:
        rng.shuffle(row)
    assert counted(untangled(layers, edges), edges) <= counted(layers, edges)
    in_order = [sorted(row) for row in layers]
    assert crossings(in_order, edges) == 0


def a_supply(folder):
    """A pump feeds a reservoir twice, by way of a tee a motor, and a bellows; a signal works the motor."""
    tee = with_part("tee", kind="tee", at=place(300, 0, 0), runs="right", branches="up", outside=3.97)
    pieces = [
        with_row("pump", "1..4", (0, 0, 0), (60, 0, 0)),
        with_row("reservoir", "1..3", (0, 0, 300), (40, 0, 300), faces="down"),
        with_row("motor", "1..2", (500, 0, 100), (520, 0, 100)),
        with_nipple("bellows valve", (600, 0, 300), faces="down"),
        with_nipple("bar", (700, 0, 0)),
        tee,
    ]
    ways = [
        ("pump 1", "reservoir 1", "always-on vacuum"),
        ("reservoir 2", "pump 2", "always-on vacuum"),
        ("pump 3", "tee 1", "always-on vacuum"),
        ("motor 1", "tee 2", "switched vacuum"),
        ("tee 3", "bellows valve 1", "always-on vacuum"),
        ("bar 1", "motor 2", "signal"),
    ]
    pieces += [with_tube(a, b, corners=[], carries=carries) for a, b, carries in ways]
    pieces.append(
        with_tube("reservoir 3", "loose", hidden="h", carries="always-on vacuum", waits_for="bells")
    )
    return check_reading(read(folder, *pieces))


def test_layers_count_tubes_from_the_pump(tmp_path):
    supply = supply_of(a_supply(tmp_path))
    assert {(node.name, node.kind, node.layer) for node in supply.nodes} == {
        ("pump", "source", 0),
        ("reservoir", "unit", 1),
        ("tee", "tee", 1),
        ("motor", "unit", 2),
        ("bellows valve", "valve", 2),
        ("loose end of 7, for bells", "end", 2),
    }
    assert supply.crossings == 0


def test_edges_lead_away_from_the_pump_and_say_what_they_are(tmp_path):
    supply = supply_of(a_supply(tmp_path))
    told = [(edge.first, edge.second, edge.always_on, edge.abreast) for edge in supply.edges]
    assert told == [
        ("pump", "reservoir", True, (0, 2)),
        ("pump", "reservoir", True, (1, 2)),
        ("pump", "tee", True, (0, 1)),
        ("tee", "motor", False, (0, 1)),
        ("tee", "bellows valve", True, (0, 1)),
        ("reservoir", "loose end of 7, for bells", True, (0, 1)),
    ]
    assert {edge.size for edge in supply.edges} == {"4.0 mm (5/32 in)"}  # builders.NOTE: 3.97 mm bore


def test_a_unit_says_by_what_it_is_worked(tmp_path):
    worked = {node.name: node.worked_by for node in supply_of(a_supply(tmp_path)).nodes}
    assert worked["motor"] == ("bar 1",)
    assert worked["bellows valve"] == ()


@pytest.mark.parametrize("name", NAMES)
def test_no_two_nodes_stand_in_one_place_and_the_examples_have_no_crossing(name):
    supply = supply_of(lay_of(name))
    places = {(node.layer, node.slot) for node in supply.nodes}
    assert len(places) == len(supply.nodes)
    at = {node.name: (100.0 * node.layer, node.slot) for node in supply.nodes}
    pairs = {frozenset((edge.first, edge.second)) for edge in supply.edges}
    lines = [(pair, LineString([at[name] for name in sorted(pair)])) for pair in pairs if len(pair) == 2]
    assert not any(one.crosses(other) for (a, one), (b, other) in combinations(lines, 2) if not a & b)
