"""What a check prints: findings with number, place and remedy, drawn together where that reads better."""

from dataclasses import replace

import numpy as np
import pytest
from planned import a_plan

from routeviz.cabinet.joins import JoinPlace
from routeviz.checks.findings import Finding
from routeviz.tubes.plans import TakenPlan
from routeviz.views.lines import Line
from routeviz.views.listing import Told
from routeviz.views.report import plan_lines, report

RUB = Finding(
    rule="rub",
    severity="fault",
    tube="bar 3",
    other="keys 30",
    says="comes near keys 30: 1.0 mm free",
    remedy="lead it away",
)
KINK = replace(RUB, rule="kink", severity="caution", other=None, says="bends to 20 mm", remedy="give room")


def told(number: int, finding: Finding, *lines: int | None) -> Told:
    return Told(number=number, finding=finding, places=tuple(("case.toml", line) for line in lines or (7,)))


def text(lines: list[Line]) -> str:
    return "\n".join("".join(words for words, _ in line) for line in lines)


def findings(*several: Told, width: int | None = None) -> str:
    """The part of a report that is about findings."""
    return text(report(several, tubes=9, proved=["all"], width=width)).partition("\n\nWhat was proved")[0]


def test_a_finding_has_a_head_a_sentence_and_a_remedy() -> None:
    assert findings(told(1, RUB)) == (
        "fault 1 rub: bar 3  case.toml:7\n"
        "  comes near keys 30: 1.0 mm free\n"
        "  remedy: lead it away\n"
        "\n"
        "1 fault in 9 tubes"
    )


def test_the_other_thing_is_in_the_head_where_the_sentence_does_not_name_it() -> None:
    assert "fault 1 rub: bar 3 and keys 30  " in findings(told(1, replace(RUB, says="rubs")))


def test_what_is_about_no_tube_is_told_of_the_other_thing_or_of_the_scene() -> None:
    assert "fault 1 rub: keys 30  " in findings(told(1, replace(RUB, tube=None)))
    assert "fault 1 rub: the scene  " in findings(told(1, replace(RUB, tube=None, other=None)))


def test_the_stage_is_told() -> None:
    assert "fault 1 rub, in stage bench: bar 3  " in findings(told(1, replace(RUB, stage="bench")))


def test_places_in_one_file_are_told_in_short() -> None:
    assert "  case.toml:7, 12\n" in findings(told(1, RUB, 7, 12))
    assert "  case.toml:7\n" in findings(told(1, RUB, 7, 7))
    assert "  case.toml\n" in findings(told(1, RUB, None))
    assert "  case.toml:1, 2, 3, 4, 5, 6 and 3 more\n" in findings(told(1, RUB, *range(1, 10)))


def test_what_is_said_alike_of_several_tubes_is_said_once_under_all_numbers() -> None:
    alike = [told(n, replace(KINK, tube=f"bar {n}"), n) for n in (4, 5, 6)]
    assert findings(told(3, RUB), *alike).partition("\n\n")[2] == (
        "cautions 4-6 kink: bar 4-6  case.toml:4, 5, 6\n"
        "  bends to 20 mm\n"
        "  remedy: give room\n"
        "\n"
        "1 fault, 3 cautions in 9 tubes"
    )


def test_three_or_more_with_one_remedy_stand_in_a_table_with_all_numbers() -> None:
    alike = [told(n, replace(KINK, tube=f"bar {n}", says=f"bends to {n} mm"), n) for n in (9, 10, 11)]
    assert findings(*alike) == (
        "cautions 9-11 kink: 3 tubes\n"
        "   9 bar 9  case.toml:9: bends to 9 mm\n"
        "  10 bar 10  case.toml:10: bends to 10 mm\n"
        "  11 bar 11  case.toml:11: bends to 11 mm\n"
        "  remedy: give room\n"
        "\n"
        "no faults, 3 cautions in 9 tubes"
    )


def test_two_with_one_remedy_stand_by_themselves() -> None:
    alike = [told(n, replace(KINK, tube=f"bar {n}", says=f"bends to {n} mm"), n) for n in (9, 10)]
    assert findings(*alike).count("remedy: ") == 2


@pytest.mark.parametrize(
    "other", [{"severity": "fault"}, {"rule": "rub"}, {"stage": "bench"}, {"remedy": "other"}]
)
def test_findings_that_differ_in_more_than_the_tube_are_never_drawn_together(other: dict[str, str]) -> None:
    assert findings(told(1, KINK), told(2, replace(KINK, **other))).count("bends to 20 mm") == 2  # type: ignore[arg-type]


def test_findings_about_no_tube_are_never_drawn_together() -> None:
    part = replace(KINK, tube=None)
    alike = [told(n, replace(part, other=f"stack {n}")) for n in (1, 2, 3)]
    assert findings(*alike).count("bends to 20 mm") == 3


def test_the_report_ends_with_what_was_proved_a_sentence_a_line() -> None:
    lines = report([], tubes=1, proved=["All was held against all.", "Nothing hangs."], width=None)
    assert text(lines) == (
        "no faults in 1 tube\n\n"
        "What was proved, and what was not looked at:\n"
        "- All was held against all.\n"
        "- Nothing hangs."
    )


@pytest.mark.parametrize("width", [20, 31, 44, 60])
def test_nothing_is_lost_or_wider_than_asked(width: int) -> None:
    several = [told(1, replace(RUB, says="comes near " * 12)), told(2, KINK, 7, 12)]
    whole, broken = (
        text(report(several, tubes=9, proved=["so and so"], width=w)).splitlines() for w in (None, width)
    )
    assert " ".join(" ".join(whole).split()) == " ".join(" ".join(broken).split())
    assert all(len(line) <= width for line in broken if len(line.split()) > 1)


def test_where_a_plan_puts_tees_is_told_to_who_puts_them_there() -> None:
    places = (
        JoinPlace(name="sustain tee", at=np.array([52.0, 172, 541.5]), runs="front", branches="down"),
        JoinPlace(name="joint", at=np.array([-3.0, 0, 7]), runs="up", branches=None),
    )
    taken = TakenPlan(file="case.plan.json", plan=replace(a_plan(), places=places), laid=("a",), stale=False)
    assert text(plan_lines(taken, None)) == (
        "1 tube lies as planned in case.plan.json\n"
        "sustain tee lies at right 52, back 172, up 541.5; runs front, branches down\n"
        "joint lies at right -3, back 0, up 7; runs up"
    )
    assert "sustain tee" not in text(plan_lines(replace(taken, stale=True), None))
