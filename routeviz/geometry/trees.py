"""Which boxes lie near a box: a tree of axis-aligned boxes in flat arrays, for use inside compiled loops.

What is measured between the things inside the boxes is in neighbours.py and sweeps.py.
"""

from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen, frozen_ints
from routeviz.geometry.compiled import compiled, inner

LEAF = 4  # boxes a leaf holds at most: testing four costs about what stepping through the nodes above would


class Tree(NamedTuple):
    """n boxes in a balanced binary tree; a named tuple because compiled loops take it whole.

    Nodes are numbered by level: 1 is the root, 2j and 2j + 1 are the children of j, the last L = 2^d are the
    leaves; leaf i holds the boxes from ``i * n // L`` to before ``(i + 1) * n // L``. A box is a row: its low
    corner, then its high corner.

    Parameters
    ----------
    nodes : array, shape (2 L, 6)
        The box round everything below each node; row 0 is not used.
    boxes : array, shape (n, 6)
        The boxes themselves, ordered so that each node's lie together.
    items : array of int, shape (n,)
        Which of the boxes that the tree was built from each of them is.
    """

    nodes: Floats
    boxes: Floats
    items: Ints


def build_tree(lows: Floats, highs: Floats) -> Tree:
    """Return a tree over boxes: split at the median along the widest side, the same tree for the same boxes.

    Parameters
    ----------
    lows, highs : array, shape (n, 3)
        Opposite corners of each box, ``lows <= highs``; n may be 0.

    Returns
    -------
    tree : Tree
        Read-only.

    Raises
    ------
    ValueError
        A shape differs, a number is not finite, or a low lies above its high.
    """
    count = check_shape("lows", lows, (None, 3))
    check_shape("highs", highs, (count, 3))
    for box in np.nonzero((lows > highs).any(axis=1))[0]:
        raise ValueError(f"box {box}: its low lies above its high")
    leaves = 1
    while count > LEAF * leaves:
        leaves *= 2
    items = _ordered(lows + highs, leaves)
    boxes = np.hstack([lows, highs])[items]
    nodes = np.zeros((2 * leaves, 6))
    if count:
        begins = np.arange(leaves) * count // leaves
        nodes[leaves:, :3] = np.minimum.reduceat(boxes[:, :3], begins)
        nodes[leaves:, 3:] = np.maximum.reduceat(boxes[:, 3:], begins)
    while leaves > 1:
        children, leaves = nodes[leaves : 2 * leaves], leaves // 2
        nodes[leaves : 2 * leaves, :3] = np.minimum(children[0::2, :3], children[1::2, :3])
        nodes[leaves : 2 * leaves, 3:] = np.maximum(children[0::2, 3:], children[1::2, 3:])
    return Tree(nodes=frozen(nodes), boxes=frozen(boxes), items=frozen_ints(items))


def _ordered(centres: Floats, leaves: int) -> Ints:
    """Return the order in which each node's boxes lie together, by sorting level after level."""
    count, parts = len(centres), 1
    order = np.arange(count)
    while parts < leaves:
        bounds = np.arange(parts + 1) * count // parts
        part = np.repeat(np.arange(parts), np.diff(bounds))
        sides = np.maximum.reduceat(centres[order], bounds[:-1]) - np.minimum.reduceat(
            centres[order], bounds[:-1]
        )
        widest = np.argmax(sides, axis=1)
        order = order[np.lexsort((centres[order, widest[part]], part))]
        parts *= 2
    return order


@compiled
def overlapping(tree: Tree, low: Floats, high: Floats, reach: float, found: Ints) -> int:
    """Write the items whose box is at most ``reach`` away from a box; return how many there are.

    For use inside compiled loops: nothing is checked and nothing is allocated.

    Parameters
    ----------
    tree : Tree
        From ``build_tree``.
    low, high : array, shape (3,)
        Corners of the query box.
    reach : float
        Largest distance between boxes, >= 0; 0 finds those that touch or overlap.
    found : array of int, at least as long as the tree has items
        Filled from the front, in the tree's order: the same order each time, not ascending.

    Returns
    -------
    count : int
        How many entries of ``found`` were written.
    """
    items, leaves = tree.items.shape[0], tree.nodes.shape[0] // 2
    count, node = 0, 1 if items > 0 else 0
    while node > 0:
        near = _is_near(tree.nodes, node, low, high, reach)
        if near and node < leaves:
            node *= 2
            continue
        if near:
            leaf = node - leaves
            for place in range(leaf * items // leaves, (leaf + 1) * items // leaves):
                if _is_near(tree.boxes, place, low, high, reach):
                    found[count] = tree.items[place]
                    count += 1
        # Second children, the odd ones, are done with their parents; the root too, which ends the walk at 0.
        while node % 2 == 1:
            node //= 2
        if node > 0:
            node += 1
    return count


@inner
def _is_near(boxes: Floats, row: int, low: Floats, high: Floats, reach: float) -> bool:
    total = 0.0
    for axis in range(3):
        gap = max(boxes[row, axis] - high[axis], low[axis] - boxes[row, axis + 3], 0.0)
        total += gap * gap
    return total <= reach * reach
