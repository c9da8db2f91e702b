"""The table in which independent methods to the same figure are compared."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from formparts.arguments import takes
from formparts.body import Body, sunk_volume
from formparts.closed_forms import Properties
from formparts.kernel import KernelMeasures
from formparts.layout import Blank
from formparts.outline.edges import Arc
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH, VOLUME_REL


class ReadBack(Protocol):
    """The figures measured on a STEP file."""

    @property
    def volume(self) -> float: ...
    @property
    def area(self) -> float: ...
    @property
    def centroid(self) -> tuple[float, float, float]: ...


@dataclass(frozen=True)
class MeshVolume:
    """The volume in a mesh.

    Parameters
    ----------
    name : str
        Whose mesh it is.
    volume : float [mm3]
        Inside it.
    chord : float [mm]
        How far it may be from the true surface.
    """

    name: str
    volume: float
    chord: float


@short_repr
@dataclass(frozen=True)
class AuditRow:
    """One figure, by all its methods.

    Parameters
    ----------
    figure : str
        Name with its unit.
    methods : mapping of str to float [unit]
        The figure by each method.
    allowed : float [unit]
        By how much the methods may differ, in the unit of the figure.
    """

    figure: str
    methods: Mapping[str, float]
    allowed: float

    @property
    def spread(self) -> float:
        """Greatest less smallest, in the unit of the figure; no number when one of them is none."""
        values = self.methods.values()
        # Comparisons with what is not a number are false, so that greatest and smallest may pass it over.
        return max(values) - min(values) if all(map(math.isfinite, values)) else math.nan

    @property
    def agrees(self) -> bool:
        """True when the methods differ by no more than is allowed (a figure that is not a number never agrees)."""
        return self.spread <= self.allowed


def volume_by_blank(body: Body, blank: Blank) -> float:
    """Return the volume of the part, computed from the area of its blank.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank
        Its blank.

    Returns
    -------
    float [mm3]

    Source
    ------
    Exact mathematics: V = t x (area of the blank) - sum over bends of t w (allowance - angle (R + t/2)), less what
    is sunk beside its holes.
    """
    thickness = body.sheet.thickness
    lost = math.fsum(
        mark.strip_area
        * (1.0 - math.radians(mark.angle) * (mark.inside_radius + thickness / 2.0) / mark.allowance)
        for mark in blank.bends
    )
    return thickness * (blank.area - lost) - sunk_volume(body)


def chord_bound(body: Body, chord: float) -> float:
    """Return the largest error of a mesh's volume: area of all curved faces times the chord's distance [mm3]."""
    thickness = body.sheet.thickness
    curved = sum(
        edge.length * thickness for flat in body.flats for edge in flat.net.edges if isinstance(edge, Arc)
    )
    curved += sum(2.0 * math.pi * sink.head * sink.depth for flat in body.flats for sink in flat.sinks)
    for bend in body.bends:
        curved += math.radians(bend.angle) * (2.0 * bend.inside_radius + thickness) * bend.width
    return curved * chord


@takes(body="Body", figures="Properties", blank="Blank", unfolded="Blank", meshes="Sequence")
def audit(
    body: Body,
    figures: Properties,
    blank: Blank,
    solid: KernelMeasures,
    step: ReadBack,
    unfolded: Blank,
    meshes: Sequence[MeshVolume],
) -> tuple[AuditRow, ...]:
    """
    Compare all methods to the volume, the surface, the centroid and the size of the blank.

    Parameters
    ----------
    body : Body
        The part.
    figures : Properties
        Its figures in closed form.
    blank : Blank
        Its blank.
    solid : KernelMeasures
        What the kernel measures on the solid.
    step : ReadBack
        What it measures on the STEP file read back.
    unfolded : Blank
        The blank that the unfolder makes of the solid.
    meshes : sequence of MeshVolume
        What each mesh of it encloses.

    Returns
    -------
    tuple of AuditRow
    """
    return (
        *_volumes(body, figures, blank, solid, step),
        *_meshes(body, figures, meshes),
        *_others(figures, solid, step),
        *_blanks(blank, unfolded),
    )


def _volumes(
    body: Body, figures: Properties, blank: Blank, solid: KernelMeasures, step: ReadBack
) -> Iterator[AuditRow]:
    exact = {
        "closed form": figures.volume,
        "solid": solid.volume,
        "STEP file read back": step.volume,
        "blank area": volume_by_blank(body, blank),
    }
    yield AuditRow("volume_mm3", exact, VOLUME_REL * figures.volume)


def _meshes(body: Body, figures: Properties, meshes: Sequence[MeshVolume]) -> Iterator[AuditRow]:
    for mesh in meshes:
        allowed = chord_bound(body, mesh.chord) + VOLUME_REL * figures.volume
        methods = {"closed form": figures.volume, f"{mesh.name}, chord {mesh.chord:g} mm": mesh.volume}
        yield AuditRow(f"volume_by_{mesh.name.replace(' ', '_')}_mm3", methods, allowed)


def _others(figures: Properties, solid: KernelMeasures, step: ReadBack) -> Iterator[AuditRow]:
    surfaces = {"closed form": figures.surface, "solid": solid.surface, "STEP file read back": step.area}
    yield AuditRow("surface_mm2", surfaces, VOLUME_REL * figures.surface)
    for axis, name in enumerate("xyz"):
        places = {
            "closed form": figures.centroid[axis],
            "solid": solid.centroid[axis],
            "STEP file read back": step.centroid[axis],
        }
        yield AuditRow(f"centroid_{name}_mm", places, LENGTH)


def _blanks(model: Blank, unfolded: Blank) -> Iterator[AuditRow]:
    """Return the blank sewn from the model, beside the unfolder's blank of the solid."""
    for name, ours, theirs in (
        ("length_mm", model.length, unfolded.length),
        ("width_mm", model.width, unfolded.width),
        ("area_mm2", model.area, unfolded.area),
        ("cut_length_mm", model.outline.perimeter, unfolded.outline.perimeter),
    ):
        allowed = LENGTH * (max(model.length, model.width) if name == "area_mm2" else 1.0)
        yield AuditRow(f"blank_{name}", {"model": ours, "unfolder": theirs}, allowed)
