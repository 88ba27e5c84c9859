"""Lines of text: broken where they are too wide, harmless to a terminal, and what may come next."""

import pytest

from routeviz.views.lines import plain, what_next, wrapped


def test_without_a_width_nothing_is_broken() -> None:
    assert wrapped([("many words " * 50, "plain")], None, "  ") == [[("many words " * 50, "plain")]]


def test_what_follows_a_broken_line_hangs_under_it_and_keeps_its_look() -> None:
    spans = [("fault 1", "fault"), (" rub: ", "plain"), ("a long name", "strong")]
    assert wrapped(spans, 15, "  ") == [
        [("fault 1", "fault"), (" rub: ", "plain"), ("a", "strong")],
        [("  ", "plain"), ("long name", "strong")],
    ]


def test_a_word_longer_than_a_line_is_kept_whole() -> None:
    lines = wrapped([("a pneumatic stack", "plain")], 6, "  ")
    assert "\n".join("".join(words for words, _ in line) for line in lines) == "a\n  pneumatic\n  stack"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Flöte ½ – b♭ 笛", "Flöte ½ – b♭ 笛"),
        ("two\nlines", "two\nlines"),
        ("\x1b[31mred", "\\u001b[31mred"),
        ("\u202egnorw", "\\u202egnorw"),
        ("bell\a tab\t", "bell\\u0007 tab\\u0009"),
    ],
)
def test_signs_that_command_a_terminal_are_spelt_out(text: str, shown: str) -> None:
    assert plain(text) == shown


def test_commands_that_may_come_next_stand_under_each_other() -> None:
    lines = what_next([("explain rub", "tells more"), ("new", "begins")])
    assert ["".join(words for words, _ in line) for line in lines] == [
        "",
        "next: explain rub  tells more",
        "      new          begins",
    ]
    assert what_next([]) == []
