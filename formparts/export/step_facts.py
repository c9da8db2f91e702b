"""The facts in a STEP file besides its shape: validation properties, material, and which recipe made it.

Written as text behind the kernel's own entities: its writer states a density in a wrong unit, and knows no recipe.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from formparts.errors import FileProofError, InputError, KernelError
from formparts.export.step_text import Lines, entities_of, plain, quoted, real
from formparts.export.step_title import stated, titled, titles_in

_OWN: Final = "formparts"
_BLANK: Final = "0" * 64
"""Placeholder for the hash while the hash is computed."""


@dataclass(frozen=True)
class StepFacts:
    """The facts that a STEP file states of its part.

    Parameters
    ----------
    volume : float [mm3]
        Validation property.
    area : float [mm2]
        Validation property: of all faces.
    centroid : (x, y, z) [mm]
        Validation property: of the volume.
    material : str
        Name of the material; none when it is empty.
    density : float [kg/m3]
        Of the material.
    recipe : str
        Name of the recipe; none when it is empty.
    parameters : mapping of str to float, int, str or bool [house unit]
        All parameters of the recipe.
    version : str
        Of formparts.
    title : mapping of str to str
        What a title block says of it: number, revision, author, owner, date; other fields are left out.
    """

    volume: float
    area: float
    centroid: tuple[float, float, float]
    material: str = ""
    density: float = 0.0
    recipe: str = ""
    parameters: Mapping[str, Any] = field(default_factory=dict)
    version: str = ""
    title: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class FoundFacts:
    """The facts found in a STEP file; None or empty where it states nothing.

    Parameters
    ----------
    volume : float [mm3], optional
        Validation property.
    area : float [mm2], optional
        Validation property.
    centroid : (x, y, z) [mm], optional
        Validation property.
    material : str
        Name of the material.
    density : float [kg/m3], optional
        Of the material.
    own : dict of str to str
        What formparts wrote of the recipe: `recipe`, `parameters` as JSON, `version`, `content_sha256`.
    whole : bool, optional
        Whether the hash that the file carries is that of its content.
    title : dict of str to str
        Number, revision, author, owner and date of the product, those that the file states.
    """

    volume: float | None
    area: float | None
    centroid: tuple[float, float, float] | None
    material: str
    density: float | None
    own: dict[str, str]
    whole: bool | None
    title: dict[str, str] = field(default_factory=dict)


def with_facts(content: bytes, facts: StepFacts) -> bytes:
    """
    Put facts into a STEP file of one part.

    Parameters
    ----------
    content : bytes
        The file as it was written.
    facts : StepFacts
        What it is to say.

    Returns
    -------
    bytes

    Raises
    ------
    KernelError
        The file has not the entities that the facts hang on.

    Source
    ------
    Recommended practices of the CAx Implementor Forum for geometric validation properties, material identification
    and density, and user defined attributes (from memory); ISO 10303-21 for the text (from memory).
    """
    text = content.decode("ascii")
    last = max(int(number) for number in re.findall(r"^#(\d+) ?=", text, re.MULTILINE))
    lines = Lines(last, _entity(text, "PRODUCT_DEFINITION"), _entity(text, "PRODUCT_DEFINITION_SHAPE"))
    lines.context = _entity(text, r"\( ?GEOMETRIC_REPRESENTATION_CONTEXT", "")
    lines.millimetre = _entity(
        text, r"\( ?LENGTH_UNIT\(\) NAMED_UNIT\(\*\) SI_UNIT\(\.MILLI\.,\.METRE\.\)", ""
    )
    state(lines, facts)
    return with_lines(titled(text, lines, facts.title, whole=True), lines.made)


def with_lines(text: str, added: Iterable[str]) -> bytes:
    """Put entities at the end of a file; a hash among them becomes that of the whole."""
    head, mark, tail = text.rpartition("ENDSEC;\nEND-ISO-10303-21;")
    if not mark:
        raise KernelError("facts of a STEP file", "the file has no end")
    whole = head + "".join(f"{line}\n" for line in added) + mark + tail
    return whole.replace(_BLANK, _digest(whole), 1).encode("ascii")


def state(lines: Lines, facts: StepFacts) -> None:
    """Add the entities that state all of it."""
    _validation(lines, facts)
    if facts.material:
        _material(lines, facts)
    if facts.recipe:
        _recipe(lines, facts)


def _digest(text: str) -> str:
    """Hash of the data section, that of the hash itself left blank; line ends do not count."""
    data = text.partition("DATA;")[2].replace("\r", "")
    return hashlib.sha256(data.encode()).hexdigest()


def _entity(text: str, name: str, bracket: str = r"\(") -> int:
    found = re.search(rf"^#(\d+) ?= ?{name}{bracket}", text, re.MULTILINE)
    if found is None:
        raise KernelError("facts of a STEP file", f"there is no {name}")
    return int(found[1])


def _validation(lines: Lines, facts: StepFacts) -> None:
    for name, measure, value, exponent in (
        ("volume", "VOLUME_MEASURE", facts.volume, 3),
        ("surface area", "AREA_MEASURE", facts.area, 2),
    ):
        unit = lines.add(f"DERIVED_UNIT((#{lines.power(lines.millimetre, exponent)}))")
        item = lines.add(f"MEASURE_REPRESENTATION_ITEM('{name} measure',{measure}({real(value)}),#{unit})")
        lines.represent(_geometric(lines, name), name, [item])
    x, y, z = map(real, facts.centroid)
    point = lines.add(f"CARTESIAN_POINT('centre point',({x},{y},{z}))")
    lines.represent(_geometric(lines, "centroid"), "centroid", [point])


def _geometric(lines: Lines, name: str) -> int:
    return lines.add(f"PROPERTY_DEFINITION('geometric validation property','{name}',#{lines.shape})")


def _material(lines: Lines, facts: StepFacts) -> None:
    name = quoted(facts.material)
    item = lines.add(f"DESCRIPTIVE_REPRESENTATION_ITEM('{name}','{name}')")
    definition = lines.add(f"PROPERTY_DEFINITION('material property','material name',#{lines.product})")
    lines.represent(definition, "material name", [item])
    kilogram = lines.add("( MASS_UNIT() NAMED_UNIT(*) SI_UNIT(.KILO.,.GRAM.) )")
    metre = lines.add("( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) )")
    parts = f"#{lines.power(kilogram, 1)},#{lines.power(metre, -3)}"
    unit = lines.add(f"DERIVED_UNIT(({parts}))")
    measure = f"POSITIVE_RATIO_MEASURE({real(facts.density)})"
    item = lines.add(f"MEASURE_REPRESENTATION_ITEM('density measure',{measure},#{unit})")
    definition = lines.add(f"PROPERTY_DEFINITION('material property','density',#{lines.product})")
    lines.represent(definition, "density", [item])


def _recipe(lines: Lines, facts: StepFacts) -> None:
    parameters = json.dumps(dict(facts.parameters), sort_keys=True, allow_nan=False)
    values = {
        "recipe": facts.recipe,
        "parameters": parameters,
        "version": facts.version,
        "content_sha256": _BLANK,
    }
    items = [
        lines.add(f"DESCRIPTIVE_REPRESENTATION_ITEM('{name}','{quoted(value)}')")
        for name, value in values.items()
    ]
    general = lines.add(f"GENERAL_PROPERTY('{_OWN}','{_OWN}','user defined attribute')")
    # On the shape: a reader of materials takes every descriptive item that hangs on the product for a material's name.
    definition = lines.add(f"PROPERTY_DEFINITION('{_OWN}','user defined attribute',#{lines.shape})")
    lines.add(f"GENERAL_PROPERTY_ASSOCIATION('user defined attribute','',#{general},#{definition})")
    lines.represent(definition, _OWN, items)


def read_facts(path: str | os.PathLike[str]) -> FoundFacts:
    """Read the facts in a STEP file besides its shape from its text, without the kernel.

    Parameters
    ----------
    path : path
        A STEP file of one part, whoever made it.

    Returns
    -------
    FoundFacts

    Raises
    ------
    InputError
        The file cannot be read.
    """
    try:
        text = Path(path).read_bytes().decode("latin-1")
    except (OSError, ValueError) as error:  # a null character in its name is a ValueError
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputError("STEP", "path", str(path), f"cannot be read: {reason}", "check the name") from error
    entities = dict(entities_of(text))
    titles = titles_in(entities)
    return facts_among(
        entities, entities.values(), text, next(iter(titles.values())) if len(titles) == 1 else {}
    )


def facts_among(
    entities: dict[int, str], said: Iterable[str], text: str, title: dict[str, str]
) -> FoundFacts:
    """Return the facts in some of a file's entities, and their title; `text` is the whole of it, for its hash."""
    found = dict(_represented(entities, said))
    own = dict(_described(found.get(_OWN, [])))
    mark = own.get("content_sha256", "")
    whole = _digest(text.replace(mark, _BLANK)) == mark if len(mark) == len(_BLANK) else None
    names = _described(found.get("material name", []))
    return FoundFacts(
        _measure(entities, found.get("volume", [])),
        _measure(entities, found.get("surface area", [])),
        _point(found.get("centroid", [])),
        next((value for _, value in names), ""),
        _measure(entities, found.get("density", [])),
        own,
        whole,
        title,
    )


