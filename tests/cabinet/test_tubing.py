from pathlib import Path

import pytest
from builders import read, with_tubing
from placed import a_cabinet, the_problem

from routeviz.cabinet.placing import place
from routeviz.cabinet.tubing import TubeKind


def kind(**values: object) -> TubeKind:
    return a_cabinet(with_tubing("soft", **values)).tubing["soft"]


def test_the_outside_is_the_bore_and_twice_the_wall() -> None:
    # 5/32 in bore with a wall of 1/32 in is 7/32 in outside: 5.55625 mm.
    soft = kind(bore="5/32 in", outside=None, wall="1/32 in")
    assert soft.outside_mm == pytest.approx(7 / 32 * 25.4, abs=1e-9)


def test_a_bend_radius_to_the_inner_side_is_taken_to_the_centreline() -> None:
    assert kind(least_bend=None, least_bend_inner=20, outside=6).least_bend_mm == 23
    assert kind(least_bend=22).least_bend_mm == 22


def test_where_no_bend_radius_is_known_none_is_said_and_no_source() -> None:
    soft = kind(least_bend=None)
    assert (soft.least_bend_mm, soft.source) == (None, "")


def test_the_source_is_that_of_the_bend_radius_in_the_form_in_which_it_was_entered() -> None:
    source = {"least_bend": "a catalogue", "least_bend_inner": "another", "bore": "a gauge"}
    assert kind(source=source).source == "a catalogue"
    assert kind(least_bend=None, least_bend_inner=20, source=source).source == "another"
    assert kind().source == "entered without a source"


def test_without_a_source_it_is_told_how_the_bend_radius_is_known(tmp_path: Path) -> None:
    def source(**values: object) -> str:
        return place(read(tmp_path, with_tubing("soft", **values))).tubing["soft"].source

    tried = {"is": 22, "status": "measured", "spread": 2, "why": "it flattened there"}
    assert source(least_bend=tried) == "measured, to within 2.0 mm; it flattened there"
    assert source(least_bend={"is": 22, "status": "assumed"}) == "assumed"
    assert source(least_bend=tried, source={"least_bend": "a catalogue"}) == "a catalogue"


def test_what_a_kind_says_of_itself_is_kept() -> None:
    soft = kind(describes="soft and black", material="gum rubber", longest=900, density=None)
    assert (soft.name, soft.describes, soft.material) == ("soft", "soft and black", "gum rubber")
    assert (soft.longest_mm, soft.density_g_cm3, soft.modulus_mpa) == (900, None, 1.2)
    assert kind().describes == "soft"


@pytest.mark.parametrize(
    ("values", "key", "found", "allowed", "remedy"),
    [
        (
            {"outside": 6, "wall": 1},
            ".wall",
            "both outside and wall",
            "one of the two",
            "keep the one that was measured",
        ),
        (
            {"outside": None},
            "",
            "neither outside nor wall",
            "one of the two",
            "add the outside diameter, or the wall",
        ),
        (
            {"bore": 6, "outside": 6},
            ".outside",
            "an outside of 6.00 mm about a bore of 6.00 mm",
            "an outside wider than the bore",
            "correct one of them; the outside is the bore and twice the wall",
        ),
        (
            {"least_bend_inner": 20},
            ".least_bend_inner",
            "both least_bend and least_bend_inner",
            "one of them: to the centreline, or to the inner side",
            "keep the one that the maker gives",
        ),
    ],
)
def test_measures_that_are_no_tube_s_are_refused(
    values: dict[str, object], key: str, found: str, allowed: str, remedy: str
) -> None:
    said = the_problem(with_tubing("soft", **values))
    assert said == (f"tubing.soft{key}", found, allowed, remedy)
