"""What nobody measured: told by lines, faces and words in pictures; what was measured is as ever."""

import io
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import a_scene, a_table, written
from half_known import pieces
from PIL import Image

from routeviz.lay import Lay
from routeviz.pipeline import check_scene
from routeviz.views.cameras import projected
from routeviz.views.display import Display, display
from routeviz.views.items import Item
from routeviz.views.lettering import FINE, legend_rows, whole_page
from routeviz.views.picture import whole_pictures
from routeviz.views.shades import BANDS, MANNERS, MARKED, SOLIDS, TUBES, as_known, contrast
from routeviz.views.shots import near, whole
from routeviz.views.stepping import Looking, lay_of, scene

SCENES = Path(__file__).parents[2] / "scenes"
DOUBTFUL = ("inferred", "analogous", "assumed", "designed")
SIZE = (800, 500)


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return check_scene(written(tmp_path_factory.mktemp("said"), a_scene(*pieces(said=True))))


@pytest.fixture(scope="module")
def silent(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return check_scene(written(tmp_path_factory.mktemp("silent"), a_scene(*pieces(said=False))))


@pytest.fixture(scope="module")
def measured(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    """The silent scene, of which all is said to have been measured."""
    doubt = a_table("doubt", status="measured", by="Ann", spread=1)
    return check_scene(written(tmp_path_factory.mktemp("measured"), a_scene(*pieces(said=False), doubt)))


@pytest.fixture(scope="module")
def as_found() -> Lay:
    return check_scene(SCENES / "as_found.toml")


def shown(lay: Lay) -> Display:
    return display(lay.cabinet, lay.tubes, lay.measured, lay.findings)


def item(lay: Lay, name: str, kind: str = "solid") -> Item:
    (found,) = [one for one in shown(lay).items if (one.name, one.kind) == (name, kind)]
    return found


# ── how it looks ─────────────────────────────────────────────────────────────────────────────────
def test_each_status_has_lines_of_its_own_so_that_none_rests_on_a_hue() -> None:
    looks = {status: as_known(SOLIDS["wood"], status) for status in DOUBTFUL}  # type: ignore[arg-type]
    assert len({look.dashes for look in looks.values()}) == len(DOUBTFUL)
    for look in looks.values():
        assert len(look.dashes) in (2, 4)
        assert all(
            0 < length <= 63 and length == int(length) for length in look.dashes
        )  # as the page packs them
        assert look.line_px > SOLIDS["wood"].line_px


def test_what_was_measured_or_documented_or_nobody_speaks_of_looks_as_ever() -> None:
    for look in SOLIDS.values():
        assert as_known(look, "measured") is as_known(look, "documented") is as_known(look, None) is look


def test_what_is_assumed_is_dotted_and_seen_through_whatever_it_is_made_of() -> None:
    for look in SOLIDS.values():
        assumed = as_known(look, "assumed")
        drawn, left = assumed.dashes
        assert drawn < left
        assert assumed.opacity < 0.5 * min(one.opacity for one in SOLIDS.values())


def test_what_is_inferred_is_paler_and_dashed(lay: Lay) -> None:
    look, usual = item(lay, "seen").look, SOLIDS["wood"]
    assert contrast(look.colour, "#ffffff") < contrast(usual.colour, "#ffffff")
    assert look.opacity == usual.opacity
    assert look.dashes[0] > look.dashes[1]


def test_an_item_has_the_status_of_its_parts_least_sure_value(lay: Lay) -> None:
    found = {
        one.name: one.status for one in shown(lay).items if one.kind in ("solid", "keep clear", "passage")
    }
    assert found == {
        "shelf": "assumed",
        "sure": "measured",
        "listed": "documented",
        "guess": "assumed",
        "seen": "inferred",
        "like": "assumed",  # its height alone
        "hand": "designed",
        "shelf hole": "assumed",
    }
    broken = {one.name for one in shown(lay).items if one.look.dashes}
    assert broken == {"shelf", "guess", "seen", "like", "hand", "shelf hole"}


def test_a_tube_that_nobody_measured_is_banded_with_its_own_colour_made_pale(lay: Lay, silent: Lay) -> None:
    low, left = item(lay, "low 1", "tube"), item(lay, "left 1", "tube")
    assert low.status == "assumed"
    assert low.bands.any()
    assert low.look.colour == TUBES["signal"].colour == left.look.colour
    assert contrast(low.look.second, low.look.colour) > 1.5
    assert contrast(low.look.second, "#ffffff") < 1.3
    assert left.status is None
    assert not left.bands.any()
    assert not item(silent, "low 1", "tube").bands.any()


def test_the_pale_bands_of_an_assumed_tube_are_told_from_those_of_a_fault(lay: Lay) -> None:
    for pattern in BANDS.values():
        assert MANNERS["assumed"].bands != pattern
    assert (
        min(contrast(MARKED["fault"].colour, "#ffffff"), contrast(MARKED["caution"].second, "#ffffff")) > 4.5
    )


def test_a_scene_that_says_all_was_measured_is_drawn_as_one_that_says_nothing(
    silent: Lay, measured: Lay
) -> None:
    one, other = shown(silent), shown(measured)
    assert len(one.items) == len(other.items)
    for a, b in zip(one.items, other.items, strict=True):
        for field in fields(Item):
            if field.name != "status":
                same = (
                    np.array_equal if isinstance(getattr(a, field.name), np.ndarray) else lambda x, y: x == y
                )
                assert same(getattr(a, field.name), getattr(b, field.name)), (a.name, field.name)
    assert {b.status for b in other.items if b.kind == "solid"} == {"measured"}
    assert one.legend == other.legend
    assert [label.text for label in one.labels] == [label.text for label in other.labels]


# ── in words ─────────────────────────────────────────────────────────────────────────────────────
def test_names_on_a_picture_tell_what_nobody_measured(lay: Lay) -> None:
    texts = {label.name: label.text for label in shown(lay).labels if label.kind != "tube"}
    assert texts["guess"] == "guess (assumed)"
    assert texts["seen"] == "seen (inferred)"
    assert texts["hand"] == "hand: a hand (designed)"
    assert (texts["sure"], texts["listed"]) == ("sure", "listed")


def test_the_legend_tells_each_status_that_is_there_and_no_other(
    lay: Lay, silent: Lay, as_found: Lay
) -> None:
    def told(one: Lay) -> list[str]:
        return [entry.text for entry in shown(one).legend if entry.form == "doubt"]

    assert told(silent) == []
    assert [text.split(":")[0] for text in told(lay)] == ["inferred", "assumed", "designed"]
    assert "assumed: nobody measured it" in told(lay)
    assert [text.split(":")[0] for text in told(as_found)] == list(DOUBTFUL)


def test_a_legend_with_more_than_two_rows_has_room_for_all_of_them(as_found: Lay) -> None:
    legend = shown(as_found).legend
    assert legend_rows(SIZE, legend[:2]) == 1
    rows = legend_rows(SIZE, legend)
    assert rows > 2
    tall, usual = whole_page(SIZE, with_column=True, rows=rows), whole_page(SIZE, with_column=True)
    assert tall.area[3] < usual.area[3]


def test_the_legend_keeps_points_that_were_taped_apart_from_the_tube_that_is_fitted_to_them(
    as_found: Lay,
) -> None:
    (text,) = [entry.text for entry in shown(as_found).legend if entry.form == "dots"]
    assert "measured" in text
    assert "fitted" in text


def test_the_window_tells_which_parts_nobody_measured_and_of_a_tube_that_it_was_not(
    lay: Lay, silent: Lay
) -> None:
    def words(one: Lay, **looking: Any) -> str:
        seen = lay_of(one.cabinet, one.tubes, one.measured, one.findings, 1.6)
        return scene(Looking(**looking), None, seen).words

    assert "Assumed: shelf, guess, like, shelf hole, low 1." in words(lay)
    assert "Inferred: seen." in words(lay)
    assert "assumed" in words(lay, tube=0)
    assert "assumed" not in words(lay, tube=1)
    assert "ssumed" not in words(silent) + words(silent, tube=0)


# ── pictures ─────────────────────────────────────────────────────────────────────────────────────
def changes_along_the_lower_edge(lay: Lay, part: str) -> int:
    """How often a picture from the front turns from line to gap along a part's lower front edge."""
    page = whole_page(SIZE, with_column=bool(lay.findings))
    seen = display(lay.cabinet, lay.tubes, lay.measured, lay.findings, aspect=page.seen[0] / page.seen[1])
    ((_, content),) = whole_pictures(lay, ("front",), SIZE)
    grey = np.asarray(Image.open(io.BytesIO(content)).convert("L")).astype(float)
    points = item(lay, part).points
    low, high = points.min(axis=0), points.max(axis=0)
    places, _ = projected(seen.views[1], np.array([low, [high[0], low[1], low[2]]]), page.seen)
    (left, y), (right, _) = places + np.array(page.area[:2]) / FINE
    row = grey[int(y) - 2 : int(y) + 3, int(left) + 3 : int(right) - 3].min(axis=0)
    dark = row < 0.5 * (row.min() + grey.max())
    return int(np.count_nonzero(np.diff(dark)))


def test_on_a_picture_the_edge_of_an_assumed_part_is_broken_and_that_of_a_measured_one_is_not(
    lay: Lay,
) -> None:
    assert changes_along_the_lower_edge(lay, "sure") <= 2
    assert changes_along_the_lower_edge(lay, "guess") >= 8


def test_near_by_and_as_a_whole_an_assumed_part_stays_seen_through(as_found: Lay) -> None:
    seen = shown(as_found)
    assert seen.closeups
    pictures = [near(seen, one, as_found.cabinet) for one in seen.closeups]
    pictures += [whole(seen, view) for view in seen.views]
    for drawn in pictures:
        (board,) = [one for one in drawn if one.item.name == "bottom board"]
        assert board.item.status == "assumed"
        assert board.look.opacity < 0.2
