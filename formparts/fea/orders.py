"""The order for a study, and the same as plain data for a worker in another process."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from formparts.fea.case import LoadCase
from formparts.fea.loads import Load
from formparts.short_repr import short_repr


@short_repr
@dataclass(frozen=True)
class FeaOrder:
    """
    The analysis ordered besides a part's other files.

    Parameters
    ----------
    kind : str
        `shell`, `solid` or `bricks`.
    size : float [mm], optional
        Length of an element; else twice the thickness, or a hundredth of the longest side if that is more.
    cases : tuple of LoadCase
        Supports and loads, each case by itself.
    solve : bool
        Whether the solver is run.
    layers : int [-], optional
        Elements through the thickness of solids.
    local : tuple of (str, float) [mm]
        Names of the part and shorter elements there.
    converge : bool
        Whether two finer meshes are solved as well, and the figures extrapolated.
    flavours : tuple of str
        `abaqus` and `nastran`: decks for other solvers.
    """

    kind: str
    size: float | None = None
    cases: tuple[LoadCase, ...] = (LoadCase(),)
    solve: bool = False
    layers: int | None = None
    local: tuple[tuple[str, float], ...] = ()
    converge: bool = False
    flavours: tuple[str, ...] = ()


def order_from(data: Mapping[str, Any]) -> FeaOrder:
    """The order that plain data was made of by `dataclasses.asdict`, also when it came by JSON; lists become tuples."""
    cases = tuple(
        LoadCase(**{**_frozen(case), "loads": tuple(Load(**_frozen(load)) for load in case["loads"])})
        for case in data["cases"]
    )
    local = tuple((name, size) for name, size in data["local"])
    return FeaOrder(**{**_frozen(data), "cases": cases, "local": local})


def _frozen(data: Mapping[str, Any]) -> dict[str, Any]:
    return {name: tuple(value) if isinstance(value, list) else value for name, value in data.items()}
