"""What is asked for on the command line: its units, its limits, and every refusal at once."""

import pytest
from benched import lay_of
from builders import a_scene, with_nipple, written

from routeviz.records.settings import READERS, SIDES, SOURCES, Settings, SettingsError, settings_of
from routeviz.scene.reading import read_scene
from routeviz.views.work_order import WORKERS


def the_scene():
    return lay_of("thistledown").reading.scene


def refused(asked, scene=None):
    with pytest.raises(SettingsError) as caught:
        settings_of(asked, scene or the_scene())
    return str(caught.value)


def test_nothing_asked_for_leaves_the_defaults():
    assert settings_of({}, the_scene()) == Settings()
    assert Settings().allowance_percent == 20


def test_lengths_take_any_unit_and_words_any_case():
    asked = {"--paper": "letter", "--worker": "Back", "--over-nipple": "3/8 in"}
    asked |= {"--trim": "1 cm", "--step": "1 in", "--error": "5", "--waste": "7.5 %"}
    assert set(asked) == set(READERS)
    found = settings_of(asked, the_scene(), "in")
    assert (found.paper, found.first_unit, found.worker, found.side) == ("Letter", "in", "back", "back")
    assert (found.over_nipple_mm, found.trim_mm, found.step_mm) == (9.525, 10, 25.4)
    assert found.allowance_percent == 12.5


@pytest.mark.parametrize(
    ("option", "text", "found", "allowed"),
    [
        ("--paper", "A5", "'A5'", "A4, Letter"),
        ("--worker", "above", "'above'", "front, back, left, right, leaned"),
        ("--trim", "-3 mm", "'-3 mm' is below zero", "a length with its unit"),
        ("--trim", "12", "'12' ends without a unit", "a length with its unit"),
        ("--trim", "2 m", "'2 m'", "0 to 1000 mm"),
        ("--over-nipple", "0 mm", "'0 mm'", "1 to 100 mm"),
        ("--step", "1 mm", "'1 mm'", "5 to 1000 mm"),
        ("--error", "nan", "'nan'", "a number from 0 to 100"),
        ("--waste", "-1", "'-1'", "a number from 0 to 100"),
        ("--waste", "much", "'much'", "a number from 0 to 100"),
    ],
)
def test_a_bad_value_is_refused_in_three_parts(option, text, found, allowed):
    first, second, third = refused({option: text}).splitlines()
    assert first.startswith(f"{option}: {found}")
    assert second.startswith("  allowed: ")
    assert allowed in second
    assert third.startswith("  remedy: ")


def test_all_that_is_wrong_is_said_at_once():
    message = refused({"--paper": "A5", "--trim": "x", "--error": "300"})
    assert [line.split(":")[0] for line in message.splitlines()[::3]] == ["--paper", "--trim", "--error"]


def test_a_worker_over_a_leaned_case_needs_a_scene_that_leans(tmp_path):
    assert "stands upright" in refused({"--worker": "leaned"})
    leaned = read_scene(
        written(tmp_path, a_scene(with_nipple("a", (0, 0, 0)), top='pose = "leaned back 70 deg"'))
    )
    assert settings_of({"--worker": "leaned"}, leaned.scene).side == "front"


def test_a_worker_may_stand_wherever_an_order_of_work_is_known():
    assert set(SIDES) - {"leaned"} == set(WORKERS)
    assert {Settings(worker=worker).side for worker in SIDES} == set(WORKERS)


def test_every_default_that_is_a_number_names_its_source():
    numbers = {"over_nipple_mm", "trim_mm", "step_mm", "error_percent", "waste_percent"}
    assert set(SOURCES) == numbers
    for source in SOURCES.values():
        assert "no source" in source or "memory" in source or "mmdigest.com" in source
