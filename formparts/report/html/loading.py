"""The page's section about the part under load: pictures of shape, stress and modes, figures by load case, cautions."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from formparts.report.html.tags import Markup, element, said, table

Pictures = tuple[bytes, bytes, tuple[bytes, ...]]
"""Of one load case: the deflected shape, the stress, and every mode; empty where there is none."""
_NO_PICTURES: Pictures = (b"", b"", ())


def loading_parts(fea: Mapping[str, Any], pictures: Sequence[Pictures]) -> list[Markup]:
    """Return the contents of the section, from the figures of the part's JSON; pictures by load case."""
    parts = [table("Mesh", ("figure", "value"), _mesh(fea))]
    shown = [*pictures, *[_NO_PICTURES] * len(fea["cases"])]
    for case, (deflected, stress, modes) in zip(fea["cases"], shown, strict=False):
        title = f"Load case {case['name']}" if case["name"] else "Load case and answer"
        if deflected:
            parts.append(_figure(_deflected(case), deflected, "The deflected shape"))
        if stress:
            words = "Von Mises stress [MPa] on the deflected shape; the scale begins at nought"
            parts.append(_figure(words, stress, "The von Mises stress"))
        parts += [_figure(*mode, "mode") for mode in _modes(case, modes)]
        parts.append(table(title, ("figure", "value"), _case(case)))
    if fea["by_hand"] is not None:
        parts.append(table("Section across the bends, for a beam by hand", ("figure", "value"), _hand(fea)))
    return [*parts, element("ul", *(element("li", said(words)) for words in fea["cautions"]))]


def _modes(case: Mapping[str, Any], pictures: Sequence[bytes]) -> Iterator[tuple[str, bytes, str]]:
    """Words, picture and name of every mode."""
    values = [f"{value:.5g} Hz" for value in case["frequencies_hz"]]
    values += [f"buckles at {value:.5g} times the load" for value in case["buckling_factors"]]
    for number, (value, content) in enumerate(zip(values, pictures, strict=True), 1):
        words = f"Mode {number}: {value}; drawn moving to and fro by a twentieth of the longest side, in no true size"
        yield words, content, f"Mode {number}"


def _figure(words: str, content: bytes, alt: str, kind: str = "deflected") -> Markup:
    data = b64encode(content).decode()
    shown = Markup(f'<img class="{kind}" alt="{alt}" src="data:image/png;base64,{data}">')
    return element("figure", shown, element("figcaption", said(words)))


def _deflected(case: Mapping[str, Any]) -> str:
    words = f"The deflected shape, displacements drawn {case['drawn_times']:g} times as large as they are"
    return f"{words}; thin lines: at rest"


def _mesh(fea: Mapping[str, Any]) -> Iterator[tuple[Markup, Markup]]:
    elements = ", ".join(f"{count} {kind}" for kind, count in fea["elements"].items())
    yield _row("mesh", f"{fea['kind']}, size {fea['size_mm']:g} mm; {fea['nodes']} nodes, {elements}")
    yield _row("mass of the mesh", f"{fea['mass_kg']:.6g} kg")
    yield _row("solver", fea["solver"] or "not run")


def _case(case: Mapping[str, Any]) -> Iterator[tuple[Markup, Markup]]:
    for item in case["supports"]:
        moved = f", moved {item['displacement_mm']:g} mm" if item["displacement_mm"] else ""
        yield _row("held", f"{item['names']}: {', '.join(item['directions'])}{moved}")
    if not case["supports"]:
        yield _row("held", "nothing")
    for load in case["loads"]:
        yield _row("load", f"{load['names']}: {_amount(load)}")
    if any(case["gravity"]):
        yield _row("gravity", f"{_three(case['gravity'])} times standard gravity")
    yield from _answer(case)


def _amount(load: Mapping[str, Any]) -> str:
    keys = {"force_n": "N", "pressure_mpa": "MPa", "moment_nmm": "Nmm"}
    amount = next(f"{load[key]:g} {unit}" for key, unit in keys.items() if key in load)
    if load["direction"] is None:
        return amount if "pressure_mpa" in load else f"{amount}, pressing"
    along = {"moment": "about", "bearing": "of a bolt, along"}.get(load["kind"], "along")
    return f"{amount}, {along} {_three(load['direction'])}"


def _answer(case: Mapping[str, Any]) -> Iterator[tuple[Markup, Markup]]:
    if case["largest_displacement_mm"] is not None:
        place = _place(case["displacement_place"])
        yield _row("largest displacement", f"{case['largest_displacement_mm']:.4g} mm, {place}")
    if case["stress"] is not None:
        yield from _stress(case["stress"])
    if case["reaction_n"] is not None:
        yield _row("total load", f"{_three(case['load_n'])} N")
        yield _row("total reaction", f"{_three(case['reaction_n'])} N")
        for item in case["reactions"]:
            about = f"{_three(item['moment_nmm'])} Nmm about {_three(item['about_mm'])} mm"
            yield _row(f"reaction at {item['names']}", f"{_three(item['force_n'])} N; {about}")
    for number, value in enumerate(case["frequencies_hz"], 1):
        yield _row(f"natural frequency {number}", f"{value:.5g} Hz")
    for number, value in enumerate(case["buckling_factors"], 1):
        yield _row(f"buckling factor {number}", f"{value:.5g}")
    for item in case["converged"]:
        tends = f"tends to {item['extrapolated']:.4g} {item['unit']}, last value within {item['error']:.2g}"
        yield _row(f"{item['figure']} at smaller elements", tends if item["converges"] else "does not settle")


def _stress(stress: Mapping[str, Any]) -> Iterator[tuple[Markup, Markup]]:
    for key, words in (("peak", ""), ("peak_away_from_supports", ", away from supports")):
        peak = stress[key]
        if peak is not None:
            yield _row(
                f"greatest von Mises stress{words}",
                f"{peak['von_mises_mpa']:.4g} MPa, {_place(peak['place'])}",
            )
            yield _row("principal stresses there", f"{_three(peak['principal_mpa'])} MPa")
    if stress["ratio_to_yield"] is not None:
        words = f"{stress['ratio_to_yield']:.3g} of {stress['yield_strength_mpa']:g} MPa"
        yield _row("share of the yield strength", f"{words}; a licensed practitioner releases the part")


def _place(place: Mapping[str, Any]) -> str:
    skin = f", {place['skin']} skin" if place["skin"] else ""
    return f"at {', '.join(place['names'][:3])}{skin}, {_three(place['at_mm'])} mm"


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
