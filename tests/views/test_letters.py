"""Words on a sheet: how wide they are, where they break, how they are kept apart."""

import numpy as np
import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from scipy.optimize import minimize

from routeviz.views.letters import broken, shortened, spread, width_mm


@pytest.mark.parametrize("text", ["HIH", "bed 1349.8 keys", "Ünïcödé"])
def test_words_are_as_wide_as_their_outlines(text: str) -> None:
    path = TextPath((0, 0), text, size=1.8 / 0.729, prop=FontProperties(family="DejaVu Sans"))
    low, high = path.get_extents().get_points()
    # Outlines lack the bearings of the first and the last letter: a third of a millimetre each at most.
    assert high[0] - low[0] <= width_mm(text, 1.8) <= high[0] - low[0] + 0.7


def test_shortened_words_fit_and_say_that_they_are() -> None:
    assert shortened("short", 1.8, 30.0) == "short"
    short = shortened("a rather long name", 1.8, 12.0)
    assert short.endswith("…")
    assert width_mm(short, 1.8) <= 12.0


def test_broken_words_fit_and_nothing_is_lost() -> None:
    text = "several words and averyveryverylongwordthatnobodycanwriteinoneline at the end"
    lines = broken(text, 1.8, 20.0)
    assert max(width_mm(line, 1.8) for line in lines) <= 20.0
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_spread_places_are_the_nearest_that_keep_apart() -> None:
    """Against a general optimiser, on places and sizes by chance."""
    rng = np.random.default_rng(5)
    for _ in range(5):
        wanted, sizes = np.sort(rng.uniform(0, 30, 8)), rng.uniform(2, 6, 8)
        gaps = 0.5 * (sizes[1:] + sizes[:-1])
        apart = {"type": "ineq", "fun": lambda x, gaps=gaps: np.diff(x) - gaps}
        start = wanted[0] + np.append(0.0, np.cumsum(gaps + 1.0))
        best = minimize(lambda x, w=wanted: ((x - w) ** 2).sum(), start, constraints=[apart], tol=1e-12)
        assert spread(wanted.tolist(), sizes.tolist()) == pytest.approx(best.x, abs=1e-3)


def test_places_far_apart_stay() -> None:
    assert spread([0.0, 10.0, 20.0], [3.0, 3.0, 3.0]) == [0.0, 10.0, 20.0]
    assert spread([], []) == []