def _represented(entities: dict[int, str], said: Iterable[str]) -> Iterator[tuple[str, list[str]]]:
    """Every plain representation: its name, and the texts of its items."""
    for body in said:
        found = body.startswith("REPRESENTATION") and re.match(
            r"REPRESENTATION\s*\('([^']*)',\(([#\d,\s]*)\),", body
        )
        if found:
            yield found[1], [entities.get(int(number), "") for number in re.findall(r"#(\d+)", found[2])]


def _described(items: list[str]) -> Iterator[tuple[str, str]]:
    for item in items:
        found = re.match(r"DESCRIPTIVE_REPRESENTATION_ITEM\('((?:[^']|'')*)','((?:[^']|'')*)'\)", item)
        if found:
            yield plain(found[1]), plain(found[2])


_NAMED: Final = {".MILLI.": 1.0, ".CENTI.": 10.0, "$": 1000.0}


def _measure(entities: dict[int, str], items: list[str]) -> float | None:
    """The value of a measure, in mm (kg and m for a density); None when its unit is not known."""
    for item in items:
        found = re.match(r"MEASURE_REPRESENTATION_ITEM\('[^']*',\w+\(([^)]+)\),#(\d+)\)", item)
        if found:
            factor = _factor(
                entities, int(found[2]), density=item.startswith("MEASURE_REPRESENTATION_ITEM('density")
            )
            value = _number(found[1])
            return None if factor is None or value is None else value * factor
    return None


