"""The work of a worker: one variant with its files, or the figures of many; plain data in and out."""

from __future__ import annotations

import errno
import time
from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from formparts.blanks import blank
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.errors import FormpartsError
from formparts.export import folder_for
from formparts.families.figures import figures_of, findings_of
from formparts.families.seen import FilesSeen
from formparts.families.under_load import figures_under_load
from formparts.families.version import digest_of
from formparts.part import Part
from formparts.part.file_set import written_into
from formparts.recipe_functions import Recipe
from formparts.recipe_functions.discovery import recipe_of_text

FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
"""Errors of a full disk, an exceeded quota, or a file size limit."""

Answer = dict[str, Any]
"""`state` (made, failed, full), `error`, `figures`, `findings`, `files`, `seconds`."""


def answered(task: Mapping[str, Any], seen: FilesSeen) -> list[Answer]:
    """Do one task.

    Parameters
    ----------
    task : mapping
        `recipe` (its reference), `text` (its file's, each byte a letter), `wanted` (kinds of files, none for figures
        alone), `all_checks`, `fea` (an order as plain data, or none), and `variants`, each with `folder`, `parameters`
        and `into` (where its files go).
    seen : FilesSeen
        What this process has read of the user's files.

    Returns
    -------
    list of dict
        One for each variant.
    """
    with seen.looking():
        recipe = recipe_of_text(task["recipe"], task["text"].encode("latin-1"))
    watched = replace(recipe, function=seen.watched(recipe.function))
    return [
        {**one(watched, task, variant), "sources": seen.sources(recipe, variant["parameters"])}
        for variant in task["variants"]
    ]


def one(recipe: Recipe, task: Mapping[str, Any], variant: Mapping[str, Any]) -> Answer:
    """Return the outcome of one variant of a task, errors included."""
    began = time.perf_counter()
    try:
        answer = _built(recipe, task, variant) if task["wanted"] else _figures(recipe, task, variant)
    except FormpartsError as error:
        answer = {"state": "full" if _disk_is_full(error) else "failed", "error": _line(error)}
    return {**answer, "seconds": time.perf_counter() - began}


def _built(recipe: Recipe, task: Mapping[str, Any], variant: Mapping[str, Any]) -> Answer:
    parameters = variant["parameters"]
    folder, part = folder_for(variant["into"], "family"), Part(recipe.built(parameters), recipe, parameters)
    files = written_into(folder, part, tuple(task["wanted"]), variant["folder"])
    audit = part.audit() if "solid" in task["wanted"] else ()
    error = "" if all(row.agrees for row in audit) else "the methods to its figures disagree, see its audit"
    return {
        "state": "failed" if error else "made",
        "error": error,
        "figures": {**figures_of(part.body, part.properties, part.blank), **_under_load(part.body, task)},
        "findings": [asdict(finding) for finding in part.findings_with_fixes(errors_only=True)],
        "files": {path.name: digest_of(path) for path in files},
    }


def _figures(recipe: Recipe, task: Mapping[str, Any], variant: Mapping[str, Any]) -> Answer:
    body = recipe.built(variant["parameters"])
    flat = blank(body)
    found = findings_of(body, flat, bool(task["all_checks"]))
    return {
        "state": "made",
        "error": "",
        "figures": {**figures_of(body, properties(body), flat), **_under_load(body, task)},
        "findings": [asdict(finding) for finding in found],
        "files": {},
    }


def _under_load(body: Body, task: Mapping[str, Any]) -> dict[str, float]:
    """Return the results of finite elements, when the task orders them."""
    if not task.get("fea"):
        return {}
    from formparts.fea.orders import order_from

    return figures_under_load(body, order_from(task["fea"]))


def _line(error: FormpartsError) -> str:
    return " ".join(str(error).split())


def _disk_is_full(error: BaseException | None) -> bool:
    """True when a full disk is the cause of an error."""
    while error is not None:
        if isinstance(error, OSError) and error.errno in FULL:
            return True
        error = error.__cause__
    return False
