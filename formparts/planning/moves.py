"""The ways to make one step: orientation, punch, tool lengths and stop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from formparts.planning.closing import ROLLS
from formparts.planning.feasible import Bending, blocked, lower, upper
from formparts.planning.groups import Symmetry, back_of
from formparts.planning.lengths import ToolLength, allowed_uncovered, tool_lengths
from formparts.planning.meets import meets_itself
from formparts.planning.stand import PartModel, spans, stand
from formparts.planning.stops import Stop, fold_stop, no_stop, stop_for
from formparts.planning.tools import Die, Machine, Punch


@dataclass(frozen=True)
class Setting:
    """A part and the tools that it is bent with.

    Parameters
    ----------
    model : PartModel
        The part.
    machine : Machine
        The press brake.
    bendings : tuple of Bending
        How each bend is formed.
    punches : tuple of tuple of Punch
        The punches suitable for each bend, in both orientations.
    reaches : tuple of (float, float) [mm]
        Extent of the blank to both sides of each line.
    stops : bool
        False when only the tools are checked.
    """

    model: PartModel
    machine: Machine
    bendings: tuple[Bending, ...]
    punches: tuple[tuple[Punch, ...], ...]
    reaches: tuple[tuple[float, float], ...]
    stops: bool = True


@dataclass(frozen=True)
class Task:
    """
    The input of the search.

    Parameters
    ----------
    setting : Setting
        The part, the tools, and how each bend is formed.
    groups : tuple of tuple of int
        Bends on one line of the blank.
    symmetries : tuple of Symmetry
        Symmetries of the blank.
    least : tuple of int
        The least penalty of the stop of each group.
    """

    setting: Setting
    groups: tuple[tuple[int, ...], ...]
    symmetries: tuple[Symmetry, ...]
    least: tuple[int, ...]

    @property
    def model(self) -> PartModel:
        """The part."""
        return self.setting.model


@dataclass(frozen=True)
class Move:
    """
    One step of a search: bends, orientation, tools.

    Parameters
    ----------
    members : tuple of int
        The bends, by number.
    made : int
        The bends that were made before, as bits.
    up : bool
        True when the upper side of the blank is up.
    back : int
        Direction on the blank to the back [thousandths of a degree].
    punch : Punch
        As it is mounted, seen with the back of the machine at +y.
    punches, dies : tuple of ToolLength
        Sections of punch and die, along the line from the start of the first bend.
    stop : Stop
        The edge or face against the stops.
    """

    members: tuple[int, ...]
    made: int
    up: bool
    back: int
    punch: Punch
    punches: tuple[ToolLength, ...]
    dies: tuple[ToolLength, ...]
    stop: Stop


def moves(setting: Setting, members: tuple[int, ...], made: int) -> tuple[Move, ...]:
    """Return all ways to make a step: both orientations, with every punch that is clear of the part."""
    model = setting.model
    key = ("moves", setting.stops, setting.punches[members[0]], members, made)
    if key not in model.memo:
        model.memo[key] = tuple(_moves(setting, members, made))
    found: tuple[Move, ...] = model.memo[key]
    return found


def _moves(setting: Setting, members: tuple[int, ...], made: int) -> Iterator[Move]:
    model, machine, first = setting.model, setting.machine, members[0]
    at, bending, mark = stand(model, members), setting.bendings[first], model.mark(first)
    wanted, uncovered = spans(model, at, made), allowed_uncovered(model.body.sheet.thickness)
    die, closing = bending.die, bending.closing
    if closing is not None and closing.kind == "roll":
        if not meets_itself(model, at, made):
            yield Move(members, made, mark.side == "up", back_of(mark, 1), ROLLS, (), (), no_stop(1))
        return
    below = blocked(model, at, made, bending, lower(die, machine))
    dies = tool_lengths(wanted, below, die.sections, uncovered)
    if dies is None or meets_itself(model, at, made):
        return
    for mounted in setting.punches[first]:
        for side in (1, -1) if closing is None else (-closing.side,):
            # Seen from the line, a punch in a machine whose back is the other side is the other way round.
            here = mounted if side > 0 else mounted.turned()
            horn = mounted.horn[0] if mounted.horn else 0.0
            hits = blocked(model, at, made, bending, upper(here, machine))
            punches = tool_lengths(wanted, hits, mounted.sections, uncovered, horn)
            if punches is not None:
                stop = no_stop(side)
                if closing is not None:
                    stop = fold_stop(
                        at, wanted, side, closing.distance, bending.radius + model.body.sheet.thickness
                    )
                elif setting.stops and isinstance(die, Die):
                    stop = stop_for(model, at, made, side, machine, die.opening, first)
                back = back_of(mark, side)
                yield Move(members, made, mark.side == "up", back, mounted, punches, dies, stop)
