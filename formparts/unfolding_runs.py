"""Many STEP files, or a file of many solids: each sheet part once, on all cores, with one table of what came of it."""

from __future__ import annotations

import os
import re
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from formparts.apart import each_apart
from formparts.errors import FormpartsError
from formparts.unfolded_files import UnfoldedFile, Wishes, unfolded_solid
from formparts.unfolder import StepSolid, read_solids


@dataclass(frozen=True)
class UnfoldedSolid:
    """The outcome of one solid of a file.

    Parameters
    ----------
    file : str
        Name of the file.
    solid : str
        Name of the solid; empty when the file could not be read.
    count : int [-]
        How often it occurs in the file.
    refusal : str
        Why it is not unfolded; empty when it is.
    thickness : float [mm]
        As measured; 0 when it is not unfolded.
    bends : int [-]
        How many there are.
    size : (length, width) [mm]
        Of the blank.
    share : float [-]
        Area of the blank x thickness over the volume of the solid.
    features : int [-]
        Number of features on the sheet or formed from it.
    notes : tuple of str
        What a reader of the blank must know.
    ok : bool
        The methods agree, and no finding is an error.
    seconds : float [s]
        Processor time of unfolding, without reading the file.
    """

    file: str
    solid: str
    count: int = 1
    refusal: str = ""
    thickness: float = 0.0
    bends: int = 0
    size: tuple[float, float] = (0.0, 0.0)
    share: float = 0.0
    features: int = 0
    notes: tuple[str, ...] = ()
    ok: bool = False
    seconds: float = 0.0


def unfold_files(
    paths: Sequence[str | Path], out: str | Path | None, how: Wishes, jobs: int | None = None
) -> tuple[UnfoldedSolid, ...]:
    """
    Unfold all solids of all files, and write the blank and figures of each.

    Parameters
    ----------
    paths : sequence of path
        STEP files.
    out : path, optional
        Folder for the files; nothing is written when none is given.
    how : Wishes
        Bend rule, material and the like.
    jobs : int, optional [-]
        So many files at once; as many as there are cores if none is given.

    Returns
    -------
    tuple of Outcome
        In the order of the files, and of the solids in each.
    """
    places = [Path(path) for path in paths]
    found = each_apart(partial(unfold_all_solids, out=out, how=how), places, jobs or os.cpu_count() or 1)
    rows = [
        [UnfoldedSolid(path.name, "", refusal=str(row))]
        if isinstance(row, (FormpartsError, OSError))
        else row
        for path, row in zip(places, found, strict=True)
    ]
    return tuple(each for row in rows for each in row)


def unfold_all_solids(path: Path, out: str | Path | None, how: Wishes) -> list[UnfoldedSolid]:
    """Unfold every solid of one file; a part that occurs in it several times is unfolded and counted once."""
    try:
        solids = read_solids(path)
    except FormpartsError as refusal:
        return [UnfoldedSolid(path.name, "", refusal=str(refusal))]
    found: list[UnfoldedSolid] = []
    known: dict[object, int] = {}
    for solid in solids:
        stem = path.stem if len(solids) == 1 else f"{path.stem}-{_plain(solid.name)}"
        outcome, key = _outcome(path, solid, out, stem, how)
        if key is not None and key in known:
            first = known[key]
            found[first] = replace(found[first], count=found[first].count + solid.count)
            continue
        if key is not None:
            known[key] = len(found)
        found.append(outcome)
    return found


def _plain(name: str) -> str:
    """A name as a part of a file's name."""
    return re.sub(r"[^\w.+-]+", "_", name).strip("._") or "solid"


def _outcome(
    path: Path, solid: StepSolid, out: str | Path | None, stem: str, how: Wishes
) -> tuple[UnfoldedSolid, object]:
    """Return the outcome of one solid, and a key for equal parts."""
    start = time.process_time()
    try:
        made = unfolded_solid(path, solid, out, stem, how)
    except FormpartsError as refusal:
        spent = time.process_time() - start
        return UnfoldedSolid(path.name, solid.name, solid.count, str(refusal), seconds=spent), None
    return _row(path, solid, made, time.process_time() - start), _likeness(made)


def _row(path: Path, solid: StepSolid, made: UnfoldedFile, seconds: float) -> UnfoldedSolid:
    found, blank = made.found, made.found.blank
    return UnfoldedSolid(
        path.name,
        solid.name,
        solid.count,
        "",
        found.thickness,
        len(found.bends),
        (blank.length, blank.width),
        blank.area * found.thickness / found.volume,
        len(found.features),
        found.notes,
        made.ok,
        seconds,
    )


def _likeness(made: UnfoldedFile) -> object:
    """Equal parts have equal blanks: thickness, outline and bends to a thousandth of a mm, and the same volume."""
    blank = made.found.blank
    corners = tuple(
        (round(x, 3), round(y, 3)) for edge in blank.outline.edges for x, y in (edge.start, edge.middle)
    )
    bends = tuple((round(mark.angle, 3), mark.side, round(mark.length, 3)) for mark in blank.bends)
    return (round(made.found.thickness, 4), corners, bends, round(made.found.volume, 2))


def table(outcomes: Sequence[UnfoldedSolid]) -> list[str]:
    """One line for each solid, and the counts below."""
    lines = []
    for each in outcomes:
        name = each.file if each.solid in ("", Path(each.file).stem) else f"{each.file}: {each.solid}"
        times = f" x {each.count}" if each.count > 1 else ""
        if each.refusal:
            lines.append(f"  refused    {name}{times}: {each.refusal}")
            continue
        length, width = each.size
        what = f"{round(each.thickness, 4):g} mm, {each.bends} bends, blank {length:.2f} x {width:.2f} mm"
        more = f", {each.features} features" if each.features else ""
        word = "unfolded " if each.ok else "look at  "
        lines.append(f"  {word}  {name}{times}: {what}{more}, area x t / volume {each.share:.4f}")
    done = sum(not each.refusal for each in outcomes)
    lines.append(f"{done} of {len(outcomes)} solids unfolded, {len(outcomes) - done} refused")
    return lines
