"""Whether a step can be made with a tool: the stretches of the line over which part and tools are clear."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from formparts.body.frame import Frame, bend_frame
from formparts.planning.cells import Cell
from formparts.planning.closing import Closing, closing_swings
from formparts.planning.collide import Profile, prisms, profile_of, stretches
from formparts.planning.stand import Interval, PartModel, Stand, Swing, bend_cells, pose, swing
from formparts.planning.tools import Die, FlatDie, Machine, Punch
from formparts.short_repr import short_repr

if TYPE_CHECKING:
    from formparts.planning.collide import Floats

SWING_STEP = 30.0
"""Largest step of the bend angle at which the moving part is tested [deg]."""

FAR = 2000.0
"""Height and depth assumed for ram and table [mm]."""


@dataclass(frozen=True)
class Blocked:
    """
    A stretch of the bend line over which a tool would run into the part.

    Parameters
    ----------
    low, high : float [mm]
        Position along the line.
    piece : str
        The flat or bend of the part.
    tool : str
        `foot` of the punch, `punch`, `ram`, `die` or `table`.
    angle : float [deg]
        Bend angle at which it was found.
    """

    low: float
    high: float
    piece: str
    tool: str
    angle: float


@short_repr
@dataclass(frozen=True)
class Bending:
    """
    How the bends of a step are formed: their angle under load, and the die.

    Parameters
    ----------
    angle : float [deg]
        Bend angle at the bottom, under load.
    radius : float [mm]
        Inside radius at the bottom.
    allowance : float [mm]
        Developed length.
    die : Die or FlatDie
        The die.
    closing : Closing, optional
        The position of a hem or curl that the step closes; None for air bends.
    """

    angle: float
    radius: float
    allowance: float
    die: Die | FlatDie
    closing: Closing | None = None


def on_the_way(bending: Bending) -> tuple[float, ...]:
    """Return angles at which the part is tested: level, in between, at the bottom."""
    count = max(1, -int(-bending.angle // SWING_STEP))
    return tuple(bending.angle * place / count for place in range(count + 1))


def swings(bending: Bending, thickness: float, tip_radius: float) -> tuple[Swing, ...]:
    """Return the moving part, from level to the bottom."""
    if bending.closing is not None:
        return closing_swings(bending.closing, bending.angle, bending.radius, thickness, bending.allowance)
    return tuple(
        swing(angle, bending.radius, thickness, bending.allowance, bending.angle, bending.die, tip_radius)
        for angle in on_the_way(bending)
    )


@dataclass(frozen=True)
class MovedPart:
    """A flat or bend with all that moves it relative to the bend line."""

    name: str
    flat: str
    mask: int


def pieces(model: PartModel, at: Stand) -> tuple[MovedPart, ...]:
    """Return all flats and bends except those being bent."""
    key = ("pieces", at.members)
    if key not in model.memo:
        masks = at.masks
        found = [MovedPart(flat.name, flat.name, masks[flat.name]) for flat in model.body.flats]
        found += [
            MovedPart(bend.name, bend.parent, masks[bend.parent] | model.bits(number))
            for number, bend in enumerate(model.body.bends)
            if number not in at.bends
        ]
        model.memo[key] = tuple(found)
    known: tuple[MovedPart, ...] = model.memo[key]
    return known


def solid_cells(model: PartModel, at: Stand, piece: MovedPart, made: int) -> Floats:
    """Return corners of the cells of a flat or bend, in its position in `pose`."""
    key = ("cells", at.members, piece.name, made & piece.mask)
    if key not in model.memo:
        frame = pose(model, at, piece.flat, made)
        if piece.name == piece.flat:
            local = _flat_cells(model, piece.name)
        else:
            number = model.number[piece.name]
            local, line = _bend_cells(model, number, model.shape(number, made))
            frame = line.inside(frame)
        model.memo[key] = placed(local, frame)
    known: Floats = model.memo[key]
    return known


def _flat_cells(model: PartModel, name: str) -> Floats:
    key = ("flat", name)
    if key not in model.memo:
        half = model.body.sheet.thickness / 2.0
        model.memo[key] = prisms(model.cells[name], -half, half)
    found: Floats = model.memo[key]
    return found


def _bend_cells(model: PartModel, number: int, shape: tuple[float, float] | None) -> tuple[Floats, Frame]:
    key = ("bend", number, shape)
    if key not in model.memo:
        bend = model.body.bends[number]
        line = Frame().moved_in_plane(bend_frame(*bend.parent_line))
        model.memo[key] = prisms(bend_cells(model, bend, shape), 0.0, bend.width, along_x=True), line
    found: tuple[Floats, Frame] = model.memo[key]
    return found


def placed(points: Floats, frame: Frame) -> Floats:
    """Return points of a frame, in space."""
    import numpy as np

    axes = np.array((frame.x, frame.y, frame.z))
    found: Floats = points @ axes + np.array(frame.origin)
    return found


@dataclass(frozen=True)
class Tool:
    """
    A tool tested against the part: profiles by name, each at the height of punch or die.

    Parameters
    ----------
    name : str
        A unique name.
    tip_radius : float [mm]
        Of a punch; 0 of a die.
    rides : bool
        True when it rides on the punch's tip, false when it is at rest.
    groups : tuple of (str, cells)
        `foot` and `punch`, or `die`: cut to length; `ram`, `table`: as long as the machine.
    """

    name: str
    tip_radius: float
    rides: bool
    groups: tuple[tuple[str, tuple[Cell, ...]], ...]


def upper(punch: Punch, machine: Machine) -> Tool:
    """Return punch and ram; the foot of a punch with horns reaches farther than its body."""
    foot = punch.height if punch.horn is None else punch.horn[1]
    half, top = machine.ram_width / 2.0, punch.height
    low, high = _split(punch.cells, foot)
    ram: Cell = ((-half, top), (half, top), (half, top + FAR), (-half, top + FAR))
    groups = (("foot", low), ("punch", high), ("ram", (ram,)))
    return Tool(punch.name, punch.tip_radius, True, tuple((name, cells) for name, cells in groups if cells))


def lower(die: Die | FlatDie, machine: Machine) -> Tool:
    """Return die and table."""
    half, top = machine.table_width / 2.0, -die.height
    table: Cell = ((-half, top - FAR), (half, top - FAR), (half, top), (-half, top))
    return Tool(die.name, 0.0, False, (("die", die.cells), ("table", (table,))))


def _split(cells: Sequence[Cell], height: float) -> tuple[tuple[Cell, ...], tuple[Cell, ...]]:
    """Return cells below and above a height."""
    low: list[Cell] = []
    high: list[Cell] = []
    for a, b, c, d in cells:
        if d[1] <= height:
            low.append((a, b, c, d))
        elif a[1] >= height:
            high.append((a, b, c, d))
        else:
            share = (height - a[1]) / (d[1] - a[1])
            left, right = (a[0] + share * (d[0] - a[0]), height), (b[0] + share * (c[0] - b[0]), height)
            low.append((a, b, right, left))
            high.append((left, right, c, d))
    return tuple(low), tuple(high)


def blocked(
    model: PartModel, at: Stand, made: int, bending: Bending, tool: Tool, tip_radius: float | None = None
) -> tuple[Blocked, ...]:
    """Return every stretch over which a tool would run into the part, at any angle of its motion."""
    found: list[Blocked] = []
    todo: list[tuple[MovedPart, Any]] = []
    head = ("blocked", at.members, bending, tool.name, tip_radius)
    for piece in pieces(model, at):
        key = (*head, piece.name, made & piece.mask)
        known = model.memo.get(key)
        if known is None:
            todo.append((piece, key))
        else:
            found += known
    if todo:
        fresh = _looked_at(model, at, made, bending, tool, [piece for piece, _ in todo])
        for (_, key), hits in zip(todo, fresh, strict=True):
            model.memo[key] = hits
            found += hits
    return tuple(found)


def _looked_at(
    model: PartModel, at: Stand, made: int, bending: Bending, tool: Tool, todo: list[MovedPart]
) -> list[list[Blocked]]:
    """Return the stretches of some flats and bends, computed together."""
    import numpy as np

    cells = [solid_cells(model, at, piece, made) for piece in todo]
    owner = np.repeat(np.arange(len(todo)), [len(each) for each in cells])
    sides = at.sides
    side = np.array([sides[piece.flat] for piece in todo])[owner]
    # A bend across the line has its parent's position, so its side is the parent's.
    whole = np.concatenate(cells)
    hits: list[list[Blocked]] = [[] for _ in todo]
    for stage in swings(bending, model.body.sheet.thickness, tool.tip_radius):
        stood = np.empty_like(whole)
        for number, frame in stage.wings.items():
            stood[side == number] = placed(whole[side == number], frame)
        for name, profile in _profiles(model, tool, stage):
            for low, high, cell in zip(*stretches(stood, profile), strict=True):
                piece = int(owner[cell])
                hits[piece].append(Blocked(float(low), float(high), todo[piece].name, name, stage.angle))
    return hits


def _profiles(model: PartModel, tool: Tool, stage: Swing) -> Iterator[tuple[str, Profile]]:
    up = stage.tip if tool.rides else 0.0
    for name, cells in tool.groups:
        key = ("profile", tool.name, name, up)
        if key not in model.memo:
            model.memo[key] = profile_of(cells, up)
        yield name, model.memo[key]


def free(low: float, high: float, taken: Sequence[Interval]) -> list[Interval]:
    """Return what is left of a stretch."""
    left = []
    at = low
    for start, end in sorted(taken):
        if end <= at:
            continue
        if start > at:
            left.append((at, min(start, high)))
        at = max(at, end)
        if at >= high:
            break
    if at < high:
        left.append((at, high))
    return left
