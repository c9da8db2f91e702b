"""A family on other machines: the same work by a dask.distributed cluster, files sent back through it."""

from __future__ import annotations

import hashlib
import tempfile
import threading
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from formparts.errors import InputError
from formparts.families import pool
from formparts.families.building import FULL, Answer
from formparts.families.version import library_digest
from formparts.recipe_functions import Recipe

PATIENCE = 30.0
"""How long to wait for a scheduler [s]."""

Task = Mapping[str, Any]


def answers(
    tasks: Sequence[Task], recipe: Recipe, address: str, limit: float
) -> Iterator[tuple[int, list[Answer]]]:
    """Run tasks on a cluster; if a machine is lost, another does its tasks.

    Parameters
    ----------
    tasks : sequence of mapping
        As for `building.answered`; their files are written to `into` on this machine.
    recipe : Recipe
        Its source goes with every task.
    address : str
        Of the scheduler, as `tcp://192.0.2.7:8786`.
    limit : float [s]
        Longest time for one variant.

    Yields
    ------
    (int, list of dict)
        Number of the task, and its answers, in the order in which they are ready.

    Raises
    ------
    InputError
        The extra is not installed, or no scheduler answers there.
    """
    client = _client(address)
    sent = {
        "name": recipe.name,
        "stem": recipe.source.stem,
    }
    try:
        futures = {
            client.submit(remote, {**task, **sent, "library": library_digest()}, limit, pure=False): number
            for number, task in enumerate(tasks)
        }
        for future in _ready(futures):
            number = futures.pop(future)
            yield number, _received(future, tasks[number])
            future.release()
    finally:
        client.cancel(list(futures))
        client.close()


def _client(address: str) -> Any:
    try:
        from distributed import Client
    except ImportError as error:
        fix = "install the extra: formparts[cluster]"
        raise InputError("family", "cluster", address, "dask.distributed is not installed", fix) from error
    try:
        return Client(address, timeout=PATIENCE)
    except (OSError, ValueError, TimeoutError) as error:
        said = " ".join(str(error).split())[:200]
        fix = "start one there, or leave the cluster out"
        raise InputError("family", "cluster", address, f"no scheduler answers ({said})", fix) from error


def _ready(futures: Mapping[Any, int]) -> Iterator[Any]:
    """The futures in the order in which they are done."""
    from distributed import as_completed

    yield from as_completed(list(futures))


def _received(future: Any, task: Task) -> list[Answer]:
    """The answers to a task, its files written where they belong."""
    # A result that went with its machine, before it was fetched, is "lost" until another machine has worked it
    # out again: `exception` waits for that.
    error = future.exception()
    if error is not None or future.cancelled():
        lost = " ".join(str(error).split())[:300] if error is not None else "cancelled"
        return [
            {"state": "failed", "error": f"the cluster lost it: {lost}", "seconds": 0.0}
            for _ in task["variants"]
        ]
    found: list[Answer] = future.result()
    return [
        _unpacked(answer, Path(variant["into"]))
        for answer, variant in zip(found, task["variants"], strict=True)
    ]


def _unpacked(answer: Answer, into: Path) -> Answer:
    """Write the files that came with an answer, and check their hashes."""
    files: Mapping[str, bytes] = answer.pop("content", {})
    try:
        into.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            if Path(name).name != name or hashlib.sha256(content).hexdigest() != answer["files"].get(name):
                return {**answer, "state": "failed", "error": f"{name} was damaged on its way"}
            (into / name).write_bytes(content)
    except OSError as error:
        state = "full" if error.errno in FULL else "failed"
        return {**answer, "state": state, "error": f"cannot be written ({error.strerror})"}
    return answer


def remote(task: Task, limit: float) -> list[Answer]:
    """Run one task in a worker process on a machine of the cluster, and pack its files."""
    if library_digest() != task["library"]:
        problem = "a machine of the cluster has another version of formparts"
        return [{"state": "failed", "error": problem, "seconds": 0.0} for _ in task["variants"]]
    with tempfile.TemporaryDirectory() as scratch:
        variants = [
            {**variant, "into": str(Path(scratch, variant["folder"]))} for variant in task["variants"]
        ]
        local = {
            "recipe": _recipe_here(task),
            "text": task["text"],
            "wanted": task["wanted"],
            "all_checks": task["all_checks"],
            "fea": task["fea"],
            "variants": variants,
        }
        found = pool.asked(_worker_here(), local, limit)
        return [
            {**answer, "content": _content(Path(variant["into"]), answer)}
            for answer, variant in zip(found, variants, strict=True)
        ]


def _content(folder: Path, answer: Answer) -> dict[str, bytes]:
    return {name: (folder / name).read_bytes() for name in answer.get("files", {})}


def _recipe_here(task: Task) -> str:
    """Return the path of the recipe's source on this machine: written once for each version of it."""
    from distributed import get_worker

    text = task["text"].encode("latin-1")
    mark = hashlib.sha256(text).hexdigest()[:16]
    folder = Path(get_worker().local_directory) / f"formparts-{mark}"
    path = folder / f"{task['stem']}.py"
    if not path.is_file():
        folder.mkdir(parents=True, exist_ok=True)
        draft = folder / f".{threading.get_ident()}.py"
        draft.write_bytes(text)
        draft.replace(path)
    return f"{path}:{task['name']}"


def _worker_here() -> pool.Worker:
    """Return the worker process beside this thread of the cluster's, which ends with it."""
    from distributed import get_worker

    kept: dict[int, pool.Worker] = vars(get_worker()).setdefault("formparts_workers", {})
    place = threading.get_ident()
    worker = kept.get(place)
    if worker is None or worker.worn:
        if worker is not None:
            pool.ended(worker)
        worker = kept[place] = pool.started()
    return worker
