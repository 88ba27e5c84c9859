"""What is printed at true size, measured on the dots of a print, 600 to the inch (0.042 mm each).

Places are found as the middle of the ink across a stroke, which is finer than a dot.
"""

from collections import Counter

import numpy as np
import pytest
from benched import lay_of
from printed import MM, PAPERS, dots, opened, pressed, rects, stroke_at, window

from routeviz.geometry.curves import points_along
from routeviz.records.drawn import marks_of_svg
from routeviz.records.paper import Cutout, Oval, Path, line, new_page
from routeviz.records.plate_pages import Plate, placed, plate_pages, tiled
from routeviz.records.settings import Settings
from routeviz.records.tubing_test import LEGS, RADII, half_circle, tubing_pages
from routeviz.views.plates import plate

NEAR = 0.05
CHECK = "This line is 100 mm long"


def length_of_check_line(page):
    """The distance between the ticks of the check line that stands above its words."""
    words = next(r for r in rects(page) if r.what.startswith(CHECK))
    ink, mm = dots(page, below=(words.top - 8.0, words.top - 0.6))
    part, (begin, _) = window(ink, mm, (words.left - 3.0, 0.0, words.left + 110.0, 20.0))
    level = int(np.argmax(part.sum(axis=1)))  # the line itself
    above = part[max(level - round(1.2 / mm), 0) : level - round(0.5 / mm)].sum(axis=0)
    places = np.nonzero(above > 0.5 * above.max())[0]
    groups = np.split(places, np.nonzero(np.diff(places) > round(20 / mm))[0] + 1)
    assert len(groups) == 2
    first, last = (stroke_at(above[g[0] - 3 : g[-1] + 4], mm, begin + (g[0] - 3) * mm) for g in groups)
    return last - first


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["thistledown", "harbour_hall"])
def test_the_check_line_on_every_sheet_at_true_size_is_100_mm_long(name, paper):
    settings = Settings(paper=paper)
    pages = [
        p
        for p in (*plate_pages(lay_of(name), settings), *tubing_pages(lay_of(name), settings))
        if p.scale == "1:1"
    ]
    assert len(pages) > 4
    for page in opened(pressed(pages)):
        assert length_of_check_line(page) == pytest.approx(100.0, abs=NEAR)


def centre_of_ring(ink, mm, at, radius):
    """The centre and radius of a printed circle: a circle fitted to the middle of its stroke on many rays."""
    found = []
    for turn in np.linspace(0, 2 * np.pi, 72, endpoint=False):
        out = np.arange(radius - 0.5, radius + 0.5, mm / 4)
        xs, ys = at[0] + out * np.cos(turn), at[1] + out * np.sin(turn)
        values = ink[(ys / mm).astype(int), (xs / mm).astype(int)]
        if values.sum() > 0:
            r = float((out * values).sum() / values.sum())
            found.append((at[0] + r * np.cos(turn), at[1] + r * np.sin(turn)))
    points = np.array(found)
    matrix = np.column_stack([2 * points, np.ones(len(points))])
    x, y, c = np.linalg.lstsq(matrix, (points**2).sum(axis=1), rcond=None)[0]
    return (x, y), float(np.sqrt(c + x * x + y * y))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_tubes_of_a_plate_are_printed_where_they_go_through(paper):
    # Against arithmetic on the plan itself: where the tubes cross the middle of the board, seen from above.
    lay = lay_of("thistledown")
    passage = lay.cabinet.passages["key bed treble"]
    size, marks = marks_of_svg(plate(lay, "key bed treble", "front"))
    (page,) = placed([Plate(title="a plate", size=size, marks=marks)], paper)
    (printed,) = opened(pressed([page]))
    ink, mm = dots(printed)
    wanted = crossings(lay, passage)
    assert len(wanted) == 20
    rings = [mark for mark in page.marks if isinstance(mark, Oval) and mark.radii[0] > 2.0]
    spots, outsides = [], []
    for ring in rings:
        centre, radius = centre_of_ring(ink, mm, ring.centre, ring.radii[1])
        spots.append(centre)
        outsides.append(radius)
    spots = np.array(spots)
    spots -= spots.mean(axis=0)
    places = np.array([(x, -y) for x, y in wanted])
    places -= places.mean(axis=0)
    gaps = np.linalg.norm(spots[:, None] - places[None], axis=2)
    assert gaps.min(axis=1).max() < NEAR
    assert sorted(gaps.argmin(axis=1).tolist()) == list(range(20))
    assert np.allclose(outsides, [ring.radii[1] for ring in rings], atol=NEAR)


