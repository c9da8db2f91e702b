"""
`formparts materials`: the materials that are known, or all figures of one with their sources and uses.

    $ formparts materials DC01
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from formparts.bending import KByRule
    from formparts.materials import Material

WELL = 0
USED_FOR = {
    "density": "mass",
    "modulus": "springback, FEA",
    "poisson": "FEA",
    "yield_strength": "springback, bending force by Kalpakjian and Schmid",
    "tensile_strength": "bending force, springback of grades without a row of their own",
    "elongation": "smallest radius where no table names the material",
}
_UNITS = {"density": "kg/m3", "modulus": "MPa", "poisson": "-"}
SHEETS = (0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0)
"""Sheets that radii, thickness deviations and overbends are shown for [mm]."""


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("materials", help="the materials that are known, or all figures of one")
    parser.description = (
        "List the materials that are known; with a NAME show all figures of one, where each is from and its use, "
        "and what follows from them: smallest inside radius, overbend, K-factors, thickness deviation."
    )
    parser.add_argument(
        "name",
        metavar="NAME",
        nargs="?",
        help="a material's name, number or old name, or FILE.toml:NAME; FILE.toml for a list of your own",
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the list, or one material."""
    from formparts.materials import known_materials, material, materials_from

    if options.name is None:
        print("\n".join(_listed(known_materials())))
    elif options.name.lower().endswith(".toml"):
        print("\n".join(_listed(materials_from(options.name), f"{options.name}:")))
    else:
        print("\n".join(_shown(material(options.name))))
    return WELL


def _listed(grades: tuple[Material, ...], file: str = "") -> Iterator[str]:
    """One line a material, by family; how one of a file is named."""
    for family in dict.fromkeys(grade.family for grade in grades):
        yield f"{family or 'your own'}:"
        for grade in (grade for grade in grades if grade.family == family):
            yield f"  {grade.name:16}{grade.standard_number:14}{grade.description}"
    many = "1 material" if len(grades) == 1 else f"{len(grades)} materials"
    yield f"{many}; `formparts materials {file}NAME` shows all figures of one"


def _shown(grade: Material) -> Iterator[str]:
    """Everything of one material."""
    yield f"{grade.name}: {grade.description or 'one of the user'}"
    if grade.standard_number or grade.aliases:
        yield f"  also    {', '.join(filter(None, (grade.standard_number, *grade.aliases)))}"
    if grade.note:
        yield f"  note    {grade.note}"
    for name in USED_FOR:
        yield from _figure(grade, name)
    yield from _radii(grade)
    yield from _springback(grade)
    yield from _k_factors(grade)
    yield from _deviations(grade)
    yield from _references(grade)
    yield "Figures are for planning: the mill's certificate, a test strip and the drawing decide."


def _figure(grade: Material, name: str) -> Iterator[str]:
    values = list(_values(grade, name))
    if values:
        yield f"{name.replace('_', ' ')}: {values[0]}"
        yield from (f"  {value}" for value in values[1:])
        yield f"  from {grade.sources.get(name, 'no source')}; used for {_use(grade, name)}"


def _use(grade: Material, name: str) -> str:
    """What a figure is used for; radii by strength are a rule for carbon steel alone."""
    if name == "tensile_strength" and grade.family == "carbon steel":
        return f"{USED_FOR[name]}, smallest radius by DIN 6935 where no table names the material"
    return USED_FOR[name]


def _values(grade: Material, name: str) -> Iterator[str]:
    """The figure, or a line for each range of thickness."""
    if name in _UNITS:
        value = getattr(grade, name)
        if value is not None:
            yield f"{value:g} {_UNITS[name]}".rstrip(" -")
        return
    bands = [band for band in grade.bands if band.figure == name]
    unit = "%" if name == "elongation" else "MPa"
    for band in bands:
        sheet = f"over {band.over:g} up to {band.to:g} mm" if band.over else f"up to {band.to:g} mm"
        gauge = f" ({band.gauge})" if band.gauge else ""
        typical = name == "yield_strength" and grade.yield_is == "typical"
        said = f"{band.least:g}" if typical and band.most is None else _range(band.least, band.most)
        yield f"{said} {unit}{gauge}{' (typical)' if typical else ''}, {sheet}"
    if not bands and name == "tensile_strength":
        low, high = grade.tensile_strength_min, grade.tensile_strength_max
        if low is not None or high is not None:
            yield f"{_range(low, high)} {unit}"
    elif not bands and getattr(grade, name) is not None:
        yield f"{getattr(grade, name):g} {unit}"


def _range(least: float | None, most: float | None) -> str:
    if least is None:
        return f"at most {most:g}"
    return f"at least {least:g}" if most is None else f"{least:g} to {most:g}"


