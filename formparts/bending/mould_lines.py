"""Strips with several bends: lengths to the outer mould lines, straights between tangent lines, blank length.

A strip has one length more than it has bends. A single angle or radius holds for all bends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from formparts.arguments import takes
from formparts.bending.lengths import outside_setback
from formparts.bending.ranges import figures
from formparts.errors import InputError
from formparts.tolerances import LENGTH

if TYPE_CHECKING:
    from formparts.bending.rules import BendRule

Each = float | Sequence[float]
"""One figure for all bends, or one for each."""


@takes(mould_lengths="Sequence")
def mould_straights(
    mould_lengths: Sequence[float], angles: Each, inside_radii: Each, thickness: float
) -> tuple[float, ...]:
    """
    Straights between tangent lines from the lengths to the outer mould lines: less a setback at each bend.

    Parameters
    ----------
    mould_lengths : sequence of float [mm]
        Lengths of the strip's runs, each to the outer mould line of the bends at its ends.
    angles : float or sequence of float [deg]
        Bend angles, 0 for flat.
    inside_radii : float or sequence of float [mm]
        Inside radii of the bends.
    thickness : float [mm]
        Thickness of the strip.

    Returns
    -------
    tuple of float [mm]

    Raises
    ------
    InputError
        A figure is outside its range, the counts do not fit, or a run is too short for its bends.

    Source
    ------
    Exact mathematics.

    Examples
    --------
    >>> [round(straight, 6) for straight in mould_straights((1.00, 2.00, 1.00), 90, 0.16, 0.04)]
    [0.8, 1.6, 0.8]
    """
    for length in mould_lengths:
        figures("mould_straights", straight=length)
    setbacks = _setbacks("mould_straights", len(mould_lengths), angles, inside_radii, thickness)
    straights = tuple(
        run - left - right
        for run, left, right in zip(mould_lengths, (0.0, *setbacks), (*setbacks, 0.0), strict=True)
    )
    for number, straight in enumerate(straights):
        if straight < -LENGTH:
            shortest = mould_lengths[number] - straight
            problem = f"run {number + 1} is too short for its bends by {-straight:.4g} mm"
            raise InputError(
                "mould_straights", "mould_lengths", float(mould_lengths[number]), problem,
                f"at least {shortest:.6g} mm", "mm",
            )  # fmt: skip
    return tuple(max(0.0, straight) for straight in straights)


@takes(straights="Sequence")
def mould_lengths(
    straights: Sequence[float], angles: Each, inside_radii: Each, thickness: float
) -> tuple[float, ...]:
    """
    Lengths to the outer mould lines from the straights between tangent lines: a setback more at each bend.

    Parameters
    ----------
    straights : sequence of float [mm]
        Lengths of the strip's straights, tangent line to tangent line.
    angles : float or sequence of float [deg]
        Bend angles, 0 for flat.
    inside_radii : float or sequence of float [mm]
        Inside radii of the bends.
    thickness : float [mm]
        Thickness of the strip.

    Returns
    -------
    tuple of float [mm]

    Raises
    ------
    InputError
        A figure is outside its range, or the counts do not fit.

    Source
    ------
    Exact mathematics.
    """
    for straight in straights:
        figures("mould_lengths", straight=straight)
    setbacks = _setbacks("mould_lengths", len(straights), angles, inside_radii, thickness)
    ends = zip(straights, (0.0, *setbacks), (*setbacks, 0.0), strict=True)
    return tuple(straight + left + right for straight, left, right in ends)


@takes(mould_lengths="Sequence", rule="BendRule")
def blank_length(
    mould_lengths: Sequence[float], angles: Each, inside_radii: Each, thickness: float, rule: BendRule
) -> float:
    """
    Length of the flat strip from the lengths to the outer mould lines: their sum less a deduction for each bend.

    Parameters
    ----------
    mould_lengths : sequence of float [mm]
        Lengths of the strip's runs, each to the outer mould line of the bends at its ends.
    angles : float or sequence of float [deg]
        Bend angles, 0 for flat.
    inside_radii : float or sequence of float [mm]
        Inside radii of the bends.
    thickness : float [mm]
        Thickness of the strip.
    rule : BendRule
        Gives the allowance of each bend.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        A figure is outside its range, the counts do not fit, or a run is too short for its bends.

    Source
    ------
    Exact mathematics; the allowance by the rule's source.

    Examples
    --------
    >>> round(blank_length((40, 25), (90,), 2.5, 2, KFactor(0.44)), 4)
    61.3093
    """
    straights = mould_straights(mould_lengths, angles, inside_radii, thickness)
    bends = _bends("blank_length", len(mould_lengths), angles, inside_radii)
    return sum(straights) + sum(rule.allowance(angle, radius, thickness) for angle, radius in bends)


@takes(others="Sequence", rule="BendRule")
def missing_mould_length(
    blank: float, others: Sequence[float], angles: Each, inside_radii: Each, thickness: float, rule: BendRule
) -> float:
    """
    Length to the outer mould line that the last run comes out with, from the blank's length and the other runs.

    Parameters
    ----------
    blank : float [mm]
        Length of the flat strip.
    others : sequence of float [mm]
        All runs but the last, each to the outer mould line of the bends at its ends.
    angles : float or sequence of float [deg]
        Bend angles, 0 for flat.
    inside_radii : float or sequence of float [mm]
        Inside radii of the bends.
    thickness : float [mm]
        Thickness of the strip.
    rule : BendRule
        Gives the allowance of each bend.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        A figure is outside its range, the counts do not fit, or the blank is too short for the runs.

    Source
    ------
    `blank_length` solved for its last run.
    """
    figures("missing_mould_length", length=blank)
    setbacks = _setbacks("missing_mould_length", len(others) + 1, angles, inside_radii, thickness)
    last = setbacks[-1] if setbacks else 0.0
    shortest = blank_length((*others, last), angles, inside_radii, thickness, rule)
    if blank < shortest - LENGTH:
        problem = f"is too short for the other runs by {shortest - blank:.4g} mm"
        fix = f"at least {shortest:.6g} mm"
        raise InputError("missing_mould_length", "blank", float(blank), problem, fix, "mm")
    return last + max(0.0, blank - shortest)


def _setbacks(where: str, runs: int, angles: Each, inside_radii: Each, thickness: float) -> tuple[float, ...]:
    bends = _bends(where, runs, angles, inside_radii)
    return tuple(outside_setback(angle, radius, thickness) for angle, radius in bends)


def _bends(where: str, runs: int, angles: Each, inside_radii: Each) -> tuple[tuple[float, float], ...]:
    """Angle and inside radius of each bend of a strip of so many runs."""
    if runs < 1:
        raise InputError(where, "lengths", runs, "there are no runs", "give at least one length")
    of_angle = _for_each(where, "angles", angles, runs - 1)
    return tuple(zip(of_angle, _for_each(where, "inside_radii", inside_radii, runs - 1), strict=True))


def _for_each(where: str, parameter: str, given: Each, bends: int) -> Iterator[float]:
    each = [given] * bends if isinstance(given, (int, float)) else list(given)
    if len(each) != bends:
        problem = f"has {len(each)} figures"
        raise InputError(
            where, parameter, str(list(each)), problem, f"give one, or {bends}: one for each bend"
        )
    return iter(each)
