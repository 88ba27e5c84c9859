"""The bound on passage choices is held to plain search: of points in openings, and of all choices."""

from itertools import product

import numpy as np
import pytest
from benchmarks.cabinets import a_cabinet
from benchmarks.choices import Choices, choices_of
from verifier.lays import case_of
from verifier.openings import openings

FEW = 5  # tubes: every choice of them can be looked at


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    path = tmp_path_factory.mktemp("cabinet") / "small.toml"
    for seed in range(20):  # the first that has two boards
        path.write_text(a_cabinet(seed, 12).text, encoding="utf-8")
        found = case_of(path)
        if "shelf" in found.scene.tables["part"]:
            return found
    raise AssertionError("no cabinet has two boards")


def few_of(whole) -> Choices:
    tubes = {tube["name"]: (tube["from"], tube["to"]) for tube in whole.scene.tables["tubes"][:FEW]}
    return choices_of(whole, tubes)


def test_a_shortest_way_is_that_of_a_search_over_points_of_both_openings(whole):
    choices, every = few_of(whole), openings(whole)
    tube = whole.scene.tables["tubes"][0]
    start, end = whole.nipples[tube["from"]].tip, whole.nipples[tube["to"]].tip
    for column, way in enumerate(choices.ways[:6]):
        points = [points_in(every[name], 4.58) for name in way]
        up = np.linalg.norm(points[0] - start, axis=1)[:, None]
        down = np.linalg.norm(points[1] - end, axis=1)[None, :]
        best = (up + np.linalg.norm(points[0][:, None] - points[1][None, :], axis=2) + down).min()
        assert best - 0.7 <= choices.costs[0, column] <= best + 0.01


def points_in(opening, away):
    low, high = opening.outline.min(axis=0) + away, opening.outline.max(axis=0) - away
    rows = [np.linspace(min(a, b), max(a, b), int(max(b - a, 0)) + 2) for a, b in zip(low, high, strict=True)]
    across = np.array(list(product(*rows)))
    return opening.origin + across @ opening.axes[:2]


@pytest.mark.parametrize("seed", range(6))
def test_the_best_choice_is_that_of_trying_every_one(seed):
    draw = np.random.default_rng(seed)
    ways = [(f"a{i}", f"b{j}") for i in range(2) for j in range(2)]
    most = {"a0": 2, "a1": 4, "b0": 3, "b1": 2}
    choices = Choices([f"t{k}" for k in range(FEW)], ways, draw.uniform(100, 900, (FEW, 4)), most)
    totals = []
    for columns in product(range(4), repeat=FEW):
        taken = {name: ways[column] for name, column in zip(choices.tubes, columns, strict=True)}
        if not choices.crowded(taken):
            totals.append(choices.cost_of(taken))
    best = choices.best()
    assert choices.crowded(best) == []
    assert choices.cost_of(best) == pytest.approx(min(totals))
    assert choices.bound() == pytest.approx(min(totals), rel=1e-4)
