"""How the tubes are laid, tested and taken out again, as registers.

The order itself is decided in views/work_order.py, tests in records/testing.py, what is pulled first in
records/taking_out.py.
"""

from collections.abc import Iterator, Sequence

from routeviz.archive.columns import joined_names, mm, size_field
from routeviz.archive.registers import Field, Register, Value
from routeviz.cabinet.stages import is_there
from routeviz.lay import Lay
from routeviz.records.order_of_work import stretches_of
from routeviz.records.settings import Settings
from routeviz.records.tables import words_of
from routeviz.records.taking_out import Pull, TakingOut, takings_out
from routeviz.records.testing import SAFETY, note_by_note, run_tests
from routeviz.views.work_left import LEAVE, TRACE
from routeviz.views.work_order import Step, work_order

SETTINGS = Settings()  # what the sheets take where nobody asks for anything else
LAY, TEST = "lay", "test"
PULL, ALONG, FREE = "pull", "goes along", "comes out freely"

STAGE_FIELDS = (
    Field(name="stage", about="Its name."),
    Field(name="order", about="First, second and so on.", kind="whole", least=1),
    Field(name="pose", about="How the case stands meanwhile: upright, or leaned back by an angle."),
    Field(name="parts_come", about="Parts that are there from then on.", required=False),
    Field(name="parts_go", about="Parts that are there for the last time.", required=False),
    Field(name="tubes", about="How many tubes are laid in it.", kind="whole", least=0),
)
ORDER_FIELDS = (
    Field(name="turn", about="First, second and so on.", kind="whole", least=1),
    Field(
        name="what",
        about="Whether a tube is laid, or a run tested; leave: the tube stays as it lies; trace: something "
        "about it has to be found out first, and till then nothing is cut for it.",
        one_of=(LAY, TEST, LEAVE, TRACE),
    ),
    Field(name="stage", about="The stage of the work.", required=False),
    Field(
        name="run",
        about="Number of the run: tubes that go the same way. It may be broken off for tubes of another and "
        "taken up again, and is tested after its last; follow turn, not run.",
        kind="whole",
        least=1,
    ),
    Field(name="run_says", about="The run in words; its numbers are those of nipples."),
    Field(name="tube", about="The tube; empty for a test.", required=False),
    Field(name="tag", about="Its tag.", required=False),
    Field(
        name="first_end",
        about="Which of its ends goes on first, and why; empty for one that is not laid.",
        required=False,
    ),
    Field(
        name="from_start",
        about="Whether that is the end that the table of tubes calls its start; of one that is not laid, "
        "whether through is told from there.",
        kind="yes or no",
        required=False,
    ),
    Field(
        name="through",
        about="Passages in order, from the end that goes on first; none that its route keeps out of, though "
        "it is named for it.",
        required=False,
    ),
    Field(name="past", about="What it passes on its way, at most three things, in order.", required=False),
    size_field(
        "length", "Length to be expected, end to end; empty for one that is not laid.", required=False
    ),
    Field(
        name="ties",
        about="Where it is tied: how far along from the nipple's tip at its start, and to what; bundle: to "
        "its neighbours, so loosely until they lie too. What ties them is the workshop's choice.",
        required=False,
    ),
    Field(name="hold_aside", about="Tags of tubes that are held aside while it goes in.", required=False),
    Field(
        name="other_end_after",
        about="Tag of the tube after which its other end goes on; empty where both go on at once.",
        required=False,
    ),
    Field(
        name="look_out",
        about="What to look out for; how a test is made; first of all why a tube is not laid. Tubes are "
        "named by their tags in it, and distances count from the end that goes on first.",
        required=False,
    ),
)
TEST_FIELDS = (
    Field(name="test", about="First, second and so on.", kind="whole", least=1),
    Field(name="tags", about="Tags of the tubes that are tested: those that meet in tees and couplers."),
    Field(name="open", about="What is opened or pressed; empty where there is no test.", required=False),
    Field(
        name="answers",
        about="What must answer, and nothing else; empty where there is no test.",
        required=False,
    ),
    Field(name="joins", about="Tees and couplers on the way.", required=False),
    Field(name="how", about="How, and what is to be seen; or why there is no test."),
)
OUT_FIELDS = (
    Field(name="part", about="The part of the scene that comes out."),
    Field(name="row", about="First, second and so on, of this part.", kind="whole", least=1),
    Field(
        name="what",
        about="Whether a tube is pulled, goes out with the part, or nothing holds the part.",
        one_of=(PULL, ALONG, FREE),
    ),
    Field(
        name="turn_out",
        about="In which turn it is pulled: what was laid last comes first.",
        kind="whole",
        required=False,
    ),
    Field(name="turn_back", about="In which turn it is put back.", kind="whole", required=False),
    Field(name="tube", about="The tube.", required=False),
    Field(name="tag", about="Its tag.", required=False),
    Field(name="pull_at", about="At which end it is pulled.", required=False),
    Field(name="stays_on", about="What its other end stays on.", required=False),
    Field(name="why", about="Why it is pulled.", required=False),
)


