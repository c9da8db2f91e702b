"""The files of a part, written together: the request is checked before anything is written."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TypeAlias

from formparts.errors import FileProofError, FormpartsError, InputError
from formparts.export import DXF_VERSIONS, STEP_SCHEMAS, delivery, require_free
from formparts.export.files import is_device
from formparts.quantities import shown_value
from formparts.writers import writers_of

if TYPE_CHECKING:
    from formparts.fea import FeaOrder, Study
    from formparts.part.part import Part


Told: TypeAlias = "Callable[[str, int, int], None] | None"
"""Called for each file before it is written: its name, how many are written, of how many."""


def delivered_files(
    part: Part,
    out: str | os.PathLike[str],
    kinds: Sequence[str],
    stem: str,
    fea: FeaOrder | None,
    overwrite: bool,
    given: Mapping[str, Any],
    progress: Told = None,
) -> tuple[Path, ...]:
    """Deliver files of some kinds as a whole: all of the new, or all of the old."""
    check_versions(str(given["version"]), str(given["schema"]))
    names = file_names(plain_name(stem), kinds, fea)
    require_free(out, "make", names, overwrite)
    study, refused = _studied(part, fea)
    with delivery(out, "make", names, overwrite) as drafts:
        files = written_into(drafts, part, kinds, stem, study, given, progress)
    if refused is not None:  # the other files are kept all the same
        raise refused
    return tuple(Path(out, path.name) for path in files)


def _studied(part: Part, fea: FeaOrder | None) -> tuple[Study | None, FormpartsError | None]:
    """The study that was asked for, or why there is none."""
    try:
        return (None if fea is None else part.study(fea)), None
    except (InputError, FileProofError) as refused:
        return None, refused


def written_into(
    folder: Path,
    part: Part,
    kinds: Sequence[str],
    stem: str,
    study: Study | None = None,
    given: Mapping[str, Any] = MappingProxyType({}),
    progress: Told = None,
) -> tuple[Path, ...]:
    """Write files of some kinds into a folder that this process alone uses."""
    options = {**given, "study": study, "audited": "solid" in kinds}
    written = []
    writers = writers_of(kinds)
    for number, writer in enumerate(writers):
        if progress is not None:
            progress(f"{stem}{writer.ending}", number, len(writers))
        path = folder / f"{stem}{writer.ending}"
        writer.write(part, path, {option: options[option] for option in writer.options if option in options})
        written.append(path)
    return (*written, *_study_files(study, folder / stem))


def file_names(stem: str, kinds: Sequence[str], fea: FeaOrder | None = None) -> list[str]:
    """Names of all files that are written for some kinds."""
    ends = [writer.ending for writer in writers_of(kinds)]
    if fea is not None:
        from formparts.fea.studies import file_endings

        ends += file_endings(fea)
    return [f"{stem}{end}" for end in ends]


def _study_files(study: Study | None, base: Path) -> Sequence[Path]:
    """Write the files of a study, if there is one."""
    if study is None:
        return ()
    from formparts.fea import write_study

    return write_study(study, base.with_name(f"{base.name}-{study.mesh.kind}"))


def check_versions(dxf: str, step: str) -> None:
    """Refuse a version that is not written, before anything is."""
    for name, given, known in (("DXF version", dxf, DXF_VERSIONS), ("STEP schema", step, STEP_SCHEMAS)):
        if given not in known:
            fix = f"choose from {', '.join(known)}"
            raise InputError("make", name, shown_value(given), "is not written", fix)


def plain_name(stem: str) -> str:
    """What files' names begin with; one that would lead out of their folder, on any system, is refused."""
    if not isinstance(stem, str) or stem in (".", "..") or re.search(r"[/\\:\0]", stem) or is_device(stem):
        problem = "is not a plain name: files would leave the folder"
        raise InputError("make", "stem", shown_value(stem), problem, "give a name without /, \\ and :")
    return stem
