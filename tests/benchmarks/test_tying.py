"""Ties of the invented cabinets' known lays, as the planner would place them: content, few, quick."""

import sys
import time
from dataclasses import replace

import pytest
from benchmarks.cabinets import a_cabinet
from builders import written

from routeviz.cabinet.placing import place
from routeviz.checks.hang import check
from routeviz.planning.tying import ties_for
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.measures import measure


@pytest.mark.parametrize(("seed", "tubes"), [*((seed, 30) for seed in range(5)), (0, 120), (1, 120)])
def test_ties(seed, tubes, tmp_path, capsys):
    reading = read_scene(written(tmp_path, a_cabinet(seed, tubes).laid()))
    cabinet = place(reading)
    lay = shape(reading, cabinet)
    bare = [replace(tube, ties=()) for tube in lay]
    ties_for([cabinet], bare)
    begin = time.perf_counter()
    ties = ties_for([cabinet], bare)
    took = time.perf_counter() - begin
    tied = [replace(tube, ties=own) for tube, own in zip(bare, ties, strict=True)]
    told = check(cabinet, tied, measure(cabinet, tied))
    on_wood = sum(tie.to != "bundle" for own in ties for tie in own)
    count, known = sum(map(len, ties)), sum(len(tube.ties) for tube in lay)
    with capsys.disabled():
        sys.stdout.write(
            f"\nseed {seed}, {tubes} tubes: {count / tubes:.1f} ties a tube ({known / tubes:.1f} in the "
            f"known lay), {on_wood / count:.0%} on wood, hang {len(told)}, {1e3 * took:.0f} ms"
        )
    assert told == []
    assert count < known / 2
