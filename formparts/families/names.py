"""Folder names that are safe on every system, made from any variant's name."""

from __future__ import annotations

import hashlib
import re
import unicodedata

from formparts.export.files import is_device

LONGEST = 60
"""Longest folder name [characters]; UTF-8 takes at most 3 bytes for each that is kept, and 255 are allowed."""

_OURS = re.compile(r"family(?:\..*)?", re.IGNORECASE)


def folder_of(name: str) -> str:
    """Return a folder name for a variant: its own where safe, else its safe letters and a hash of the whole name.

    Parameters
    ----------
    name : str
        Any text but an empty one.

    Returns
    -------
    str
        Letters, digits, dots, dashes and underscores; never `.` or `..`, a device, or a file of the family's own.
    """
    plain = unicodedata.normalize("NFC", name)
    kept = "".join(sign if _is_safe(sign) else "_" for sign in plain).strip("._ ")[:LONGEST]
    if kept == name and not is_device(kept) and not _OURS.fullmatch(kept):
        return kept
    mark = hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()[:10]
    return f"{kept.rstrip('._ ')[: LONGEST - 11].replace('.', '_') or 'variant'}-{mark}"


def _is_safe(sign: str) -> bool:
    return (sign.isalnum() and ord(sign) < 0x10000) or sign in "._-"


def clash_key(name: str) -> str:
    """Return a key that is equal for names that would be one folder on a system that ignores case."""
    return unicodedata.normalize("NFC", folder_of(name)).casefold()
