"""Faults that no test can notice, or need not: kept in a list with a reason each, and counted apart."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.mutants import Mutant
from tests.mutation.serving import Outcome

LIST = Path(__file__).parent / "survivors.csv"
Key = tuple[str, str, str]
"""
File, line as it is written, change; no line numbers, which every edit would shift.

The change has no brackets: which of them Python writes is not the same in all its versions.
"""


def key_of(mutant: Mutant) -> Key:
    """How a fault is found in the list."""
    return (mutant.file, mutant.row, _bare(mutant.change))


def accepted(path: Path = LIST) -> dict[Key, str]:
    """The list: for each fault the reason why it stays."""
    with path.open(encoding="utf-8", newline="") as rows:
        return {
            (row["file"], row["row"], _bare(row["change"])): row["reason"] for row in csv.DictReader(rows)
        }


def _bare(change: str) -> str:
    return change.replace("(", "").replace(")", "")


@dataclass(frozen=True)
class Tally:
    """The count of one room."""

    room: str
    outcomes: tuple[Outcome, ...]
    reasons: dict[Key, str]

    @property
    def survived(self) -> list[Outcome]:
        """Those that no test noticed."""
        return [outcome for outcome in self.outcomes if not outcome.noticed]

    @property
    def excused(self) -> list[Outcome]:
        """Survivors that are in the list."""
        return [outcome for outcome in self.survived if key_of(outcome.mutant) in self.reasons]

    @property
    def rate(self) -> float:
        """Share of all faults that was noticed [%]."""
        return _share(len(self.outcomes) - len(self.survived), len(self.outcomes))

    @property
    def rate_without_excused(self) -> float:
        """The same, of the faults that are not survivors of the list [%]."""
        counted = len(self.outcomes) - len(self.excused)
        return _share(len(self.outcomes) - len(self.survived), counted)


def _share(part: int, whole: int) -> float:
    return 100.0 * part / whole if whole else 0.0


def tallied(outcomes: Sequence[Outcome], reasons: dict[Key, str]) -> list[Tally]:
    """One count for each room."""
    rooms: dict[str, list[Outcome]] = {}
    for outcome in outcomes:
        rooms.setdefault(room_of(outcome.mutant.file), []).append(outcome)
    return [Tally(room, tuple(found), reasons) for room, found in sorted(rooms.items())]


def room_of(file: str) -> str:
    """The room that a file belongs to."""
    return file.split("/")[1].removesuffix(".py")
