"""Names in a bag: what any name becomes, and that no two become the same.

The rule is that of the bag itself; which names Windows keeps is told in Microsoft's "Naming Files, Paths, and
Namespaces": CON, PRN, AUX, NUL, COM0 to COM9, LPT0 to LPT9, also with an ending.
"""

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routeviz.archive.bag_names import bag_names, is_bag_path, slug

ANY = st.text(st.characters(exclude_characters="/\0"), min_size=1, max_size=120)  # unpaired surrogates too
DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?")


@pytest.mark.parametrize(
    ("name", "becomes"),
    [
        ("DSC_0012.JPG", "dsc_0012.jpg"),
        ("Thistlebank, links (1).jpeg", "thistlebank-links-1.jpeg"),
        ("Größe.txt", "grosse.txt"),
        ("Œuvre æ Ł.txt", "oeuvre-ae-l.txt"),
        ("..hidden..", "hidden"),
        ("photo .jpg", "photo.jpg"),
        ("Con.txt", "con_.txt"),
        ("lpt1", "lpt1_"),
        ("console.txt", "console.txt"),
        ("50%25.png", "50-25.png"),
        ("写真", "unnamed"),
        ("写真.jpg", "unnamed.jpg"),
        ("a" * 80 + ".tiff", "a" * 59 + ".tiff"),
    ],
)
def test_a_name_becomes_one_that_every_system_takes(name, becomes):
    assert slug(name) == becomes


@given(ANY)
def test_whatever_a_name_is_it_keeps_to_the_rule(name):
    became = slug(name)
    assert re.fullmatch(r"[a-z0-9._-]{1,64}", became)
    assert not DEVICES.fullmatch(became)
    assert not became.startswith((".", "-"))
    assert not became.endswith((".", "-"))
    assert is_bag_path(f"evidence/photos/{became}")


@given(st.lists(ANY, max_size=30, unique=True))
def test_no_two_become_the_same_and_all_keep_to_the_rule(names):
    became = bag_names(names)
    assert list(became) == names
    assert len(set(became.values())) == len(names)
    assert all(is_bag_path(name) for name in became.values())


def test_of_names_that_come_to_the_same_the_later_is_numbered():
    composed, parted = unicodedata.normalize("NFC", "é.jpg"), unicodedata.normalize("NFD", "é.jpg")
    assert bag_names(["a/x.jpg", "b/X.jpg", "x-2.jpg", "c/x.jpg"]) == {
        "a/x.jpg": "x.jpg",
        "b/X.jpg": "x-2.jpg",
        "x-2.jpg": "x-2-2.jpg",
        "c/x.jpg": "x-3.jpg",
    }
    assert bag_names([composed, parted]) == {composed: "e.jpg", parted: "e-2.jpg"}
    long = ["a" * 70 + ".jpg", "a" * 71 + ".jpg"]
    assert list(bag_names(long).values()) == ["a" * 60 + ".jpg", "a" * 58 + "-2.jpg"]


@pytest.mark.parametrize(
    "path",
    ["", "a//b", "/a", "a/", "../a", ".", "A.txt", "a b", "a%20b", "é", "nul", "x/con.txt", "a" * 65, "a\n"],
)
def test_what_does_not_keep_to_the_rule_is_known(path):
    assert not is_bag_path(path)
