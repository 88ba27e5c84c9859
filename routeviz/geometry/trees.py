"""Which boxes lie near a box: a tree of axis-aligned boxes in flat arrays, for use inside compiled loops.

What is measured between the things inside the boxes is in neighbours.py and sweeps.py.
"""

from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen, frozen_ints
from routeviz.geometry.compiled import compiled

LEAF = 4  # items: four tests cost about what stepping through the three nodes above them would


class Tree(NamedTuple):
    """Boxes in a binary tree, its k nodes in preorder; a named tuple because compiled loops take it whole.

    The first child of node j is j + 1; ``skips[j]`` is the node after everything below j, so that a walk
    needs no stack: on to j + 1 where the query meets the node, else to ``skips[j]``, until k is reached.

    Parameters
    ----------
    lows, highs : array, shape (k, 3)
        Corners of the box round everything below a node.
    skips : array of int, shape (k,)
        The node after a node's whole subtree.
    firsts : array of int, shape (k + 1,)
        Where a node's own items begin in ``items``; they end at ``firsts[j + 1]``. Inner nodes own none.
    items : array of int, shape (n,)
        Indices of the boxes the tree was built from.
    item_lows, item_highs : array, shape (n, 3)
        Corners of the boxes, in the order of ``items``.
    """

    lows: Floats
    highs: Floats
    skips: Ints
    firsts: Ints
    items: Ints
    item_lows: Floats
    item_highs: Floats


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
    n = check_shape("lows", lows, (None, 3))
    check_shape("highs", highs, (n, 3))
    if (lows > highs).any():
        raise ValueError(
            f"box {int(np.nonzero((lows > highs).any(axis=1))[0][0])}: its low lies above its high"
        )
    items = np.arange(n)
    firsts, ends, skips, count = _split(items, (lows + highs) * 0.5)
    item_lows, item_highs = frozen(lows[items].reshape(n, 3)), frozen(highs[items].reshape(n, 3))
    node_lows, node_highs = _node_boxes(item_lows, item_highs, firsts[:count], ends[:count])
    return Tree(
        lows=frozen(node_lows),
        highs=frozen(node_highs),
        skips=frozen_ints(skips[:count]),
        firsts=frozen_ints(firsts[: count + 1]),
        items=frozen_ints(items),
        item_lows=item_lows,
        item_highs=item_highs,
    )


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
    count, node, limit = 0, 0, reach * reach
    while node < tree.skips.shape[0]:
        if _gap_squared(tree.lows, tree.highs, node, low, high) > limit:
            node = tree.skips[node]
            continue
        for place in range(tree.firsts[node], tree.firsts[node + 1]):
            if _gap_squared(tree.item_lows, tree.item_highs, place, low, high) <= limit:
                found[count] = tree.items[place]
                count += 1
        node += 1
    return count


@compiled
def _gap_squared(lows: Floats, highs: Floats, row: int, low: Floats, high: Floats) -> float:
    total = 0.0
    for axis in range(3):
        gap = max(lows[row, axis] - high[axis], low[axis] - highs[row, axis], 0.0)
        total += gap * gap
    return total


@compiled
def _split(items: Ints, centres: Floats) -> tuple[Ints, Ints, Ints, int]:
    """Order the items in place so that each node's lie together; return firsts, ends, skips, node count."""
    n = items.shape[0]
    firsts, ends = np.zeros(2 * n + 2, np.int64), np.zeros(2 * n + 2, np.int64)
    skips = np.zeros(2 * n + 2, np.int64)
    stack = np.empty(
        (130, 2), np.int64
    )  # two entries a level; halving an int64 count gives at most 64 levels
    stack[0, 0], stack[0, 1] = 0, n
    depth, count = (1, 0) if n > 0 else (0, 0)
    while depth > 0:
        depth -= 1
        begin, end = stack[depth, 0], stack[depth, 1]
        firsts[count], ends[count] = begin, end
        if end - begin > LEAF:
            middle = (begin + end) // 2
            _select(items, centres[:, _widest(items, centres, begin, end)], begin, end, middle)
            stack[depth, 0], stack[depth, 1] = middle, end
            stack[depth + 1, 0], stack[depth + 1, 1] = begin, middle
            depth += 2
            skips[count] = -1
        count += 1
    # A node begins where its first child does, so in preorder its own items end where the next begins.
    firsts[count] = n
    for node in range(count - 1, -1, -1):
        if skips[node] < 0:
            # A subtree ends where its second child's does, and the second child follows the first.
            skips[node] = skips[skips[node + 1]]
        else:
            skips[node] = node + 1
    return firsts, ends, skips, count


@compiled
def _widest(items: Ints, centres: Floats, begin: int, end: int) -> int:
    best, widest = -1.0, 0
    for axis in range(3):
        low = high = centres[items[begin], axis]
        for place in range(begin + 1, end):
            low = min(low, centres[items[place], axis])
            high = max(high, centres[items[place], axis])
        if high - low > best:
            best, widest = high - low, axis
    return widest


@compiled
def _select(items: Ints, keys: Floats, begin: int, end: int, middle: int) -> None:
    """Order items[begin:end]: none before ``middle`` has a larger key than one after; ties by index."""
    left, right = begin, end - 1
    while left < right:
        pivot = items[(left + right) // 2]
        i, j = left, right
        while i <= j:
            while _before(keys, items[i], pivot):
                i += 1
            while _before(keys, pivot, items[j]):
                j -= 1
            if i <= j:
                items[i], items[j] = items[j], items[i]
                i += 1
                j -= 1
        if middle <= j:
            right = j
        elif middle >= i:
            left = i
        else:
            return


@compiled
def _before(keys: Floats, a: int, b: int) -> bool:
    return keys[a] < keys[b] or (keys[a] == keys[b] and a < b)


@compiled
def _node_boxes(item_lows: Floats, item_highs: Floats, firsts: Ints, ends: Ints) -> tuple[Floats, Floats]:
    count = firsts.shape[0]
    lows, highs = np.empty((count, 3)), np.empty((count, 3))
    for node in range(count):
        for axis in range(3):
            low, high = np.inf, -np.inf
            for place in range(firsts[node], ends[node]):
                low = min(low, item_lows[place, axis])
                high = max(high, item_highs[place, axis])
            lows[node, axis], highs[node, axis] = low, high
    return lows, highs
