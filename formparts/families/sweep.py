"""The family as a library function: rows in, outcomes out as they are finished."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.arguments import listed, takes
from formparts.families.building import one
from formparts.families.ledger import Outcome
from formparts.families.run import FamilyPlan, run
from formparts.families.table import Row, rows_of
from formparts.families.variants import Fault, Variant, checked, refused
from formparts.recipe_functions import Recipe
from formparts.writers import kinds_of

if TYPE_CHECKING:
    from formparts.fea import FeaOrder


@takes(recipe="Recipe", rows=listed(("Row", "Mapping"), "Iterable"), out=("str", "Path"), cluster="str")
def family(
    recipe: Recipe,
    rows: Iterable[Row | Mapping[str, Any]],
    out: str | Path = "",
    *,
    only: tuple[str, ...] = kinds_of(by_default=True),
    all_checks: bool = False,
    keep_going: bool = False,
    workers: int = 0,
    time_limit: float = 300.0,
    fresh: bool = False,
    cluster: str = "",
    overwrite: bool = False,
    fea: FeaOrder | None = None,
) -> Iterator[Outcome]:
    """
    Build many variants of a part, or compute their figures; each outcome is yielded as soon as it is ready.

    Parameters
    ----------
    recipe : Recipe
        What is built.
    rows : iterable of mapping or Row [house unit]
        Parameters of each variant, with its `name`; from `read_table` or `grid_rows`, or your own.
    out : path
        The family's folder. Without one only figures are worked out, in this process and without any file.
    only : tuple of str
        Which files of each variant; with none, figures alone go into the folder's table and ledger.
    all_checks : bool
        With figures alone: also look for self-intersections.
    keep_going : bool
        Build the good rows when others are bad.
    workers : int [-]
        Processes; one for each processor core when 0.
    time_limit : float [s]
        Longest time for one variant.
    fresh : bool
        Forget what the folder's ledger holds, and remove the files that it knows by name and hash.
    cluster : str
        Address of a scheduler (extra `formparts[cluster]`).
    overwrite : bool
        Replace files of the family that were changed since they were written. What formparts did not write in a
        variant's place or folder is never replaced: it is refused before anything is built.
    fea : FeaOrder, optional
        Mesh and load case whose deflection, stress and first natural frequency are figures of each variant as well.

    Returns
    -------
    iterator of Outcome
        Closing it stops the work; what is finished is kept.

    Raises
    ------
    InputError
        Rows are bad (all are named), or the folder cannot be used.
    """
    variants, faults = checked(recipe, _as_rows(rows))
    if faults and not keep_going:
        raise refused(recipe, faults, len(variants) + len(faults))
    if not out:
        return _figures(recipe, variants, faults, all_checks, fea)
    plan = FamilyPlan(tuple(only), all_checks, workers, time_limit, fresh, cluster, overwrite, fea)
    return run(recipe, variants, faults, out, plan)


def _as_rows(rows: Iterable[Row | Mapping[str, Any]]) -> Iterator[Row]:
    for number, row in enumerate(rows, start=1):
        if isinstance(row, Row):
            yield row
        else:
            (made,) = rows_of([row])
            given = "name" in row
            yield Row(number, made.name if given else f"variant-{number}", made.values)


def _figures(
    recipe: Recipe,
    variants: Iterable[Variant],
    faults: Iterable[Fault],
    all_checks: bool,
    fea: FeaOrder | None,
) -> Iterator[Outcome]:
    """Compute figures in this process; nothing is written."""
    for fault in faults:
        yield Outcome(fault.name, "", "", "failed", f"row {fault.number}: {fault.reason}", {})
    for variant in variants:
        yield _one(recipe, variant, all_checks, fea)


def _one(recipe: Recipe, variant: Variant, all_checks: bool, fea: FeaOrder | None) -> Outcome:
    task = {"wanted": (), "all_checks": all_checks, "fea": None if fea is None else asdict(fea)}
    answer = one(recipe, task, {"parameters": variant.parameters})
    head = (variant.name, variant.folder, "", answer["state"], answer["error"], variant.parameters)
    return Outcome(*head, answer.get("figures", {}), tuple(answer.get("findings", ())), {}, answer["seconds"])
