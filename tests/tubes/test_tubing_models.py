"""Every tubing model that ships: its keys, its sources, and that it can be a tube.

Read with a length parser of its own.
"""

import tomllib
from fractions import Fraction
from pathlib import Path

import pytest

from routeviz.tubes.kinking import RULE_FACTORS, SOFT, Given, Wall, brazier_radius_mm, least_bend

MODELS = sorted((Path(__file__).parents[2] / "models" / "tubing").glob("*.toml"))
MATERIALS = SOFT | set(RULE_FACTORS) | {"lead", "wire", "other"}
LENGTHS = {"bore", "outside", "wall", "least_bend", "least_bend_inner"}
VALUES = LENGTHS | {"modulus", "density"}
MM = {"in": Fraction("25.4"), "mm": Fraction(1)}


def mm(text):
    *numbers, unit = text.split()
    return float(sum(Fraction(number) for number in numbers) * MM[unit])


def read(path):
    return tomllib.loads(path.read_text(encoding="utf-8"))


def wall_of(model):
    bore = mm(model["bore"])
    outside = mm(model["outside"]) if "outside" in model else bore + 2 * mm(model["wall"])
    return Wall(
        outside_mm=outside, bore_mm=bore, material=model["material"], modulus_mpa=model.get("modulus")
    )


def centreline_mm(model):
    """Return the least bend to the centreline, or None; the inner radius is converted here by hand."""
    if "least_bend" in model:
        return mm(model["least_bend"])
    if "least_bend_inner" in model:
        return mm(model["least_bend_inner"]) + wall_of(model).outside_mm / 2
    return None


def test_the_usual_kinds_are_there():
    kinds = {read(path)["material"] for path in MODELS}
    assert kinds >= {"gum rubber", "neoprene", "vinyl", "polyurethane", "lead", "wire"}
    bores = {read(path)["bore"] for path in MODELS if read(path)["material"] == "gum rubber"}
    assert bores >= {"9/64 in", "3/16 in", "7/32 in"}


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
class TestEachModel:
    def test_has_known_keys_and_one_of_outside_and_wall(self, path):
        model = read(path)
        assert set(model) <= VALUES | {"describes", "material", "source"}
        assert model["describes"]
        assert model["material"] in MATERIALS
        assert ("outside" in model) != ("wall" in model)
        assert not ("least_bend" in model and "least_bend_inner" in model)

    def test_gives_a_source_for_each_value_and_for_nothing_else(self, path):
        model = read(path)
        assert set(model["source"]) == VALUES & set(model)
        assert all(len(words.split()) >= 3 for words in model["source"].values())

    def test_carries_each_length_with_its_unit(self, path):
        model = read(path)
        assert all(mm(model[key]) > 0 for key in LENGTHS & set(model))

    def test_is_a_tube_with_weight_and_stiffness_that_can_be(self, path):
        model = read(path)
        wall = wall_of(model)
        assert wall.outside_mm > wall.bore_mm > 0
        assert wall.thickness_mm > 0
        assert 0.5 < model.get("modulus", 1.0) < 20000
        assert 0.8 < model.get("density", 1.0) < 12
        # stiffness and weight are used together
        assert ("modulus" in model) == ("density" in model)

    def test_bends_no_tighter_than_theory_and_tables_allow(self, path):
        model = read(path)
        wall, radius = wall_of(model), centreline_mm(model)
        if model["material"] in {"wire", "lead"}:
            assert radius is None or radius >= wall.outside_mm
            return
        assert radius >= brazier_radius_mm(wall.outside_mm, wall.bore_mm)
        assert radius >= 2.5 * wall.outside_mm
        if model["material"] in RULE_FACTORS:
            assert least_bend(wall).radius_mm >= radius

    def test_says_rule_of_thumb_where_four_outsides_stand_for_a_soft_tube(self, path):
        model = read(path)
        if model["material"] in SOFT:
            assert centreline_mm(model) == pytest.approx(4 * wall_of(model).outside_mm, rel=1e-12)
            assert model["source"]["least_bend"].startswith("no published table; rule of thumb 4 x outside")

    def test_has_words_for_a_message(self, path):
        model = read(path)
        radius = centreline_mm(model)
        if radius is None:
            assert least_bend(wall_of(model)).radius_mm is None
            return
        source = model["source"].get("least_bend") or model["source"]["least_bend_inner"]
        words = least_bend(wall_of(model), given=Given(radius_mm=radius, source=source)).words
        assert words == f"{radius:.1f} mm to the centreline: {source}"


def test_lead_carries_its_caution_where_it_is_read():
    (lead,) = (read(path) for path in MODELS if read(path)["material"] == "lead")
    assert "Poisonous dust inside" in lead["describes"]
