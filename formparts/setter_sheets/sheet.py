"""The setter's sheet: one block for each step, with both pictures and every figure; the radii; the cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from formparts.drawings.curves import TABLE, Mark, PenLine, Straight, Words, shifted, text_width
from formparts.outline.edges import Bounds
from formparts.planning import CAUTIONS, BendPlan, FlatDie, FormedRadius, PlanStep, plan_words
from formparts.planning.words import radius_words, rows_words, stop_words
from formparts.setter_sheets.pictures import end_picture, front_picture
from formparts.setter_sheets.spread import spread_lines

PAGE = (210.0, 297.0)
"""A4 upright [mm]."""

MARGIN = 12.0
BLOCK = 62.0
HEAD = 24.0
PICTURE = 62.0
LETTERS = 2.2
LINE = 3.6
SMALL = 1.9


@dataclass(frozen=True)
class SetterSheet:
    """
    The pages that go to the press brake with a part.

    Parameters
    ----------
    name : str
        Name of the part.
    pages : tuple of tuple of Mark
        What is drawn on each page, in mm from its lower left corner.
    """

    name: str
    pages: tuple[tuple[Mark, ...], ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of a page [mm]."""
        return PAGE

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Everything on all pages."""
        return tuple(mark for page in self.pages for mark in page)


def setter_sheet(plan: BendPlan) -> SetterSheet:
    """
    Draw the setter's sheet of a plan.

    Parameters
    ----------
    plan : BendPlan
        What `plan_bends` gave.

    Returns
    -------
    SetterSheet
        A4 pages; the last ends with the radii and the cautions.
    """
    blocks = [(BLOCK, _block(plan, step)) for step in plan.steps]
    tail = [*_wrapped_lines(_radius_lines(plan)), *_wrapped_lines(list(spread_lines(plan)), "Spread: ")]
    tail += _wrapped_lines(CAUTIONS, "Caution: ")
    blocks += [(LINE * len(part), _lines(part)) for part in _parts(tail, 30)]
    pages: list[list[Mark]] = []
    room = 0.0
    for tall, marks in blocks:
        if room < tall:
            pages.append([])
            room = PAGE[1] - 2.0 * MARGIN - HEAD
        top = MARGIN + room
        pages[-1] += [shifted(mark, (MARGIN, top)) for mark in marks]
        room -= tall
    pages = pages or [[]]
    heads = (_head(plan, number, len(pages)) for number in range(1, len(pages) + 1))
    return SetterSheet(plan.part, tuple((*head, *page) for head, page in zip(heads, pages, strict=True)))


def _parts(lines: Sequence[str], most: int) -> list[list[str]]:
    return [list(lines[at : at + most]) for at in range(0, len(lines), most)]


def _lines(lines: Sequence[str]) -> list[Mark]:
    return [Words(line, (0.0, -LINE * (number + 0.7)), SMALL, "left") for number, line in enumerate(lines)]


def _head(plan: BendPlan, page: int, pages: int) -> list[Mark]:
    """Draw part, stock, machine, and the cost of the plan."""
    top, sheet = PAGE[1] - MARGIN, plan.body.sheet
    words = f"Setter's sheet: {plan.part}"
    marks: list[Mark] = [Words(words, (MARGIN, top - 5.0), 3.5, "left")]
    marks.append(Words(f"page {page} of {pages}", (PAGE[0] - MARGIN, top - 5.0), LETTERS, "right"))
    size = f"{plan.blank.length:.2f} x {plan.blank.width:.2f} mm"
    stock = f"{sheet.material.name}, {sheet.thickness:g} mm; blank {size}"
    lines = (stock, f"{plan.tools.machine.name} (tools: {plan.tools.name})", plan_words(plan))
    marks += [Words(line, (MARGIN, top - 10.0 - LINE * n), LETTERS, "left") for n, line in enumerate(lines)]
    marks.append(PenLine(Straight((MARGIN, top - HEAD + 3.0), (PAGE[0] - MARGIN, top - HEAD + 3.0)), TABLE))
    return marks


def _block(plan: BendPlan, step: PlanStep) -> list[Mark]:
    """Draw one step: both pictures, and the instructions beside them; upper left corner at the origin."""
    tall = BLOCK - 4.0
    end: Bounds = (0.0, -tall, PICTURE, 0.0)
    front: Bounds = (PICTURE + 2.0, -tall, 2.0 * PICTURE + 2.0, 0.0)
    left = 2.0 * PICTURE + 5.0
    wide = PAGE[0] - 2.0 * MARGIN - left
    marks: list[Mark] = [Words(f"Step {step.number}", (left, -4.0), 3.0, "left")]
    lines = [line for text in step_lines(plan, step) for line in wrapped(text, wide, SMALL)]
    height = min(3.3, (tall - 7.0) / max(1, len(lines)))
    marks += [Words(line, (left, -8.0 - height * n), SMALL, "left") for n, line in enumerate(lines)]
    return [*end_picture(plan, step, end), *front_picture(plan, step, front), *marks]


def step_lines(plan: BendPlan, step: PlanStep) -> Iterator[str]:
    """Return the text of a step, line by line."""
    radii = {radius.bend: radius for radius in plan.radii}
    radius = radii[step.bends[0]]
    yield f"{_named(step.bends)}"
    yield f"{step.turn[0].upper()}{step.turn[1:]}."
    yield stop_words(step)
    if step.kind != "roll":
        yield f"{_die_word(step)}{step.die.name}: {rows_words(step.dies)}"
        yield f"Punch {step.punch.name}: {rows_words(step.punches)}"
    yield _angle_words(step, plan.body.bends[plan.model.number[step.bends[0]]].angle)
    yield _force_words(plan, step)
    yield _radius_words(step, radius)
    yield from (f"{note[0].upper()}{note[1:]}." for note in step.notes)


def _force_words(plan: BendPlan, step: PlanStep) -> str:
    """The force, and where it may be more: a standard without a greatest tensile strength leaves it open."""
    if step.force is None:
        return "Force: not known"
    is_least = plan.body.sheet.material.tensile_strength_max is None
    more = " or more: the standard sets no greatest tensile strength" if is_least else ""
    return f"Force {step.force:.0f} kN{more}"


def _die_word(step: PlanStep) -> str:
    return "Die " if isinstance(step.die, FlatDie) else ""


def _angle_words(step: PlanStep, angle: float) -> str:
    """Return the angle of the step: a bend's own, the acute angle of one that is closed later."""
    load = step.angle_under_load
    if step.kind == "bend":
        return f"Bend angle {angle:g} deg; {load:.1f} deg under load (included {180.0 - load:.1f})"
    if step.kind == "acute":
        return f"Bend to {load:.1f} deg under load (included {180.0 - load:.1f}), of {angle:.4g}"
    how = {"curl": "Curl to", "roll": "Roll to", "closed": "Press flat to"}.get(step.kind, "Close to")
    return f"{how} {angle:.4g} deg"


def _radius_words(step: PlanStep, radius: FormedRadius) -> str:
    if step.kind == "closed":
        return "Pressed shut, without a gap"
    drawn = "pressed shut later" if radius.ending == "closed" else f"drawing {radius.drawing_radius:g}"
    return f"Inside radius {step.formed_radius:.2f} mm ({drawn})"


def _named(names: Sequence[str]) -> str:
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")


def _radius_lines(plan: BendPlan) -> list[str]:
    """Alike radii in one line, with what each does to the flanges."""
    alike: dict[str, list[str]] = {}
    for radius in plan.radii:
        alike.setdefault(radius_words(radius), []).append(radius.bend)
    return [f"{_named(names)}: {words}" for words, names in alike.items()]


def _wrapped_lines(texts: Sequence[str], head: str = "") -> list[str]:
    wide = PAGE[0] - 2.0 * MARGIN
    return [line for text in texts for line in wrapped(f"{head}{text}", wide, SMALL)]


def wrapped(text: str, wide: float, height: float) -> list[str]:
    """Return text in lines no wider than a width."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, height) > wide:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
