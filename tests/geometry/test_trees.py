import numpy as np
import pytest

from routeviz.geometry.trees import build_tree, overlapping


def some_boxes(count, seed=3, size=8.0):
    random = np.random.default_rng(seed)
    lows = random.uniform(-100, 100, (count, 3))
    return lows, lows + random.uniform(0, size, (count, 3))


def found_by_tree(tree, low, high, reach=0.0):
    found = np.empty(len(tree.items), np.int64)
    return found[: overlapping(tree, low, high, reach, found)]


def found_one_by_one(lows, highs, low, high, reach):
    gaps = np.maximum(np.maximum(lows - high, low - highs), 0)
    return np.nonzero((gaps**2).sum(axis=1) <= reach**2)[0]


@pytest.mark.parametrize("count", [0, 1, 4, 5, 9, 64, 1000])
@pytest.mark.parametrize("reach", [0.0, 12.0])
def test_the_tree_finds_what_a_look_at_every_box_finds(count, reach):
    lows, highs = some_boxes(count)
    tree = build_tree(lows, highs)
    for low, high in zip(*some_boxes(40, seed=5, size=30), strict=True):
        found = found_by_tree(tree, low, high, reach)
        assert sorted(found) == list(found_one_by_one(lows, highs, low, high, reach))


def test_every_box_lies_in_exactly_one_leaf_and_every_node_is_the_box_round_its_children():
    lows, highs = some_boxes(333)
    tree = build_tree(lows, highs)
    leaves = len(tree.nodes) // 2
    assert sorted(tree.items) == list(range(333))
    assert (tree.boxes == np.hstack([lows, highs])[tree.items]).all()
    for leaf in range(leaves):
        held = tree.boxes[leaf * 333 // leaves : (leaf + 1) * 333 // leaves]
        assert 1 <= len(held) <= 4
        assert (tree.nodes[leaves + leaf] == [*held[:, :3].min(axis=0), *held[:, 3:].max(axis=0)]).all()
    for node in range(1, leaves):
        both = tree.nodes[2 * node : 2 * node + 2]
        assert (tree.nodes[node] == [*both[:, :3].min(axis=0), *both[:, 3:].max(axis=0)]).all()


def test_the_same_boxes_give_the_same_tree_and_the_same_order():
    lows, highs = some_boxes(200)
    first, second = build_tree(lows, highs), build_tree(lows.copy(), highs.copy())
    assert all((a == b).all() for a, b in zip(first, second, strict=True))


def test_boxes_that_all_coincide_are_split_evenly_and_all_found():
    lows = np.zeros((1000, 3))
    tree = build_tree(lows, lows + 1)
    assert len(found_by_tree(tree, np.ones(3), np.full(3, 2.0))) == 1000
    assert len(tree.nodes) == 2 * 256


@pytest.mark.parametrize(
    ("lows", "highs", "message"),
    [
        (np.zeros((3, 2)), np.zeros((3, 3)), r"lows: shape \(n, 3\) wanted"),
        (np.zeros((3, 3)), np.zeros((2, 3)), r"highs: shape \(3, 3\) wanted"),
        (np.full((1, 3), np.nan), np.zeros((1, 3)), "lows: holds a number that is not finite"),
        (np.array([[0, 0, 0], [0, 2.0, 0]]), np.ones((2, 3)), "box 1: its low lies above its high"),
    ],
)
def test_boxes_that_are_none_are_refused(lows, highs, message):
    with pytest.raises(ValueError, match=message):
        build_tree(lows, highs)