def _factor(entities: dict[int, str], unit: int, density: bool) -> float | None:
    """Return the factor of a derived unit of lengths (and kilograms) to house units."""
    total = 1.0
    for number in re.findall(r"#(\d+)", entities.get(unit, "")):
        element = re.match(r"DERIVED_UNIT_ELEMENT\(#(\d+),([-\d.]+)\)", entities.get(int(number), ""))
        base = entities.get(int(element[1]), "") if element else ""
        si = re.search(r"SI_UNIT\s*\(([^,]+),\s*\.(METRE|GRAM)\.\)", base)
        if element is None or si is None:
            return None
        if si[2] == "GRAM":
            scale = {".KILO.": 1.0, "$": 0.001}.get(si[1])
        else:
            scale = _NAMED.get(si[1])
            scale = None if scale is None else scale / (1000.0 if density else 1.0)
        power = _number(element[2])
        if scale is None or power is None:
            return None
        total *= scale**power
    return total


def _number(text: str) -> float | None:
    """Return a finite number, or None."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _point(items: list[str]) -> tuple[float, float, float] | None:
    for item in items:
        found = re.match(r"CARTESIAN_POINT\s*\('[^']*',\(([^)]*)\)\)", item)
        if found:
            parts = [_number(part) for part in found[1].split(",")]
            x, y, z = parts if len(parts) == 3 else (None, None, None)
            return None if x is None or y is None or z is None else (x, y, z)
    return None


def prove_facts(path: Path, facts: StepFacts) -> None:
    """Compare the facts in a file with those intended."""
    for fault in fact_faults(read_facts(path), facts):
        raise FileProofError(str(path), fault)


def fact_faults(found: FoundFacts, facts: StepFacts) -> Iterator[str]:
    """Return where the facts in a file differ from those intended."""
    pairs: list[tuple[str, object, object]] = [
        ("volume", found.volume, float(real(facts.volume))),
        ("area", found.area, float(real(facts.area))),
        ("centroid", found.centroid, tuple(float(real(part)) for part in facts.centroid)),
        ("material", found.material, facts.material),
        ("density", found.density, float(real(facts.density)) if facts.material else None),
        ("recipe", found.own.get("recipe", ""), facts.recipe),
        ("whole", found.whole, True if facts.recipe else None),
    ]
    if facts.recipe:
        pairs.append(("parameters", json.loads(found.own.get("parameters", "null")), dict(facts.parameters)))
    pairs += [(field, found.title.get(field, ""), meant) for field, meant in stated(facts.title).items()]
    for name, read, meant in pairs:
        if read != meant:
            yield f"the {name} that it states reads back as {read}, and not as {meant}"
