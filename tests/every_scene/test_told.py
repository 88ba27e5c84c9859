"""What the README's table says of the planned scenes is so of the plans that lie beside them."""

import re
from pathlib import Path

import pytest

from routeviz.geometry.curves import length
from routeviz.pipeline import check_scene
from routeviz.tubes.tangling import tangle_of

ROOT = Path(__file__).parents[2]
ROWS = re.findall(
    r"^\| (.*?) \| (.*?) \| (.*?) \|$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE
)
HEADS = re.search(
    r"^\| \| `(scenes/.*?)` \| `(scenes/.*?)` \|$", (ROOT / "README.md").read_text(), re.MULTILINE
)


def test_every_planned_scene_stands_in_it():
    assert HEADS is not None
    assert {ROOT / name for name in HEADS.groups()} == {
        path.with_name(path.name.replace(".plan.json", ".toml"))
        for path in (ROOT / "scenes").glob("*.plan.json")
    }


@pytest.mark.parametrize("column", [1, 2])
def test_it_tells_what_the_plan_is(column):
    told = {row[0]: row[column] for row in ROWS}
    lay = check_scene(ROOT / HEADS[column])
    tangle, laid = tangle_of(lay.cabinet, lay.tubes), [tube for tube in lay.tubes if tube.curve is not None]
    assert told["tubes, all laid"] == f"{len(lay.tubes)}" == f"{len(laid)}"
    found = f"{len(lay.cabinet.passages)}; {len(lay.taken.plan.runs)}"
    assert told["passages, and runs that they are taken in"] == found
    assert {one.severity for one in lay.findings} <= {"note"}
    assert told["faults and cautions; what the separate checker finds short"].startswith("none; ")
    assert told["length of all tubes"] == f"{sum(length(tube.curve) for tube in laid) / 1000:.0f} m"
    crossed = f"{tangle.crossings}; {tangle.side_changes}"
    assert told["crossings seen from the front; changes of side"] == crossed
    assert told["pairs wound about each other"] == f"{tangle.wound_pairs}"
