"""The few figures of a part under load that are listed beside its mass: columns of a family, and targets of `solve`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from formparts.body import Body

if TYPE_CHECKING:
    from formparts.fea import CaseSolution, FeaOrder, LoadCase

UNDER_LOAD: Final[Mapping[str, str]] = MappingProxyType(
    {"deflection_mm": "mm", "stress_mpa": "MPa", "frequency_hz": "Hz"}
)
"""Largest displacement and greatest von Mises stress away from supports, of the first case; the first natural
frequency of the part as that case holds it, without its loads. With units."""


def figures_under_load(body: Body, order: FeaOrder, wanted: Iterable[str] = UNDER_LOAD) -> dict[str, float]:
    """
    Solve the first case of an order for some figures of UNDER_LOAD; what it has no load or support for is left out.

    Parameters
    ----------
    body : Body
        The part.
    order : FeaOrder
        Mesh and load case.
    wanted : iterable of str
        Which of UNDER_LOAD.

    Returns
    -------
    dict of str to float [of UNDER_LOAD]

    Raises
    ------
    InputError
        A name or a load is wrong, or the solver is not on this machine.
    FileProofError
        The solver failed.
    """
    case, names = order.cases[0], set(wanted)
    figures: dict[str, float] = {}
    if names - {"frequency_hz"} and case.acts:
        found = _solved(body, order, replace(case, frequencies=0, buckling=0))
        if found.deflection is not None:
            figures["deflection_mm"] = found.deflection[0]
        if found.peak_away is not None:
            figures["stress_mpa"] = found.peak_away.von_mises
    if "frequency_hz" in names and case.fix:
        bare = replace(case, loads=(), gravity=(0.0, 0.0, 0.0), buckling=0, frequencies=1)
        answer = _solved(body, order, bare).answer
        if answer is not None and answer.frequencies:
            figures["frequency_hz"] = answer.frequencies[0]
    return {name: value for name, value in figures.items() if name in names}


def _solved(body: Body, order: FeaOrder, case: LoadCase) -> CaseSolution:
    from formparts.fea import study

    return study(body, replace(order, cases=(case,), solve=True, converge=False)).first
