"""Find the parameter that each dimension follows: each parameter is changed a little, and the list made again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from formparts.body import Body
from formparts.drawings.listing import dimension_list
from formparts.drawings.sketch import Dimension
from formparts.errors import FormpartsError
from formparts.tolerances import IN_PROPORTION, NUDGE, STILL

Key = tuple[str, str, tuple[str, ...]]
"""The identity of a dimension, whatever its figure."""


def key_of(dimension: Dimension) -> Key:
    """Return the identity of a dimension, whatever its figure."""
    return (dimension.what, dimension.flat, dimension.targets)


def dimension_names(
    make: Callable[[Mapping[str, float]], Body], values: Mapping[str, float]
) -> dict[Key, str]:
    """
    Name the parameters that each dimension follows.

    Parameters
    ----------
    make : callable
        Returns the body for some changed parameters.
    values : mapping of str to float [house unit]
        The parameters that can be changed, lengths and angles.

    Returns
    -------
    dict
        By the key of a dimension: the parameter's name, or a sum such as `opening/2 − lug_start`. A dimension that
        follows a parameter otherwise than in proportion names it as `~slope`.

    Raises
    ------
    InputError
        The part cannot be made as it is.
    """
    base = _figures(make({}))
    found: dict[Key, list[str]] = {}
    for name, value in values.items():
        for key, factor, straight in _moved(make, name, value, base):
            found.setdefault(key, []).append(_term(name, factor) if straight else f"+ ~{name}")
    return {key: _sum(terms) for key, terms in found.items()}


def _figures(body: Body) -> dict[Key, float]:
    return {key_of(one): one.value for one in dimension_list(body).dimensions}


def _moved(
    make: Callable[[Mapping[str, float]], Body], name: str, value: float, base: Mapping[Key, float]
) -> list[tuple[Key, float, bool]]:
    """Return the dimensions that change with a parameter, their change per unit, and whether it is proportional."""
    step = NUDGE * max(abs(value), 1.0)
    for way in (step, -step):
        try:
            half, whole = (_figures(make({name: value + share * way})) for share in (0.5, 1.0))
        except FormpartsError:
            continue
        if half.keys() == whole.keys() == base.keys():
            rates = {
                key: ((half[key] - base[key]) / way * 2.0, (whole[key] - base[key]) / way) for key in base
            }
            return [
                (key, last, abs(first - last) < IN_PROPORTION)
                for key, (first, last) in rates.items()
                if abs(last) > STILL
            ]
    return []


def _term(name: str, factor: float) -> str:
    """Return a parameter and its factor, with its sign in front."""
    sign, size = ("+" if factor > 0 else "−"), abs(factor)
    if abs(size - 1.0) < STILL:
        return f"{sign} {name}"
    if size < 1.0 and abs(1.0 / size - round(1.0 / size)) < STILL:
        return f"{sign} {name}/{round(1.0 / size)}"
    return f"{sign} {size:.4g} {name}"


def _sum(terms: list[str]) -> str:
    first, *rest = sorted(terms, key=lambda term: term.startswith("−"))
    first = first[2:] if first.startswith("+ ") else f"−{first[2:]}"
    return " ".join([first, *rest])


def with_names(dimensions: tuple[Dimension, ...], names: Mapping[Key, str]) -> tuple[Dimension, ...]:
    """Return the dimensions with the parameter names that they follow."""
    return tuple(replace(one, name=names.get(key_of(one), one.name)) for one in dimensions)


def with_tolerances(
    dimensions: tuple[Dimension, ...], names: Mapping[Key, str], tolerances: Mapping[str, str]
) -> tuple[Dimension, ...]:
    """Return the dimensions with the tolerances of the parameters that they equal."""
    return tuple(
        replace(one, tolerance=tolerances.get(names.get(key_of(one), ""), one.tolerance))
        for one in dimensions
    )
