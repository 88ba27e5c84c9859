"""What the program took by itself, held to what the scene's file says as tomllib reads it."""

import tomllib

import pytest
from archive.rows import rows_of
from benched import NAMES, SCENES, lay_of
from builders import a_table, read, with_nipple, with_tube
from verifier.scenes import without_doubt

from routeviz.archive.clearance_registers import limits_register
from routeviz.archive.defaults_register import defaults_register
from routeviz.pipeline import check_reading

# As `routeviz explain` tells them; 25 inches of water are 6.2 kPa (NIST SP 811: 249.0889 Pa each).
PRACTICE = {
    "on_nipple": 11,
    "off_square_deg": 10,
    "fit_stretch_percent": 35,
    "slack_percent": 5,
    "vacuum_kpa": 6.2,
}
CLEARANCE = {"fixed": 2, "moving": 3, "tubes": 0, "survey": 0}
LIMITS = {
    "fixed": "clearance",
    "moving": "clearance",
    "tubes": "clearance",
    "survey": "clearance",
    "on nipple": "practice",
    "vacuum": "practice",
    "slack": "practice",
    "stretch": "practice",
    "off square": "practice",
}


def raw_of(scene):
    return without_doubt(tomllib.loads((SCENES / f"{scene}.toml").read_text(encoding="utf-8")))


def by_key(lay):
    return {row["key"]: row for row in rows_of(defaults_register(lay)) if "key" in row}


@pytest.mark.parametrize("scene", NAMES)
def test_each_setting_that_the_file_does_not_say_is_a_row_and_no_other(scene):
    raw, told = raw_of(scene), by_key(lay_of(scene))
    for holder, known in (("practice", PRACTICE), ("clearance", CLEARANCE)):
        silent = {
            f"{holder}.{word}": value for word, value in known.items() if word not in raw.get(holder, {})
        }
        rows = {key: row["value"] for key, row in told.items() if key.startswith(holder)}
        assert rows == silent
    for row in rows_of(defaults_register(lay_of(scene))):
        assert (
            "nobody measured it" in row["source"]
            or "nobody said" in row["source"]
            or "mmdigest" in row["source"]
        )


@pytest.mark.parametrize("scene", NAMES)
def test_each_entry_of_tubes_that_does_not_say_what_they_carry_is_a_row(scene):
    entries = raw_of(scene)["tubes"]
    silent = {f"tubes.{number}.carries" for number, one in enumerate(entries, 1) if "carries" not in one}
    rows = {key: row for key, row in by_key(lay_of(scene)).items() if key.startswith("tubes")}
    assert set(rows) == silent
    assert {row["is"] for row in rows.values()} <= {"signal"}


@pytest.mark.parametrize("scene", NAMES)
def test_limits_say_who_says_them(scene):
    raw = raw_of(scene)
    for row in rows_of(limits_register(lay_of(scene))):
        if row["limit"] in LIMITS:
            holder, known = LIMITS[row["limit"]], {"on nipple": "on_nipple", "vacuum": "vacuum_kpa"}
            words = {
                "slack": "slack_percent",
                "stretch": "fit_stretch_percent",
                "off square": "off_square_deg",
            }
            word = {**known, **words}.get(row["limit"], row["limit"])
            assert row["said_by"] == ("scene" if word in raw.get(holder, {}) else "program")


def test_a_scene_that_says_all_leaves_only_what_the_sheets_take(tmp_path):
    nipples = with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 300), faces="down")
    tube = with_tube("low 1", "high 1", corners=[], carries="signal")
    lay = check_reading(
        read(tmp_path, *nipples, a_table("practice", **PRACTICE), a_table("clearance", **CLEARANCE), tube)
    )
    rows = rows_of(defaults_register(lay))
    assert [row["is"] for row in rows] == ["20 mm", "20 %"]
    assert all("key" not in row for row in rows)


def test_a_keyboard_whose_felt_nobody_tried_is_a_row():
    parts = raw_of("as_found")["part"]
    told = {row["thing"] for key, row in by_key(lay_of("as_found")).items() if key.endswith("dip_doubt")}
    models = SCENES.parent / "models" / "parts"
    silent = set()
    for name, part in parts.items():
        model = models / f"{part.get('model', '')}.toml"
        whole = {**(tomllib.loads(model.read_text(encoding="utf-8")) if "model" in part else {}), **part}
        if whole.get("kind") == "keyboard" and "dip_doubt" not in whole:
            silent.add(name)
    assert told == silent
