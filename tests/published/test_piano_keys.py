"""Measures of piano keys.

moypiano.com, pianotech archive, 2000-January/058578: 52 naturals are 47 7/8, 48 1/8 or 48 3/8 in wide.
shusterpiano.com, how-key-length-affects-you: full upright, naturals 15 1/4 in long with the balance 9 1/4 in
from the front, sharps 13 1/2 in and 8 in.
Mechanical Music Digest 2010.02.15.07: the dip is 10.0 to 10.5 mm.
"""

from pathlib import Path

import pytest
from builders import read, with_part

from routeviz.scene.parts import KeyboardPart

INCH = 25.4
MODELS = ["keyboard_88", "keyboard_61", "keyboard_44"]


def keyboard(folder: Path, model: str) -> KeyboardPart:
    part = read(folder, with_part("keys", model=model)).scene.part["keys"]
    assert isinstance(part, KeyboardPart)
    return part


@pytest.mark.parametrize("model", MODELS)
def test_an_octave_is_seven_of_the_fifty_two_naturals(tmp_path: Path, model: str):
    octave_mm = keyboard(tmp_path, model).octave_mm
    assert octave_mm == pytest.approx(48.125 * INCH * 7 / 52, abs=0.05)  # given to a tenth
    assert 47.875 * INCH * 7 / 52 < octave_mm < 48.375 * INCH * 7 / 52


@pytest.mark.parametrize("model", MODELS)
def test_levers_and_balance_are_those_of_a_full_upright(tmp_path: Path, model: str):
    keys = keyboard(tmp_path, model)
    assert (keys.natural.long_mm, keys.natural.balance_mm) == pytest.approx((15.25 * INCH, 9.25 * INCH))
    assert (keys.sharp.long_mm, keys.sharp.balance_mm) == pytest.approx((13.5 * INCH, 8 * INCH))
    assert keys.sharps_back_mm + keys.sharp.long_mm == pytest.approx(keys.natural.long_mm)


@pytest.mark.parametrize("model", MODELS)
def test_the_dip_and_its_doubt_cover_what_is_published(tmp_path: Path, model: str):
    keys = keyboard(tmp_path, model)
    for lever in (keys.natural, keys.sharp):
        assert (lever.dip_mm, lever.dip_mm + keys.dip_doubt_mm) == (10.0, 10.5)


def test_the_rear_end_rises_by_the_ratio_of_the_lever(tmp_path: Path):
    """10 x (15.25 - 9.25) / 9.25 = 6.49 mm for a natural; 10.5 x (13.5 - 8) / 8 = 7.22 mm for a sharp."""
    keys = keyboard(tmp_path, "keyboard_88")
    natural, sharp = keys.natural, keys.sharp
    assert natural.dip_mm * (natural.long_mm / natural.balance_mm - 1) == pytest.approx(6.49, abs=0.005)
    full_mm = sharp.dip_mm + keys.dip_doubt_mm
    assert full_mm * (sharp.long_mm / sharp.balance_mm - 1) == pytest.approx(7.22, abs=0.005)
