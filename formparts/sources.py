"""The one bibliography: what a citation such as `EN 10111, table 2` stands for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from formparts import toml

COMMON_PRACTICE = "common practice, no source"
"""The source of a figure that is usual in the trade, without a publication."""

OWN = (
    "exact mathematics",
    "exact geometry",
    "the drawing",
    "by hand",
    "your own",
    "the user's own",
    "K-factor as stated for the part",
)
"""Beginnings of citations without a publication: mathematics, the drawing, and the user's input."""

_FILE = Path(__file__).parent / "data" / "sources.toml"


@dataclass(frozen=True, slots=True)
class Source:
    """
    One publication of the bibliography.

    Parameters
    ----------
    key : str
        What a citation of it begins with.
    author : str
        Who wrote or issued it.
    title : str
        What it is called.
    edition : str
        Which edition the figures are from.
    year : int [-], optional
        When it was issued; none when it bears no date.
    """

    key: str
    author: str
    title: str
    edition: str
    year: int | None = None

    @property
    def reference(self) -> str:
        """The publication on one line, as a list of references has it."""
        dated = f", {self.year}" if self.year and str(self.year) not in self.edition else ""
        return f"{self.author}: {self.title} ({self.edition}{dated})"


@cache
def bibliography() -> tuple[Source, ...]:
    """
    Give every publication that a figure or a rule is from, by its key.

    Returns
    -------
    tuple of Source
    """
    rows = toml.loads(_FILE.read_text(encoding="utf-8"))["source"]
    return tuple(Source(**row) for row in rows)


def is_common_practice(citation: str) -> bool:
    """
    Tell whether a citation says that there is no publication.

    Parameters
    ----------
    citation : str
        As a figure or a rule has it.

    Returns
    -------
    bool
    """
    return COMMON_PRACTICE in citation


def source_of(citation: str) -> Source | None:
    """
    Find the publication that a citation names.

    Parameters
    ----------
    citation : str
        As a figure or a rule has it: the key, then clause, page or table.

    Returns
    -------
    Source or None
        None for common practice, for mathematics, for what the user gave, and for what is not in the bibliography.

    Examples
    --------
    >>> source_of("EN 485-2, table of EN AW-5754").edition
    'EN 485-2:2007'
    """
    fitting = [source for source in bibliography() if _begins(citation, source.key)]
    return max(fitting, key=lambda source: len(source.key), default=None)


def is_known(citation: str) -> bool:
    """
    Tell whether a citation can be followed: each of its parts, which a semicolon divides.

    Parameters
    ----------
    citation : str
        As a figure or a rule has it.

    Returns
    -------
    bool
    """
    return all(
        is_common_practice(part) or part.startswith(OWN) or source_of(part) is not None
        for part in map(str.strip, citation.split(";"))
    )


def _begins(citation: str, key: str) -> bool:
    rest = citation.removeprefix(key)
    return rest != citation and (not rest or rest[0] in ",:; (")
