"""The bend schedule as CSV, for the sheet that goes with the blank, and as plain data for JSON."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from formparts.errors import FileProofError
from formparts.export.csv_text import cell_text, comment_text
from formparts.export.files import delivered
from formparts.forming.hems import CURL_FORCE, HEM_FORCE
from formparts.planning import CAUTIONS, PlanStep, plan_words
from formparts.planning.words import rows_words, stop_edge
from formparts.schedules import Schedule, ScheduledBend

DATUM = "bend lines from the left and the front edge of the blank, as its drawing shows it; up is towards the viewer"


def schedule_data(schedule: Schedule) -> dict[str, Any]:
    """
    The bend schedule as plain data, names with their units.

    Parameters
    ----------
    schedule : Schedule
        The schedule.

    Returns
    -------
    dict
        What is not known is None.
    """
    plan = schedule.plan
    return {
        "datum": DATUM,
        "force_rule": schedule.force_rule,
        "strength_mpa": schedule.strength,
        "bends": [_bend(row) for row in schedule.bends],
        "order_found": plan.found,
        "numbering": schedule.numbering,
        "plan": plan_words(plan),
        "machine": plan.tools.machine.name,
        "order": [list(step) for step in plan.ordered],
        "cautions": list(CAUTIONS),
    }


def _bend(row: ScheduledBend) -> dict[str, Any]:
    """One bend, with its number as on every paper; `step` is None without a plan."""
    return {
        "number": row.number,
        "name": row.mark.name,
        "step": None if row.step is None else row.step.number,
        "start_mm": list(row.start),
        "end_mm": list(row.end),
        "angle_deg": row.mark.angle,
        "side": row.mark.side,
        "inside_radius_mm": row.mark.inside_radius,
        "bend_line_length_mm": row.mark.length,
        "allowance_mm": row.mark.allowance,
        "sight_line_mm": row.sight_line,
        "flange_mm": row.flange,
        "minimum_flange_mm": row.minimum_flange,
        "die_opening_mm": row.die_opening,
        "natural_radius_mm": row.natural_radius,
        **_of_step(row.step),
        "force_n_per_mm": row.force_per_length,
        "force_kn": row.force,
        "angle_under_load_deg": row.under_load.angle,
        "overbend_deg": row.under_load.overbend,
        "radius_under_load_mm": row.under_load.inside_radius,
        "strain": row.strain,
        "notes": list(row.notes),
    }


def _of_step(step: PlanStep | None) -> dict[str, Any]:
    """Return what the operator does, the tools by sections, and the stop; None without a plan or a stop."""
    stops = step is not None and step.stop.kind != "none"
    return {
        "turn": step and step.turn,
        "die": step and step.die.name,
        "die_sections": step and rows_words(step.dies),
        "punch": step and step.punch.name,
        "punch_sections": step and rows_words(step.punches),
        "stop_edge": stop_edge(step) if step and stops else None,
        "stop_mm": step.stop.distance if step and stops else None,
    }


def write_schedule(schedule: Schedule, path: str | os.PathLike[str]) -> Path:
    """
    Write the bend schedule as CSV: comments with what holds for all, then one line for each bend.

    Parameters
    ----------
    schedule : Schedule
        The schedule.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        It cannot be written there.
    FileProofError
        The figures did not read back; nothing was delivered.
    """
    rows = [_cells(_bend(row)) for row in schedule.bends]
    text = io.StringIO()
    for line in _heading(schedule):
        text.write(f"# {comment_text(line)}\n")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_column(name) for name in _NAMES)
    writer.writerows(row.values() for row in rows)
    return delivered(path, text.getvalue(), lambda draft: _same_rows(draft, rows))[0]


def _heading(schedule: Schedule) -> Iterator[str]:
    """Return the comments that hold for all bends."""
    yield f"bend schedule of {schedule.part}: {schedule.material}, {schedule.thickness:g} mm"
    yield f"plan: {plan_words(schedule.plan)}"
    yield f"machine: {schedule.plan.tools.machine.name}"
    yield f"{schedule.numbering}; as on blank, drawing and setter's sheet"
    yield DATUM
    strength = "not known" if schedule.strength is None else f"{schedule.strength:g} MPa"
    yield f"force by {schedule.force_rule}; strength {strength}; of all bends of a step together"
    if any(row.radius.ending for row in schedule.bends):
        yield f"force of hems by {HEM_FORCE}, of curls by {CURL_FORCE}; in the notes where it is another step's"
    yield "stop: from the bend line to the edge or face that rests against the stops"
    yield "sight_line: for a folding brake, from the bend line to the line that lies under the edge of the nose"
    yield "flange: the shorter of the two flats at the bend, to the outer mould line"
    yield from CAUTIONS


_NAMES = (
    "number", "name", "turn", "die_opening_mm", "die", "die_sections", "punch", "punch_sections", "stop_edge",
    "stop_mm", "force_kn", "angle_deg", "angle_under_load_deg", "side", "inside_radius_mm", "natural_radius_mm",
    "bend_line_length_mm", "start_x_mm", "start_y_mm", "end_x_mm", "end_y_mm", "allowance_mm", "sight_line_mm",
    "flange_mm", "minimum_flange_mm", "force_n_per_mm", "overbend_deg", "radius_under_load_mm", "strain", "notes",
)  # fmt: skip
_UNITS = {"_n_per_mm": "N/mm", "_mm": "mm", "_deg": "deg", "_kn": "kN"}
_DIGITS = {"force_kn": 3, "force_n_per_mm": 2, "angle_deg": 6}


def _column(name: str) -> str:
    """`force_kn` as `force [kN]`."""
    for ending, unit in _UNITS.items():
        if name.endswith(ending):
            return f"{name.removesuffix(ending)} [{unit}]"
    return name


def _cells(bend: Mapping[str, Any]) -> dict[str, str]:
    """One line of the file: plain figures, empty where one is not known."""
    (start_x, start_y), (end_x, end_y) = bend["start_mm"], bend["end_mm"]
    ends = {"start_x_mm": start_x, "start_y_mm": start_y, "end_x_mm": end_x, "end_y_mm": end_y}
    values = {**bend, **ends, "notes": "; ".join(bend["notes"])}
    return {name: _cell(name, values[name]) for name in _NAMES}


def _cell(name: str, value: object) -> str:
    """Return a figure to the fourth decimal: a tenth of what any press brake can position."""
    if value is None:
        return ""
    if not isinstance(value, float):
        return cell_text(str(value))
    # Adding 0 takes the sign off a zero.
    return f"{round(value, _DIGITS.get(name, 4)) + 0.0:.{_DIGITS.get(name, 4)}f}".rstrip("0").rstrip(".")


def _same_rows(draft: Path, rows: list[dict[str, str]]) -> None:
    """Read back what was written, and compare."""
    with draft.open(encoding="utf-8", newline="") as file:
        lines = csv.DictReader(line for line in file if not line.startswith("#"))
        back = [list(line.values()) for line in lines]
    if back != [list(row.values()) for row in rows]:
        raise FileProofError(str(draft), "the bends read back differ from those that were written")