def _radii(grade: Material) -> Iterator[str]:
    """Smallest radii at 90 deg with the rule, for each rolling direction where the source tells them apart."""
    from formparts.errors import InputError
    from formparts.forming import minimum_bend_radius
    from formparts.forming.bend_radii import SILENT

    try:
        found = [
            (sheet, minimum_bend_radius(grade, sheet), minimum_bend_radius(grade, sheet, along_rolling=True))
            for sheet in SHEETS
        ]
    except InputError:
        return
    yield "smallest inside radius at 90 deg:"
    for sheet, across, along in found:
        note = f"; {across.note}" if across.note else ""
        said = (
            f"{across.radius:.3g} mm across, {along.radius:.3g} mm along the rolling direction"
            if across.directions
            else f"{across.radius:.3g} mm"
        )
        yield f"  {sheet:g} mm: {said}{note}"
    for rule, source in dict.fromkeys((one.rule, one.source) for _, one, _ in found):
        yield f"  from {source} ({rule})"
    folded = [minimum_bend_radius(grade, sheet, 180) for sheet in SHEETS]
    shown = (f"{sheet:g} mm: {one.radius:.3g} mm" for sheet, one in zip(SHEETS, folded, strict=True))
    yield f"smallest inside radius at 180 deg: {', '.join(shown)}"
    for source in dict.fromkeys(one.source for one in folded):
        yield f"  from {source}"
    if not all(across.directions for _, across, _ in found):
        yield f"  {SILENT}: take more along it, or bend a test strip"


def _springback(grade: Material) -> Iterator[str]:
    from formparts.errors import InputError
    from formparts.forming import under_load

    try:
        found = [(ratio, under_load(grade, 90, ratio * 2, 2)) for ratio in (1, 2, 4, 10)]
    except InputError:
        return
    parts = ", ".join(f"R = {ratio:g} t: {one.overbend:.1f} deg" for ratio, one in found)
    yield f"overbend at 90 deg: {parts}"
    yield f"  from {found[0][1].source} ({found[0][1].rule})"


def _k_factors(grade: Material) -> Iterator[str]:
    """K-factors for R = 1, 2 and 4 t, each under the name that --set bend_rule takes."""
    from formparts.bending.by_material import PROCESSES, k_by_rule

    yield "K-factor by rule, at R = 1 t / 2 t / 4 t:"
    found: dict[str, list[KByRule]] = {}
    for process in PROCESSES:
        new = [{one.rule: one for one in k_by_rule(grade, ratio * 2, 2, process)} for ratio in (1, 2, 4)]
        found |= {rule: [each[rule] for each in new] for rule in new[0] if rule not in found}
    for rule, each in found.items():
        yield f"  {rule}: {' / '.join(f'{one.k:.3f}' for one in each)} (from {each[0].source})"


def _deviations(grade: Material) -> Iterator[str]:
    """How far the thickness may be off, a line for each standard that the sheet can be bought by."""
    from formparts.deviations import thickness_deviations, thickness_table

    found: dict[str, list[str]] = {}
    for sheet in SHEETS:
        for one in thickness_deviations(grade, sheet):
            found.setdefault(one.source, []).append(f"{sheet:g} mm: {one.value:.3g}")
    for source, parts in found.items():
        yield f"thickness deviation of sheet 1250 mm wide, to either side [mm]: {', '.join(parts)}"
        yield f"  from {source}"
    if not found:
        place = f"look it up in {table}, or take" if (table := thickness_table(grade)) else "take"
        yield f"thickness deviation: no table that can be cited has it; {place} that of the mill's certificate"


def _references(grade: Material) -> Iterator[str]:
    """The publications that are cited for the material, in full."""
    from formparts.sources import source_of

    cited = {source_of(part.strip()) for text in _citations(grade) for part in text.split(";")}
    publications = sorted((source for source in cited if source), key=lambda source: source.key)
    if publications:
        yield "publications:"
        yield from (f"  {source.key}: {source.reference}" for source in publications)


def _citations(grade: Material) -> Iterator[str]:
    from contextlib import suppress

    from formparts.bending import k_by_rule
    from formparts.deviations import thickness_deviations
    from formparts.errors import InputError
    from formparts.forming import minimum_bend_radius, under_load

    yield from grade.sources.values()
    with suppress(InputError):  # no table, and no elongation
        for angle in (90, 180):
            yield from [minimum_bend_radius(grade, sheet, angle).source for sheet in SHEETS]
    with suppress(InputError):  # no yield strength or modulus
        yield under_load(grade, 90, 2, 2).source
    yield from (one.source for one in k_by_rule(grade, 2, 2))
    for sheet in SHEETS:
        yield from (one.source for one in thickness_deviations(grade, sheet))
