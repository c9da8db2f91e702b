"""Names of flats and bends: the common stem of the names of their faces, else a running number."""

from __future__ import annotations

from formparts.unfolder.pieces import Net, is_flat
from formparts.unfolder.solid_data import SolidData

SKIN_WORDS = ("upper", "lower", "inside", "outside")


def names_of(part: SolidData, net: Net, order: list[int]) -> dict[int, str]:
    """Return a unique name for every flat and bend, in the order given."""
    names: dict[int, str] = {}
    used: set[str] = set()
    counts = {True: 0, False: 0}
    for piece in order:
        flat = is_flat(net.pieces[piece])
        counts[flat] += 1
        name = stem_of(part, net.pieces[piece].faces) or f"{'flat' if flat else 'bend'}[{counts[flat]}]"
        names[piece] = _unused(name, used)
        used.add(names[piece])
    return names


def stem_of(part: SolidData, faces: tuple[int, ...]) -> str:
    """Return the first face's name without the word for its skin."""
    for face in faces:
        stem, dot, word = part.faces[face].name.rpartition(".")
        if word.isdigit():
            stem, dot, word = stem.rpartition(".")
        if dot and word in SKIN_WORDS:
            return stem
        if part.faces[face].name:
            return part.faces[face].name
    return ""


def skin_word(part: SolidData, faces: tuple[int, ...]) -> str:
    """Return the word for the skin in the face names of a flat or bend, or nothing."""
    words = {part.faces[face].name.rpartition(".")[2] for face in faces}
    return next((word for word in SKIN_WORDS[:2] if word in words), "")


def _unused(name: str, used: set[str]) -> str:
    number, found = 1, name
    while found in used:
        number += 1
        found = f"{name}.{number}"
    return found