def stages_register(lay: Lay) -> Register:
    """Return the stages of the work; no row in a scene without stages."""
    scene, steps = lay.reading.scene, work_order(lay, SETTINGS.side)
    rows: list[tuple[Value, ...]] = []
    order = {stage.name: number for number, stage in enumerate(scene.stages)}
    there = {name: [n for n, part in scene.part.items() if is_there(part, name, order)] for name in order}
    for stage in scene.stages:
        come = [name for name in there[stage.name] if scene.part[name].stage == stage.name]
        go = [name for name in there[stage.name] if scene.part[name].until == stage.name]
        laid = sum(step.stage == stage.name and step.left is None for step in steps)
        told = (joined_names(come), joined_names(go), laid)
        rows.append((stage.name, order[stage.name] + 1, stage.pose or scene.pose, *told))
    return Register(
        name="stages",
        title="Stages of the work",
        about="A stage of the work; what an earlier one brought is kept.",
        fields=STAGE_FIELDS,
        rows=tuple(rows),
        key=("stage",),
    )


def order_of_work_register(lay: Lay) -> Register:
    """Return in which order the tubes are laid, and when which run is tested, seen from the case's front.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    register : Register
        Each tube once.
    """
    steps = work_order(lay, SETTINGS.side)
    says = {stretch.run: stretch.says for stretch in stretches_of(lay, steps)}
    rows: list[tuple[Value, ...]] = []
    for told in _told(lay, steps, says):
        rows.append((len(rows) + 1, *told))
    return Register(
        name="order-of-work",
        title="Order of work",
        about="A tube in its turn, or a run's test, or a tube that is not laid, for a worker at the case's "
        f"{SETTINGS.side}. {SAFETY[0]}",
        fields=ORDER_FIELDS,
        rows=tuple(rows),
        key=("turn",),
        refers={"stage": ("stages", "stage"), "tube": ("tubes", "tube")},
    )


def note_by_note_register(lay: Lay) -> Register:
    """Return the list by which the whole is tested when all tubes lie, note by note."""
    table = note_by_note(lay)
    names = [column.name for column in table.columns]
    kept = [names.index(name) for name in ("tags", "open", "answers", "joins", "how")]
    rows = tuple(
        (number, *(words_of(row[k]) or None for k in kept)) for number, row in enumerate(table.rows, 1)
    )
    return Register(
        name="note-by-note",
        title="Note by note",
        about=f"Tubes that are tested together when all lie. {SAFETY[0]}",
        fields=TEST_FIELDS,
        rows=rows,
        key=("test",),
    )


def taking_out_register(lay: Lay) -> Register:
    """Return which parts come out, and which tubes are pulled before each.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    register : Register
        Part after part, in the order in which tubes are pulled.
    """
    rows: list[tuple[Value, ...]] = []
    for taking in takings_out(lay, SETTINGS):
        rows += [(taking.part, number, *told) for number, told in enumerate(_taken(lay, taking), 1)]
    return Register(
        name="taking-out",
        title="Taking out",
        about="A tube that is pulled before a part can come out, or goes out with it.",
        fields=OUT_FIELDS,
        rows=tuple(rows),
        key=("part", "row"),
        refers={"tube": ("tubes", "tube")},
    )


def _told(lay: Lay, steps: Sequence[Step], says: dict[int, str]) -> Iterator[tuple[Value, ...]]:
    tests = run_tests(lay, steps)
    for stretch in stretches_of(lay, steps):
        for step in stretch.steps:
            what = LAY if step.left is None else step.left.what
            yield what, step.stage, step.run_number, stretch.says, *_of_tube(lay, step)
        for run in stretch.tested:
            yield TEST, stretch.stage, run, says[run], *(None,) * 10, tests[run]


def _of_tube(lay: Lay, step: Step) -> tuple[Value, ...]:
    tube = lay.tubes[step.tube]
    return (
        tube.name,
        tube.tag,
        step.first_end if step.left is None else None,
        step.at_start,
        joined_names(step.through),
        joined_names(step.passes),
        mm(step.length_mm),
        joined_names([f"at {tie.along_mm:.0f} mm to {tie.to}" for tie in tube.ties]),
        joined_names([lay.tubes[other].tag for other in step.hold]),
        None if step.open_until is None else lay.tubes[step.open_until].tag,
        joined_names(step.look_out),
    )


def _taken(lay: Lay, taking: TakingOut) -> Iterator[tuple[Value, ...]]:
    count = len(taking.pulls)
    for turn, pull in enumerate(taking.pulls, 1):
        told = (pull.at, pull.stays, _why(taking, pull))
        yield PULL, turn, count + 1 - turn, *_names(lay, pull.tube), *told
    for index in taking.goes_along:
        yield ALONG, None, None, *_names(lay, index), None, None, None
    if not count and not taking.goes_along:
        yield FREE, *(None,) * 7


def _names(lay: Lay, index: int) -> tuple[str, str]:
    return lay.tubes[index].name, lay.tubes[index].tag


def _why(taking: TakingOut, pull: Pull) -> str:
    return f"joins {taking.part} to what stays" if pull.joined else "lies across its way"
