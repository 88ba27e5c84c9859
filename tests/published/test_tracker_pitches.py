"""Mechanical Music Digest, archives at mmdigest.com/Archives/Digests: pitches of tracker bars.

2008.02.19.01 (nine holes to the inch for 88 notes, six for 65, paper of 11 1/4 in), 2009.05.13.06 (a hundred
holes at nine to the inch fit it), 2008.01.23.07 and 1997.09.27.08 (band organ, 0.1227 in, 45 holes),
2008.01.23.08 (the same pitch as pi - 0.025 mm). Spans are the arithmetic on these pitches.
"""

import math
from pathlib import Path

import pytest
from builders import read, with_part

from routeviz.scene.parts import NipplesPart
from routeviz.scene.ranges import numbers_in

INCH = 25.4


def bar(folder: Path, model: str) -> NipplesPart:
    part = read(folder, with_part("bar", model=model)).scene.part["bar"]
    assert isinstance(part, NipplesPart)
    return part


def places(part: NipplesPart) -> dict[int, float]:
    """Return how far to the right each hole lies, evenly between the ends of its row."""
    found: dict[int, float] = {}
    for row in part.rows:
        numbers = numbers_in(row.holes)
        assert row.last is not None
        first, last = row.first.right_mm or 0.0, row.last.right_mm or 0.0
        found |= {n: first + (last - first) * i / (len(numbers) - 1) for i, n in enumerate(numbers)}
    return found


@pytest.mark.parametrize(
    ("model", "holes", "span_mm"),
    [
        ("tracker_bar_88", 88, 245.53),  # 87/9 in
        ("tracker_bar_65", 65, 270.93),  # 64/6 in
        ("tracker_bar_98", 98, 273.76),  # 97/9 in
        ("tracker_bar_100", 100, 279.40),  # 11 in
        ("tracker_bar_band_organ_45", 45, 137.13),  # 44 x 0.1227 in
    ],
)
def test_the_holes_of_a_bar_span_what_its_pitch_gives(tmp_path: Path, model: str, holes: int, span_mm: float):
    found = places(bar(tmp_path, model))
    assert sorted(found) == list(range(1, holes + 1))
    assert found[holes] - found[1] == pytest.approx(span_mm, abs=0.005)  # two decimals


@pytest.mark.parametrize(
    ("model", "pitch_mm"),
    [
        ("tracker_bar_88", INCH / 9),
        ("tracker_bar_98", INCH / 9),
        ("tracker_bar_100", INCH / 9),
        ("tracker_bar_65", INCH / 6),
        ("tracker_bar_band_organ_45", 3.1166),
    ],
)
def test_neighbouring_holes_lie_a_pitch_apart_across_the_rows(tmp_path: Path, model: str, pitch_mm: float):
    part = bar(tmp_path, model)
    found = places(part)
    assert part.pitch_mm == pytest.approx(pitch_mm, abs=5e-5)  # four decimals
    assert part.pitch_mm is not None
    for number in range(1, len(found)):
        assert found[number + 1] - found[number] == pytest.approx(part.pitch_mm, abs=1e-6)


def test_two_statements_of_the_band_organ_s_pitch_agree(tmp_path: Path):
    """0.1227 in and (pi - 0.025) mm, to the four digits of the first."""
    assert bar(tmp_path, "tracker_bar_band_organ_45").pitch_mm == pytest.approx(
        math.pi - 0.025, abs=0.00005 * INCH
    )


@pytest.mark.parametrize("model", ["tracker_bar_88", "tracker_bar_65", "tracker_bar_98", "tracker_bar_100"])
def test_the_holes_fit_the_paper(tmp_path: Path, model: str):
    found = places(bar(tmp_path, model))
    assert max(found.values()) - min(found.values()) < 11.25 * INCH
