"""unconnected: what is joined, and what is not, counted by hand."""

import pytest
from builders import place, with_nipple, with_row, with_stage, with_tube
from verdicts import a_tube_up, findings, the_one

RULE = "unconnected"
FOOT = with_nipple("foot", (0, 0, 0), outside=4.5)


def test_a_tube_between_two_nipples_leaves_nothing_to_say(tmp_path):
    assert findings(tmp_path, RULE, a_tube_up()) == []


def test_two_tubes_on_one_nipple_are_a_fault(tmp_path):
    second = with_tube("a low 1", "loose", name="second", corners=[], ends_at=place(100, 0, 0))
    faults = [f for f in findings(tmp_path, RULE, a_tube_up(), second) if f.severity == "fault"]
    one = the_one(faults)
    assert (one.other, one.low, one.tubes) == ("a low 1", 2, ("a", "second"))


def test_nipples_without_a_tube_are_told_once_for_each_part(tmp_path):
    bar = with_row("bar", "1..9 step 2", (500, 0, 0), (540, 0, 0))
    one = the_one(findings(tmp_path, RULE, a_tube_up(), bar))
    assert (one.severity, one.tube, one.other, one.low) == ("caution", None, "bar", 5)
    assert one.says == "no tube on bar 1, 3, 5, 7, 9"


@pytest.mark.parametrize(
    ("state", "severity"),
    [
        ("loose", "note"),
        ("unknown", "caution"),
        ("missing", "caution"),
        ("cut", "caution"),
        ("blocked", "caution"),
    ],
)
def test_an_end_without_a_nipple_is_told(tmp_path, state, severity):
    tube = with_tube("foot 1", state, name="a", corners=[], ends_at=place(0, 0, 300))
    assert the_one(findings(tmp_path, RULE, FOOT, tube)).severity == severity


def test_a_loose_end_says_what_it_waits_for(tmp_path):
    tube = with_tube("foot 1", "loose", name="a", corners=[], ends_at=place(0, 0, 300), waits_for="the bells")
    assert "the bells" in the_one(findings(tmp_path, RULE, FOOT, tube)).says


def test_tubes_without_a_route_are_one_fault(tmp_path):
    bar = with_row("bar", "1..3", (0, 0, 0), (40, 0, 0))
    top = with_row("top", "1..3", (0, 0, 300), (40, 0, 300), faces="down")
    one = the_one(findings(tmp_path, RULE, bar, top, with_tube("bar 1..3", "top 1..3")))
    assert (one.severity, one.tube, one.low) == ("fault", None, 3)
    assert one.tubes == ("bar 1", "bar 2", "bar 3")
    assert one.remedy.startswith("let `routeviz plan SCENE` find one")


def test_a_tube_whose_end_lies_nobody_knows_where_is_told_apart_for_it_cannot_be_planned(tmp_path):
    head = with_nipple("head", (0, 0, 300), faces="down", outside=4.5)
    spare = with_nipple("spare", (50, 0, 0), outside=4.5)
    waiting, lost = with_tube("foot 1", "head 1", name="a"), with_tube("spare 1", "loose", name="b")
    faults = [f for f in findings(tmp_path, RULE, FOOT, head, spare, waiting, lost) if f.severity == "fault"]
    assert [(f.tube, f.remedy.partition(",")[0]) for f in faults] == [
        ("a", "let `routeviz plan SCENE` find one"),
        ("b", "say where it ends"),
    ]


def test_a_run_that_is_described_in_words_is_a_note(tmp_path):
    nipples = FOOT, with_nipple("head", (0, 0, 300), faces="down", outside=4.5)
    hidden = with_tube("foot 1", "head 1", name="a", hidden="behind the soundboard")
    one = the_one(findings(tmp_path, RULE, *nipples, hidden))
    assert (one.severity, one.tube) == ("note", "a")
    assert "behind the soundboard" in one.says


def test_what_a_later_stage_joins_is_not_missing(tmp_path):
    stages = with_stage("bench"), with_stage("refitted")
    later = a_tube_up(stage="refitted")
    assert findings(tmp_path, RULE, *stages, later) == []


def test_both_ends_of_a_tube_are_told(tmp_path):
    lost = with_tube(
        "unknown", "cut", name="a", corners=[], starts_at=place(0, 0, 0), ends_at=place(0, 0, 300)
    )
    found = findings(tmp_path, RULE, lost)
    assert [(f.severity, f.tube) for f in found] == [("caution", "a")] * 2
    assert {f.says for f in found} == {"nobody knows where it ends", "it has been cut"}


def test_a_hidden_run_and_its_loose_end_are_both_told(tmp_path):
    tube = with_tube("foot 1", "loose", name="a", hidden="behind the post", waits_for="the bells")
    assert [f.severity for f in findings(tmp_path, RULE, FOOT, tube)] == ["note", "note"]
