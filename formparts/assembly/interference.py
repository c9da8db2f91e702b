"""Parts of an assembly that intersect: found in the model, measured by the kernel.

Bent parts are flats and ends of rings, round parts are discs with a height: the model shows for any two
whether they intersect, at once and without the kernel. Only their common volume is measured by the kernel, in
a separate process with a time limit.
"""

from __future__ import annotations

import json
import pickle
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from formparts import child_process
from formparts.arguments import takes
from formparts.assembly.placing import Assembly, Placed, box_of
from formparts.assembly.turned import Turned
from formparts.body import Frame
from formparts.body.frame import Vector
from formparts.clash import Clash, FoldedPiece, first_clash, pieces_of
from formparts.errors import InputError
from formparts.outline import Outline, cut, disc
from formparts.short_repr import short_repr
from formparts.tolerances import TOUCHING_VOLUME

TIME_LIMIT: Final = 60.0
"""Pairs whose common volume the kernel has not measured by then are reported without it [s]."""
CHILD: Final = "formparts.assembly.interference_child"
"""The module that measures with the kernel."""


@short_repr
@dataclass(frozen=True)
class Interference:
    """Two parts that intersect.

    Parameters
    ----------
    first, second : str
        Names of the two.
    volume : float [mm3], optional
        What they share; None when the kernel did not find it in time.
    place : (x, y, z) [mm]
        A point inside both.
    """

    first: str
    second: str
    volume: float | None
    place: Vector


@takes(assembly="Assembly")
def interferences(assembly: Assembly, *, time_limit: float = TIME_LIMIT) -> tuple[Interference, ...]:
    """Find parts that intersect; parts that only touch do not count.

    Curved edges are followed to `tolerances.CHORD`: what goes less deep into a round part may not be seen.

    Parameters
    ----------
    assembly : Assembly
        What is looked at.
    time_limit : float [s]
        How long the kernel may take to measure what is shared, for all pairs together.

    Returns
    -------
    tuple of Interference
    """
    found = list(_found(assembly))
    pairs = [(one, two) for one, two, _ in found]
    volumes = _shared(pairs, time_limit) if pairs else []
    return tuple(
        Interference(one.name, two.name, volume, clash.place)
        for (one, two, clash), volume in zip(found, volumes, strict=True)
        # A bolt that fills its hole exactly is near enough to be found, but has no common volume.
        if volume is None or volume > TOUCHING_VOLUME
    )


def _found(assembly: Assembly) -> Iterator[tuple[Placed, Placed, Clash]]:
    """Pairs of parts that the model finds in each other."""
    boxes = {item.name: box_of(item) for item in assembly.items}
    pieces: dict[str, list[FoldedPiece]] = {}
    for one, two in combinations(assembly.items, 2):
        if _apart(boxes[one.name], boxes[two.name]):
            continue
        for item in (one, two):
            if item.name not in pieces:
                pieces[item.name] = list(_folded(item))
        clash = first_clash(pieces[one.name], pieces[two.name])
        if clash is not None:
            yield one, two, clash


def _apart(one: tuple[Vector, Vector], two: tuple[Vector, Vector]) -> bool:
    """True when two boxes do not overlap by more than touching."""
    return any(one[1][axis] <= two[0][axis] or two[1][axis] <= one[0][axis] for axis in range(3))


def _folded(item: Placed) -> Iterator[FoldedPiece]:
    """Return the flats and bends of a placed part."""
    if isinstance(item.part, Turned):
        yield from _steps(item.part, item.frame)
    else:
        yield from pieces_of(replace(item.part, frame=item.part.frame.inside(item.frame)))


def _steps(part: Turned, frame: Frame) -> Iterator[FoldedPiece]:
    """Every cylinder of a round part: a disc, or a ring round the bore."""
    heights = part.heights
    for number, (diameter, _) in enumerate(part.steps):
        yield FoldedPiece(
            f"{part.name}.side[{number + 1}]",
            _round(diameter, part.bore),
            frame,
            heights[number],
            heights[number + 1],
        )


def _round(diameter: float, bore: float) -> Outline:
    return cut(disc(diameter), disc(bore))[0] if bore > 0.0 else disc(diameter)


def _shared(pairs: Sequence[tuple[Placed, Placed]], time_limit: float) -> list[float | None]:
    """Return what each two share, as far as the kernel got; a crash of the kernel does not end this process."""
    with TemporaryDirectory(prefix="formparts_") as folder:
        asked, answers = Path(folder, "pairs"), Path(folder, "volumes")
        asked.write_bytes(pickle.dumps(list(pairs)))
        # Volumes measured before the time limit are already written.
        with suppress(InputError):
            child_process.run_module(CHILD, asked, (str(asked), str(answers)), time_limit)
        said = answers.read_text(encoding="ascii") if answers.exists() else ""
    whole = said.split("\n")[:-1]
    volumes: list[float | None] = [json.loads(line) for line in whole]
    return [*volumes, *[None] * (len(pairs) - len(volumes))]
