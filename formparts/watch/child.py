"""Answer the page's questions in a separate process, so that an endless recipe stops nothing else."""

from __future__ import annotations

import json
import os
import queue
import sys
from typing import Any

from formparts.errors import FormpartsError, InputError
from formparts.families.worker import listening
from formparts.kernel import own_process
from formparts.watch.aside import told_of_fixes, told_of_moves, told_of_range
from formparts.watch.page import watch_page
from formparts.watch.part import Watched, or_error, told, told_of_drawing, told_of_solid

ASIDE = {"moves": told_of_moves, "range": told_of_range, "fixes": told_of_fixes}


def answer(question: dict[str, Any]) -> dict[str, Any]:
    """Return the answer: `page` or `source` of a recipe, or the part for some values of its parameters."""
    watched, what = Watched(question["reference"]), question["what"]
    if what == "source":
        return _source(watched)
    if what == "page":
        return or_error(watched, lambda: {"page": watch_page(watched.recipe)})
    if what in ASIDE:
        return ASIDE[what](watched, question["values"], question["about"])
    return {"part": told, "solid": told_of_solid, "drawing": told_of_drawing}[what](
        watched, question["values"]
    )


def _source(watched: Watched) -> dict[str, Any]:
    """Where the recipe's file is; what is not a recipe is answered with the fields of its error."""
    try:
        return {"source": str(watched.recipe.source)}
    except FormpartsError as error:
        fields = {"fields": [str(field) for field in error.args]} if isinstance(error, InputError) else {}
        return {"error": " ".join(str(error).split()), **fields}


def main() -> int:
    """Answer questions, a line of JSON each, until no more come."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    # Output of a recipe or the kernel must not mix with the answers.
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    questions: queue.SimpleQueue[str] = listening(sys.stdin)
    while True:
        answers.write(json.dumps(answer(json.loads(questions.get()))) + "\n")
        answers.flush()


if __name__ == "__main__":
    raise SystemExit(own_process(main))
