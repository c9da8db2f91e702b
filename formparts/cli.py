"""The command `formparts` and its subcommands. Exits 0 when all is well, 1 when a check fails, 2 on bad input."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from formparts import __version__
from formparts.commands import (
    assemble,
    check,
    compare,
    draw,
    family,
    make,
    manual,
    materials,
    new,
    plan,
    recipe,
    region,
    solve,
    strips,
    unfold,
    verify,
    watch,
)
from formparts.commands.values import arranged
from formparts.errors import FileProofError, FormpartsError, InputError, KernelError, OwnFaultError
from formparts.kernel import own_process
from formparts.quantities import shown_value

WELL, CHECK_FAILED, BAD_INPUT, STOPPED = 0, 1, 2, 130
LONGEST_LINE = 4000
"""Longest message [characters]."""


class _Parser(argparse.ArgumentParser):
    """Reports what is wrong with the command in one line."""

    def error(self, message: str) -> NoReturn:
        raise InputError(
            "formparts",
            "command",
            shown_value(" ".join(sys.argv[1:]) or "none"),
            message,
            f"see {self.prog} --help",
        )


def command() -> int:
    """Run the command in a process of its own: with streams that last, whoever reads them."""
    from formparts.commands.streams import own_streams, said_lost

    output = own_streams()
    code = own_process(main)
    said_lost(output)
    return code


def main(arguments: Sequence[str] | None = None) -> int:
    """
    Run the command.

    Parameters
    ----------
    arguments : sequence of str or None
        The arguments after the command's name; those of the process when none are given.

    Returns
    -------
    int
        0 when all is well, 1 when a check fails, 2 on bad input.
    """
    # A file's name need not be text that the terminal can show.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    given = list(sys.argv[1:] if arguments is None else arguments)
    debug = given[:1] == ["--debug"]
    try:
        options = _parser().parse_args(arranged(given[debug:]))
        code = int(options.run(options))
        sys.stdout.flush()
        return code
    except InputError as error:
        return _fail(error, BAD_INPUT)
    except (FileProofError, KernelError) as error:
        return _fail(error, CHECK_FAILED)
    except OwnFaultError as error:
        return _slipped(error, debug)
    except FormpartsError as error:
        return _fail(error, BAD_INPUT)
    except RecursionError:
        problem = "is nested too deeply to be read"
        return _fail(InputError("formparts", "input", "unreadable", problem, "give a plainer one"), BAD_INPUT)
    except MemoryError:
        problem = "does not fit into this machine's memory"
        return _fail(InputError("formparts", "input", "too large", problem, "give a smaller one"), BAD_INPUT)
    except BrokenPipeError:
        # Whoever read our output has gone (as `head` does); there is nobody left to tell, and what is still
        # to be flushed at the end goes nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return WELL
    except KeyboardInterrupt as stopped:
        left = str(stopped) or "finished files are whole, nothing is half-written"
        print(f"formparts: stopped; {left}", file=sys.stderr)
        return STOPPED
    except OSError as error:
        return _fail(_of_the_system(error), BAD_INPUT)
    except Exception as error:  # noqa: BLE001  any error in formparts
        return _slipped(OwnFaultError.of("formparts", error), debug)


def _slipped(error: OwnFaultError, debug: bool) -> int:
    """Report an error of formparts in one line, and keep its trace in a file."""
    from tempfile import NamedTemporaryFile

    if debug:
        print(error.trace, file=sys.stderr)
        return _fail(error, CHECK_FAILED)
    with NamedTemporaryFile("w", prefix="formparts-fault-", suffix=".log", delete=False) as log:
        log.write(f"formparts {__version__}: formparts {' '.join(sys.argv[1:])}\n\n{error.trace}")
    status = _fail(error, CHECK_FAILED)
    print(f"the trace is in {log.name}; formparts --debug COMMAND shows it", file=sys.stderr)
    return status


def _fail(error: FormpartsError, code: int) -> int:
    words = "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode()
        for sign in " ".join(str(error).split())[: LONGEST_LINE + 1]
    )
    print(words if len(words) <= LONGEST_LINE else f"{words[:LONGEST_LINE]}...", file=sys.stderr)
    return code


def _of_the_system(error: OSError) -> FormpartsError:
    """Report an error of the system that nothing checked before: a name too long, a disk that went away."""
    name = shown_value(error.filename) if error.filename is not None else "a file or a folder"
    problem = (error.strerror or type(error).__name__).lower()
    return InputError("formparts", "path", name, problem, "give another")


def _parser() -> _Parser:
    parser = _Parser(
        prog="formparts",
        description="Solid models of bent sheet parts, with their blank, mass, checks and proof, from recipes.",
        epilog="Exits 0 when all is well, 1 when a check fails, 2 on bad input.",
    )
    parser.add_argument(
        "--debug", action="store_true", help="show the trace when formparts itself fails; before COMMAND"
    )
    parser.add_argument("--version", action="version", version=f"formparts {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    listed = commands.add_parser("list", help="the recipes that can be made")
    listed.set_defaults(run=_list)
    described = commands.add_parser("describe", help="what a recipe makes, and its parameters")
    described.add_argument("recipe", metavar="RECIPE", help="a recipe's name, or path/to/file.py:function")
    described.add_argument(
        "--picture",
        metavar="FILE",
        default="",
        help="also a drawing with the parameters' names at the dimensions that they move: .svg, .pdf or .dxf",
    )
    described.set_defaults(run=_describe)
    make.add_parser(commands)
    check.add_parser(commands)
    draw.add_parser(commands)
    plan.add_parser(commands)
    compare.add_parser(commands)
    family.add_parser(commands)
    assemble.add_parser(commands)
    region.add_parser(commands)
    solve.add_parser(commands)
    materials.add_parser(commands)
    new.add_parser(commands)
    strips.add_parser(commands)
    unfold.add_parser(commands)
    recipe.add_parser(commands)
    verify.add_parser(commands)
    watch.add_parser(commands)
    manual.add_parser(commands)
    return parser


def _list(options: argparse.Namespace) -> int:
    """
    Print the recipes and assemblies that can be found.

        $ formparts list
    """
    from formparts.assembly_recipes import loadable_assemblies
    from formparts.recipe_functions import listing, loadable_recipes

    del options
    (parts, bad), (wholes, worse) = loadable_recipes(), loadable_assemblies()
    print(listing([*parts, *(found.recipe for found in wholes)]))
    for error in (*bad, *worse):
        _fail(error, CHECK_FAILED)
    return CHECK_FAILED if bad or worse else WELL


def _describe(options: argparse.Namespace) -> int:
    """
    Print what a recipe makes, and its parameters.

        $ formparts describe angle_bracket
    """
    from formparts.recipe_functions import describe, find_recipe
    from formparts.recipe_functions.discovery import assembly_names

    name = options.recipe
    if name in assembly_names() or ".py:" in name:
        from formparts.assembly_recipes import find_assembly, names_assembly

        if names_assembly(name):
            print(describe(find_assembly(name).recipe))
            if options.picture:
                fix = f"draw it: formparts draw {name}"
                raise InputError("describe", "--picture", name, "is an assembly, not a part", fix)
            return WELL
    recipe = find_recipe(name)
    print(describe(recipe))
    if options.picture:
        from formparts.drawings import write_drawing

        path = write_drawing(recipe.part().drawing("A2", names=True), options.picture)
        print(f"\npicture of the parameters: {path}")
    return WELL
