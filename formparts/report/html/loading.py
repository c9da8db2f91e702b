"""The page's section about the part under load: picture of the deflected shape, figures, cautions."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from formparts.report.html.tags import Markup, element, said, table


def loading_parts(fea: Mapping[str, Any], deflected: bytes) -> list[Markup]:
    """What stands in the section, from the figures as they stand in the part's JSON."""
    parts = [_figure(fea, deflected)] if deflected else []
    parts.append(table("Mesh, case and answer", ("figure", "value"), _rows(fea)))
    if fea["by_hand"] is not None:
        parts.append(table("Section across the bends, for a beam by hand", ("figure", "value"), _hand(fea)))
    return [*parts, element("ul", *(element("li", said(words)) for words in fea["cautions"]))]


def _figure(fea: Mapping[str, Any], deflected: bytes) -> Markup:
    data = b64encode(deflected).decode()
    shown = Markup(f'<img class="deflected" alt="The deflected shape" src="data:image/png;base64,{data}">')
    words = f"The deflected shape, displacements drawn {fea['drawn_times']:g} times as large as they are"
    words += "; thin lines: at rest"
    return element("figure", shown, element("figcaption", said(words)))


def _rows(fea: Mapping[str, Any]) -> Iterator[tuple[Markup, Markup]]:
    elements = ", ".join(f"{count} {kind}" for kind, count in fea["elements"].items())
    yield _row("mesh", f"{fea['kind']}, size {fea['size_mm']:g} mm; {fea['nodes']} nodes, {elements}")
    yield _row("mass of the mesh", f"{fea['mass_kg']:.6g} kg")
    yield _row("held", ", ".join(fea["fixed"]) or "nothing")
    for load in fea["loads"]:
        way = "pressing" if load["direction"] is None else f"along {_three(load['direction'])}"
        yield _row("load", f"{load['names']}: {load['force_n']:g} N, {way}")
    yield _row("solver", fea["solver"] or "not run")
    yield from _answer(fea)


def _answer(fea: Mapping[str, Any]) -> Iterator[tuple[Markup, Markup]]:
    if fea["largest_displacement_mm"] is not None:
        place = _three(fea["place_mm"])
        yield _row("largest displacement", f"{fea['largest_displacement_mm']:.4g} mm, at {place} mm")
    if fea["reaction_n"] is not None:
        yield _row("total load", f"{_three(fea['load_n'])} N")
        yield _row("total reaction", f"{_three(fea['reaction_n'])} N")
    for number, value in enumerate(fea["frequencies_hz"], 1):
        yield _row(f"natural frequency {number}", f"{value:.5g} Hz")


_HAND = (
    ("area", "area_mm2", "mm²"),
    ("second moment about u", "inertia_u_mm4", "mm⁴"),
    ("second moment about v", "inertia_v_mm4", "mm⁴"),
    ("greatest second moment", "greatest_mm4", "mm⁴"),
    ("least second moment", "least_mm4", "mm⁴"),
    ("section modulus about u", "modulus_u_mm3", "mm³"),
    ("section modulus about v", "modulus_v_mm3", "mm³"),
    ("torsion constant, open thin section", "torsion_mm4", "mm⁴"),
)


def _hand(fea: Mapping[str, Any]) -> Iterator[tuple[Markup, Markup]]:
    for name, key, unit in _HAND:
        yield _row(name, f"{fea['by_hand'][key]:.6g} {unit}")


def _row(name: str, value: str) -> tuple[Markup, Markup]:
    return said(name), said(value)


def _three(values: Sequence[float]) -> str:
    return ", ".join(f"{round(value, 6) + 0.0:.6g}" for value in values)
