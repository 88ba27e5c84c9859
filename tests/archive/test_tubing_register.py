"""The register of tubing, held to the plan as JSON reads it and to arithmetic on the sizes of the trade."""

import json

import pytest
from archive.rows import rows_of
from benched import SCENES, lay_of

from routeviz.archive.tubing_register import tubing_register

NOTE_BORE, NOTE_WALL, NIPPLE = 25.4 * 9 / 64, 25.4 / 32, 25.4 * 5 / 32  # 9/64 in, 1/32 in, 5/32 in


@pytest.fixture(scope="module")
def note():
    return next(row for row in rows_of(tubing_register(lay_of("thistledown"))) if row["tubing"] == "note")


def test_sizes_follow_from_bore_and_wall(note):
    sizes = [note["bore_mm"], note["wall_mm"], note["outside_mm"]]
    assert sizes == pytest.approx([NOTE_BORE, NOTE_WALL, NOTE_BORE + 2 * NOTE_WALL], abs=1e-4)


def test_the_vacuum_at_which_it_falls_flat_is_that_of_a_long_ring(note):
    """Roark's Formulas for Stress and Strain, table 35, case 19a, with E = 1.2 MPa and nu = 0.5."""
    mean = (NOTE_BORE + NOTE_WALL) / 2
    assert note["collapse_kpa"] == pytest.approx(1200 * NOTE_WALL**3 / (4 * 0.75 * mean**3), abs=1e-3)
    assert note["thin_wall"] is False


def test_the_tightest_bend_is_the_least_radius_that_the_plan_gives_a_tube_of_this_kind(note):
    plan = json.loads((SCENES / "thistledown.plan.json").read_text(encoding="utf-8"))
    of_kind = {tube.name for tube in lay_of("thistledown").tubes if tube.kind.name == "note"}
    radii = {
        tube["name"]: min(corner["radius"] for corner in tube["corners"] if "radius" in corner)
        for tube in plan["tubes"]
        if tube["name"] in of_kind and any("radius" in corner for corner in tube["corners"])
    }
    assert note["tightest_mm"] == pytest.approx(min(radii.values()), abs=0.001)
    assert radii[note["tightest_in"]] == min(radii.values())


def test_what_matters_names_grip_bend_vacuum_hanging_and_outside_with_their_numbers(note):
    told = note["matters"]
    assert f"nipples of {NIPPLE:.2f} mm outside" in told
    assert f"not below {NIPPLE / 1.35:.2f} mm, or it is stretched by more than 35 %" in told
    assert f"it must bend to {note['tightest_mm']:.1f} mm" in told
    assert "6.2 kPa of vacuum, with a margin 9.3 kPa" in told  # 1.5 x 6.2
    assert f"hangs by at most {note['most_sag_mm']:.1f} mm" in told
    assert f"{NOTE_BORE + 2 * NOTE_WALL:.2f} mm; all clearances" in told
    assert "Left out" not in told


def test_a_wire_is_asked_neither_for_grip_nor_for_vacuum():
    wire = next(row for row in rows_of(tubing_register(lay_of("as_found"))) if row["tubing"] == "wire pair")
    assert "Grip" not in wire["matters"]
    assert "vacuum" not in wire["matters"].replace("under its vacuum", "")


def as_found(name):
    return next(row for row in rows_of(tubing_register(lay_of("as_found"))) if row["tubing"] == name)


def test_values_without_a_source_have_none_and_what_the_scene_says_of_them_is_told():
    hose = as_found("thin hose")
    assert "bore_source" not in hose
    # is = 80, spread = 10, why = "where the cut end flattened when bent by hand"; [doubt] says measured.
    said = "measured, to within 10.0 mm; where the cut end flattened when bent by hand"
    assert hose["least_bend_from"].startswith(f"80.0 mm to the centreline: {said}")


def test_of_a_kind_without_a_route_nothing_is_called_proved():
    for name in ("thin hose", "wire pair"):
        assert "no tube of it has a route, so nothing was proved of it" in as_found(name)["matters"]


def test_lead_is_not_replaced():
    assert as_found("lead")["matters"].startswith("It stays as it lies and is not replaced")


def test_what_is_at_fault_as_found_is_not_asked_of_a_substitute():
    # The scene expects that sustain is kinked, at 12 mm, and that governor vacuum is too tight on its nipple.
    note, patch = as_found("note"), as_found("patch")
    assert (note["tightest_in"], note["tightest_mm"]) == ("sustain", 12.0)
    assert "it must bend to 12.0 mm" not in note["matters"]
    assert "Left out, as found at fault (kink): sustain." in note["matters"]
    assert "Left out, as found at fault (fit): governor vacuum." in patch["matters"]
    others = [
        one for one in lay_of("as_found").tubes if one.kind.name == "patch" and one.name != "governor vacuum"
    ]
    ends = [end.nipple for one in others for end in (one.start, one.end) if end.nipple]
    sizes = [lay_of("as_found").cabinet.nipples[name].outside_mm for name in ends]
    assert f"on nipples of {min(sizes):.2f}" in patch["matters"]


def test_two_least_bends_are_told_apart_by_how_bad_it_is_to_break_them(note):
    assert note["least_bend_mm"] < note["least_bend_at_vacuum_mm"]
    (kink,) = (one for one in lay_of("as_found").findings if (one.rule, one.tube) == ("kink", "sustain"))
    assert (kink.severity, kink.limit) == ("fault", pytest.approx(note["least_bend_mm"], abs=1e-3))
