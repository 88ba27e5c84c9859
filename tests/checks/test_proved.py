"""What a check says of itself: what it proved, how narrowly, and what it left out."""

from dataclasses import replace

import pytest
from builders import NOTE, a_table, read, with_box, with_nipple, with_tube, with_tubing
from verdicts import a_tube_up

from routeviz.checks.proved import proved
from routeviz.pipeline import check_reading


@pytest.fixture
def lay_of(tmp_path):
    def of(*pieces):
        return check_reading(read(tmp_path, *pieces))

    return of


def test_what_was_measured_is_counted(lay_of):
    swinging = {"turns_about": "right", "travel": 3}
    lay = lay_of(
        a_tube_up(),
        with_box("post", (20, 0, 0), (5, 5, 300)),
        with_box("flap", (-60, 0, 0), (20, 20, 300), motion=swinging),
        with_nipple("here", (90, 0, 0)),
        with_nipple("there", (90, 0, 300)),
        with_tube("here 1", "there 1"),
    )
    assert lay.proved[0] == (
        "1 of 2 tubes were measured along their whole centrelines against 1 fixed and 1 moving solids, "
        "these through their whole travel, and against each other; every clearance is proved to within "
        "0.05 mm. That is of tubes and parts as they are drawn, not of the instrument."
    )
    assert "Nothing was tested of the one tube without a centreline." in lay.proved


def test_a_clearance_that_is_known_less_narrowly_is_not_passed_off_as_narrow(lay_of):
    lay = lay_of(a_tube_up(), with_box("post", (6, -3, 0), (5, 5, 300)))
    first, *others = lay.measured.solids
    wide = replace(lay.measured, solids=(replace(first, low_mm=first.high_mm - 0.07), *others))
    said = proved(lay.cabinet, lay.tubes, wide)[0]
    assert "within 0.05 mm, but for 1, proved to within 0.07 mm. " in said


def test_beside_what_is_proved_stands_how_far_off_the_tape_may_be(lay_of):
    said = lay_of(a_tube_up(), a_table("clearance", survey=1.5)).proved[0]
    assert said.endswith("not of the instrument, where the tape may be off by 1.5 mm either way.")


def test_tubing_of_which_too_little_is_known_is_named(lay_of):
    plain = {key: NOTE[key] for key in ("bore", "outside")}
    said = lay_of(
        with_tubing("note"),
        with_tubing("hose", **plain, least_bend=None, modulus=None, density=None),
        a_tube_up(tubing="hose"),
    ).proved
    assert "Bends were not tested for hose: no least bend radius is known." in said
    assert "Hanging was not tested for hose: stiffness or weight is not known." in said


def test_a_lay_of_which_everything_is_known_says_so_in_few_lines(lay_of):
    said = lay_of(a_tube_up()).proved
    assert not [line for line in said if "not tested" in line or "Nothing" in line]


def test_of_how_many_spans_no_sag_is_claimed(lay_of):
    # Level, 120, 150 and 300 long: held loosely a tenth is passed at 142 mm, held stiffly at 243 mm.
    pieces = [one for k, long in enumerate((120, 150, 300)) for one in _level(k, long)]
    told = [line for line in lay_of(*pieces).proved if "no sag is claimed" in line]
    assert len(told) == 1
    assert told[0].startswith(
        "Of 3 spans that sag, no sag is claimed for 2 held loosely and 1 held stiffly: "
    )
    assert not [line for line in lay_of(*_level(0, 120)).proved if "sag is claimed" in line]


def _level(number, long):
    """A level tube and its nipples, 100 behind the one before."""
    left, right = f"left{number}", f"right{number}"
    return (
        with_nipple(left, (0, 100 * number, 0), faces="right"),
        with_nipple(right, (long, 100 * number, 0), faces="left"),
        with_tube(f"{left} 1", f"{right} 1", corners=[]),
    )
