"""The elements of a hand calculation: steps, tables of corners, and sections of both. Data only."""

from __future__ import annotations

from dataclasses import dataclass

DECIMALS = 5
"""Decimals of the figures that go into a formula: enough for a result of six digits."""


@dataclass(frozen=True)
class Step:
    """
    One formula, worked out.

    Parameters
    ----------
    what : str
        What comes out.
    symbols : str
        The formula in symbols; an underscore begins an index.
    numbers : str
        The same with numbers in house units, as they are keyed into a pocket calculator.
    result : float [unit]
        What comes out, worked out with all digits.
    unit : str
        Unit of the result.
    source : str
        Where the formula is from.
    """

    what: str
    symbols: str
    numbers: str
    result: float
    unit: str
    source: str = ""


@dataclass(frozen=True)
class Table:
    """
    Figures that a step adds up.

    Parameters
    ----------
    heading : tuple of str
        One for each column, with its unit.
    rows : tuple of tuple of str
        The last column is the one that is added up.
    """

    heading: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class CalculationSection:
    """
    One part of the calculation.

    Parameters
    ----------
    title : str
        What it works out.
    lines : tuple of Step or Table
        In the order in which they are followed.
    remark : str
        What must be known to follow them.
    """

    title: str
    lines: tuple[Step | Table, ...]
    remark: str = ""


def digits(value: float) -> str:
    """Return a figure that goes into a formula, without trailing zeros, with a true minus sign."""
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    if text in ("-0", "0") and value != 0.0:
        text = f"{value:.3g}"
    return "0" if text in ("-0", "0") else text.replace("-", "−")


def outcome(step: Step) -> str:
    """Return the result as text: seven digits, and its unit."""
    text = f"{step.result:.7g}".replace("-", "−")
    return f"{text} {step.unit}".replace(" °", "°").strip()


def summed(terms: list[str]) -> str:
    """Return terms with plus or minus between them."""
    return " + ".join(terms).replace("+ −", "− ")
