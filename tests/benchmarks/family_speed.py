"""Speed of families, all in one run: figures alone, solids on one worker and on two, memory, and a plain script.

    python -m tests.benchmarks family_speed

Set FORMPARTS_MEMORY_VARIANTS=2000 for the long look at the memory of one worker (about half an hour).
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

from formparts import family, find_recipe
from formparts.families import grid_rows
from formparts.families.pool import answers
from formparts.families.variants import Variant, checked

SOLIDS = 40
MEMORY = int(os.environ.get("FORMPARTS_MEMORY_VARIANTS", "200"))


def variants(count: int) -> list[Variant]:
    """Riser variants that can all be made: the rise differs."""
    rows = grid_rows([f"rise=12..{12 + 6:g}mm:{6 / (count - 1):.12g}"])
    made, faults = checked(find_recipe("ring_riser"), rows)
    assert not faults
    return made


def figures_alone(count: int) -> float:
    """Variants per second of processor time for closed-form figures, in this process."""
    recipe = find_recipe("ring_riser")
    rows = [{"name": v.name, **v.parameters} for v in variants(count)]
    list(family(recipe, rows[:5]))
    began = time.process_time()
    outcomes = list(family(recipe, rows))
    assert all(outcome.state == "made" for outcome in outcomes)
    return len(outcomes) / (time.process_time() - began)


def tasks(count: int, folder: Path, only: Iterable[str]) -> list[dict[str, object]]:
    """One task for each variant, as the family gives them to its workers."""
    reference = find_recipe("ring_riser").reference
    head = {"recipe": reference, "wanted": list(only), "all_checks": False}
    return [
        {
            **head,
            "variants": [
                {"folder": v.folder, "parameters": dict(v.parameters), "into": str(folder / v.folder)}
            ],
        }
        for v in variants(count)
    ]


def solids(count: int, workers: int) -> float:
    """Variants per second of solid, STEP and DXF, from the first answer of every worker to the last of all."""
    with tempfile.TemporaryDirectory() as folder:
        todo = tasks(count, Path(folder), ("solid", "blank"))
        stamps = []
        for _, found in answers(todo, workers, 300.0):
            assert found[0]["state"] == "made", found
            stamps.append(time.perf_counter())
        # Starting a worker takes seconds once; what is measured is the work after it.
        return (count - workers) / (stamps[-1] - stamps[workers - 1])


def plain(count: int) -> float:
    """Variants per second of a loop over the plain script, with a STEP file each, on one core."""
    import cadquery as cq

    from tests.benchmarks.plain_ring_riser import plain_ring_riser

    with tempfile.TemporaryDirectory() as folder:
        given = variants(count)
        cq.exporters.export(plain_ring_riser(), str(Path(folder, "warm.step")))
        began = time.perf_counter()
        for variant in given:
            part = plain_ring_riser(rise=variant.parameters["rise"])
            cq.exporters.export(part, str(Path(folder, f"{variant.folder}.step")))
        return count / (time.perf_counter() - began)


def memory(count: int) -> tuple[float, float]:
    """Memory of one worker [MB] after 100 variants (solid, STEP and DXF), and after all, without a fresh one."""
    from formparts.families import pool

    with tempfile.TemporaryDirectory() as folder:
        worker = pool.started()
        held = []
        for task in tasks(count, Path(folder), ("solid", "blank")):
            (answer,) = pool.asked(worker, task, 300.0)
            assert answer["state"] == "made"
            held.append(worker.memory_mb)
        pool.ended(worker)
        return held[min(100, count) - 1], held[-1]


def run() -> Iterator[dict[str, object]]:
    """All figures of one run; on a machine that does other work too, the ratio of two workers to one says nothing."""
    yield {"what": "machine", "cores": os.cpu_count(), "load": round(os.getloadavg()[0], 1)}
    yield {"what": "figures alone, per second of one core", "value": figures_alone(400), "at least": 300}
    one, two, script = solids(SOLIDS, 1), solids(SOLIDS, 2), plain(SOLIDS)
    yield {"what": "solid, STEP, DXF per second, 1 worker", "value": one}
    yield {"what": "solid, STEP, DXF per second, 2 workers", "value": two}
    yield {"what": "2 workers over 1", "value": two / one, "at least": 1.8}
    yield {"what": "plain script with STEP per second", "value": script}
    yield {"what": "1 worker over plain script", "value": one / script}
    early, late = memory(MEMORY)
    yield {"what": "memory of one worker [MB]", "value": late, "variants": MEMORY}
    yield {"what": "its growth since the first hundred", "value": late / early - 1.0, "at most": 0.10}
