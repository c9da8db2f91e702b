"""Copies of a body side by side: in a line, and in columns and rows; about an axis is `moves.array_about`."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.body import Body
from formparts.errors import InputError
from formparts.quantities import Limits, count, shown_value
from formparts.shapes.moves import MOST_COPIES, three_lengths, translate
from formparts.shapes.naming import checked_body, renamed

_COPIES = Limits(minimum=1, maximum=MOST_COPIES)


def array_along(body: Body, copies: object, step: Sequence[object]) -> tuple[Body, ...]:
    """
    Copies of a body in a line, each a body of its own: `name[1]`, `name[2]`...

    Parameters
    ----------
    body : Body
        The first is in the position of this one.
    copies : count [-]
        How many in all.
    step : (x, y, z) [mm]
        From one to the next, along each axis.

    Returns
    -------
    tuple of Body

    Raises
    ------
    InputError
        The count is not a whole number from 1, the step is not three lengths or is zero, or there is no body.

    Examples
    --------
    >>> from formparts import Part, Sheet, fuse, plate, rectangle, tongue, translate
    >>> sheet = Sheet(2, 2)
    >>> lug = translate(tongue(sheet, 20, 10, "square", name="lug"), (30, -20, 0))
    >>> comb = fuse(plate(sheet, rectangle(60, 50)), array_along(lug, 3, (0, 20, 0)))
    >>> Part(comb).properties.volume
    7200.0
    """
    number = _checked(body, copies, "copies", "array_along")
    each = _step(step, number, "step", "array_along")
    return tuple(
        translate(renamed(body, f"{body.name}[{place + 1}]"), [place * along for along in each])
        for place in range(number)
    )


def array_in_rows(
    body: Body, columns: object, rows: object, column_step: Sequence[object], row_step: Sequence[object]
) -> tuple[Body, ...]:
    """
    Copies of a body in columns and rows, each a body of its own: `name[1]`, `name[2]`... row by row.

    Parameters
    ----------
    body : Body
        The first is in the position of this one.
    columns, rows : count [-]
        How many in a row, and how many rows.
    column_step, row_step : (x, y, z) [mm]
        From one to the next in a row, and from one row to the next.

    Returns
    -------
    tuple of Body

    Raises
    ------
    InputError
        A count is not a whole number from 1, there are too many, a step is not three lengths or is none, or there is
        no body.

    Examples
    --------
    >>> from formparts import Part, Sheet, fuse, plate, rectangle, translate
    >>> first = translate(plate(Sheet(2, 2), rectangle(10, 10), "pad"), (-20, -12, 0))
    >>> pads = array_in_rows(first, 3, 2, (20, 0, 0), (0, 24, 0))
    >>> [(pad.name, pad.frame.origin[:2]) for pad in pads[2:4]]
    [('pad[3]', (20.0, -12.0)), ('pad[4]', (-20.0, 12.0))]
    >>> toothed = fuse(plate(Sheet(2, 2), rectangle(60, 20)), pads)
    >>> Part(toothed).properties.volume
    3240.0
    """
    where = "array_in_rows"
    across, many = (
        _checked(body, given, called, where) for given, called in ((columns, "columns"), (rows, "rows"))
    )
    if across * many > MOST_COPIES:
        raise InputError(
            where, "rows", many, f"gives {across * many} bodies", f"at most {MOST_COPIES} in all"
        )
    one, other = _step(column_step, across, "column_step", where), _step(row_step, many, "row_step", where)
    return tuple(
        translate(
            renamed(body, f"{body.name}[{row * across + column + 1}]"),
            [column * x + row * y for x, y in zip(one, other, strict=True)],
        )
        for row in range(many)
        for column in range(across)
    )


def _checked(body: Body, given: object, called: str, where: str) -> int:
    checked_body(body, where)
    return count(given, called, where, _COPIES)


def _step(given: Sequence[object], number: int, called: str, where: str) -> tuple[float, float, float]:
    """Return the distance from one copy to the next; it must not be zero where there is a next one."""
    each = three_lengths(where, called, given)
    if number > 1 and not any(each):
        fix = "give how far it is from one to the next: (20, 0, 0)"
        raise InputError(where, called, shown_value(given), "would put them all in one place", fix)
    return each
