"""Figures that a drawing gives, compared with those of the part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from formparts import toml
from formparts.closed_forms import Properties
from formparts.errors import InputError
from formparts.layout import Blank
from formparts.quantities import POSITIVE, Limits, fraction, length, mass, quantity
from formparts.short_repr import short_repr
from formparts.tolerances import NOUGHT

Reader = Callable[[object, str, str, Limits], float]


SHARES = Limits(minimum=0.0, maximum=0.5)
"""Range of a tolerance [-]: more than half is a mistake, such as 1 for 1 %."""


@short_repr
@dataclass(frozen=True)
class Expectation:
    """
    A figure that the drawing gives.

    Parameters
    ----------
    figure : str
        One of FIGURES.
    value : float [house unit]
        What the drawing says.
    tolerance : float [-]
        The greatest deviation allowed, as a share of the value.
    """

    figure: str
    value: float
    tolerance: float


@short_repr
@dataclass(frozen=True)
class Expected:
    """
    A figure that the drawing gives, beside the computed one.

    Parameters
    ----------
    figure : str
        One of FIGURES.
    unit : str
        Unit of both values.
    drawing_value, computed : float [unit]
        What the drawing says, and what the part has.
    tolerance : float [-]
        The greatest deviation allowed, as a share of the drawing value.
    """

    figure: str
    unit: str
    drawing_value: float
    computed: float
    tolerance: float

    @property
    def deviation(self) -> float:
        """The computed value less the drawing value, as a share of the drawing value [-]."""
        return self.computed / self.drawing_value - 1.0

    @property
    def within_tolerance(self) -> bool:
        """True when the deviation is allowed; the last digit of a limit in per cent is not lost to rounding."""
        return abs(self.deviation) <= self.tolerance + NOUGHT


def _kind(name: str) -> Reader:
    def read(value: object, parameter: str, where: str, limits: Limits) -> float:
        return quantity(value, name, parameter, where, limits)

    return read


FIGURES: dict[str, tuple[str, Reader, Callable[[Properties, Blank], float]]] = {
    "mass": ("kg", mass, lambda figures, _: figures.mass),
    "volume": ("mm3", _kind("volume"), lambda figures, _: figures.volume),
    "surface": ("mm2", _kind("area"), lambda figures, _: figures.surface),
    "envelope_x": ("mm", length, lambda figures, _: figures.envelope[0]),
    "envelope_y": ("mm", length, lambda figures, _: figures.envelope[1]),
    "envelope_z": ("mm", length, lambda figures, _: figures.envelope[2]),
    "blank_length": ("mm", length, lambda _, blank: blank.length),
    "blank_width": ("mm", length, lambda _, blank: blank.width),
    "blank_area": ("mm2", _kind("area"), lambda _, blank: blank.area),
}
"""The figures that can be compared with a drawing: unit, reader, and the figure of the part."""


def expectation(text: str, tolerance: float) -> Expectation:
    """
    Read `mass=0.86 kg` as an expectation.

    Parameters
    ----------
    text : str
        One of FIGURES, an equals sign, and a positive value.
    tolerance : float [-]
        The greatest deviation allowed, as a share of the value.

    Returns
    -------
    Expectation

    Raises
    ------
    InputError
        There is no such figure, the value cannot be read, or the share is not from 0 to 1.
    """
    name, equals, value = (part.strip() for part in text.partition("="))
    if not equals or name not in FIGURES:
        raise InputError(
            "--expect",
            "figure",
            text,
            "is not FIGURE=VALUE with a figure that is known",
            f"one of {', '.join(FIGURES)}, as in mass=0.86kg",
        )
    share = fraction(tolerance, "tolerance", "--expect", SHARES)
    return Expectation(name, FIGURES[name][1](value, name, "--expect", POSITIVE), share)


def expectations_from(path: str | Path, tolerance: float) -> tuple[Expectation, ...]:
    """
    Read figures of a drawing from a TOML file, one `figure = value` a line.

    Parameters
    ----------
    path : path
        As `mass = "0.86 kg"` and `envelope_x = 240` say it; `tolerance = "0.2 %"` holds for all of them.
    tolerance : float [-]
        The greatest deviation allowed when the file does not state one, as a share of the value.

    Returns
    -------
    tuple of Expectation

    Raises
    ------
    InputError
        The file cannot be read, there is no such figure, or a value cannot be read.
    """
    where = Path(path).name
    try:
        table = toml.loads(Path(path).read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise InputError(
            "--expect", "file", str(path), f"cannot be read ({error.strerror})", "check its name"
        ) from error
    except ValueError as error:  # no TOML, or no UTF-8
        raise InputError("--expect", "file", str(path), f"is not TOML: {error}", "fix that place") from error
    share = fraction(table.pop("tolerance", tolerance), "tolerance", where, SHARES)
    for name in table:
        if name not in FIGURES:
            raise InputError(where, "figure", name, "is not known", f"one of {', '.join(FIGURES)}")
    return tuple(
        Expectation(name, FIGURES[name][1](value, name, where, POSITIVE), share)
        for name, value in table.items()
    )


def compared(expect: tuple[Expectation, ...], figures: Properties, blank: Blank) -> tuple[Expected, ...]:
    """The figures of the part beside those of the drawing."""
    return tuple(
        Expected(
            item.figure,
            FIGURES[item.figure][0],
            item.value,
            FIGURES[item.figure][2](figures, blank),
            item.tolerance,
        )
        for item in expect
    )