def crossings(lay, passage):
    """Where tubes cross a level passage's middle, by walking along their centrelines in small steps."""
    found = []
    for tube in lay.tubes:
        if passage.name in tube.through:
            along = np.arange(0.0, float(tube.curve.lengths.sum()), 0.05)
            points = np.asarray(points_along(tube.curve, along))
            below = np.sign(points[:, 2] - passage.origin[2])
            k = int(np.nonzero(np.diff(below))[0][0])
            share = (passage.origin[2] - points[k, 2]) / (points[k + 1, 2] - points[k, 2])
            found.append(points[k, :2] + share * (points[k + 1, :2] - points[k, :2]))
    return found


def test_half_circles_are_printed_with_the_radii_that_they_name():
    page = new_page("A4", "bends", scale="1:1")
    centre = (105.0, 120.0)
    page.draw(*(half_circle(centre, radius) for radius in RADII))
    (printed,) = opened(pressed([page]))
    ink, mm = dots(printed)
    for radius in RADII:
        for turn in np.radians([185, 210, 240, 270, 300, 330, 355]):
            out = np.arange(radius - 0.7, radius + 0.7, mm / 4)
            xs, ys = centre[0] + out * np.cos(turn), centre[1] + out * np.sin(turn)
            values = ink[(ys / mm).astype(int), (xs / mm).astype(int)]
            assert (out * values).sum() / values.sum() == pytest.approx(radius, abs=NEAR)
        leg = ink[round((centre[1] + LEGS / 2) / mm)]
        for side in (-1, 1):
            low = round((centre[0] + side * radius - 0.7) / mm)
            assert stroke_at(leg[low : low + round(1.4 / mm)], mm, low * mm) == pytest.approx(
                centre[0] + side * radius, abs=NEAR
            )


@pytest.mark.parametrize("paper", PAPERS)
def test_the_bend_page_has_the_half_circles_on_it(paper):
    bends = tubing_pages(lay_of("thistledown"), Settings(paper=paper))[0]
    across = [[x for x, _ in mark.points] for mark in bends.marks if isinstance(mark, Path)]
    widths = {round(max(xs) - min(xs), 6) for xs in across}
    assert {2 * radius for radius in RADII} <= widths


@pytest.mark.parametrize("paper", PAPERS)
def test_a_plate_larger_than_the_paper_is_tiled_so_that_its_marks_and_lines_meet(paper):
    size = (500.0, 400.0)
    places = [(x, y) for x in np.arange(20, 490, 40.0) for y in np.arange(20, 390, 40.0)]
    rings = tuple(Oval(centre=place, radii=(3.0, 3.0)) for place in places)
    pages = tiled(Plate(title="large", size=size, marks=rings), paper)
    assert len(pages) > 3
    crosses, shown = Counter(), set()
    for page in pages:
        box = tile_of(page)
        (cut,) = [mark for mark in page.marks if isinstance(mark, Cutout)]
        right, down = np.subtract(cut.marks[0].centre, places[0])
        here = [mark.centre for mark in page.marks if isinstance(mark, Oval)]
        assert len(here) >= 2  # one alone would let a sheet turn
        crosses.update((round(x - right, 6), round(y - down, 6)) for x, y in here)
        for x, y in places:
            if box.left < x + right < box.right and box.top < y + down < box.bottom:
                shown.add((x, y))
    assert min(crosses.values()) >= 2  # each on the sheets that meet there
    assert shown == set(places)


def tile_of(page):
    """The box of what is cut out: the largest on the page."""
    return max(page.boxes, key=lambda b: (b.right - b.left) * (b.bottom - b.top))


def test_a_registration_mark_is_printed_where_it_is_put_and_tiles_are_cut_out():
    size = (300.0, 100.0)
    ring = Oval(centre=(190.0, 50.0), radii=(3.0, 3.0), wide=0.2)
    pages = tiled(Plate(title="long", size=size, marks=(ring,)), "A4")
    for page, printed in zip(pages, opened(pressed(pages)), strict=True):
        ink, mm = dots(printed)
        for mark in (m for m in page.marks if isinstance(m, Oval)):
            centre, radius = centre_of_ring(ink, mm, mark.centre, mark.radii[0])
            assert centre == pytest.approx(mark.centre, abs=NEAR)
            assert radius == pytest.approx(2.0, abs=NEAR)
        box = tile_of(page)
        beyond, _ = window(ink, mm, (box.right + 0.3, box.top, printed.get_size()[0] * MM, box.bottom))
        assert beyond.sum() == 0


def test_a_check_line_that_is_short_is_noticed():
    page = new_page("A4", "any", scale="1:1")
    says = f"{CHECK}, it says"
    page.draw(line((20, 50), (119.9, 50)), line((20, 48.5), (20, 51.5)), line((119.9, 48.5), (119.9, 51.5)))
    page.write((20, 55), says, 8.0)
    (printed,) = opened(pressed([page]))
    assert length_of_check_line(printed) == pytest.approx(99.9, abs=0.03)
