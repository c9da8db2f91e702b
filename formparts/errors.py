"""The errors of the library, all in one tree.

FormpartsError
|- InputError (ValueError)         what was given cannot be built
|  |- UnitsError                   ... because its unit is missing, unknown or of another kind
|- FileProofError (RuntimeError)   a written file failed its read-back and was not delivered
|- KernelError (RuntimeError)      the solid kernel failed on what we let pass: our fault
|- OwnFaultError (RuntimeError)    formparts itself has slipped: our fault, whatever the input
"""

from __future__ import annotations


class FormpartsError(Exception):
    """Base of every error that this library raises on purpose."""


class InputError(FormpartsError, ValueError):
    """
    What was given cannot be built: one line that says what, where, by how much, and a way out.

    Parameters
    ----------
    where : str
        The recipe, builder or file that was asked.
    parameter : str
        The name of the parameter, as the caller knows it.
    value : object
        What was given; a number is shown with `unit` behind it.
    problem : str
        What is wrong, by how much.
    fix : str
        What is allowed, and a way out with a figure.
    unit : str
        Unit of the value: `mm`, `deg`, `kg` or none.

    Examples
    --------
    >>> try:
    ...     rectangle(40, -25)
    ... except InputError as error:
    ...     print(error)
    rectangle: width = -25 mm: smaller than the least, 0.001 mm; at least 0.001 mm is allowed
    """

    def __init__(
        self, where: str, parameter: str, value: object, problem: str, fix: str = "", unit: str = ""
    ) -> None:
        super().__init__(where, parameter, value, problem, fix, unit)
        self.where = where
        self.parameter = parameter
        self.value = value
        self.problem = problem
        self.fix = fix
        self.unit = unit

    def __str__(self) -> str:
        shown = f"{self.value:.6g}" if isinstance(self.value, float) else str(self.value)
        unit = f" {self.unit}" if self.unit and isinstance(self.value, (int, float)) else ""
        head = f"{self.where}: {self.parameter} = {shown}{unit}: {self.problem}"
        return f"{head}; {self.fix}" if self.fix else head

    def located(self, where: str) -> InputError:
        """Return the same error at another place: a recipe puts its own name before that of the flat or bend."""
        parameter = self.parameter if self.where == where else f"{self.where} {self.parameter}"
        return type(self)(where, parameter, self.value, self.problem, self.fix, self.unit)


class UnitsError(InputError):
    """The unit is missing, unknown, or measures something else."""


class FileProofError(FormpartsError, RuntimeError):
    """
    A written file did not read back as what was meant; it was not delivered.

    Parameters
    ----------
    path : str
        The file that was to be written.
    problem : str
        What differed, with both figures.
    """

    def __init__(self, path: str, problem: str) -> None:
        super().__init__(path, problem)
        self.path = path
        self.problem = problem

    def __str__(self) -> str:
        return f"{self.path}: not delivered: {self.problem}"


class KernelError(FormpartsError, RuntimeError):
    """
    The solid kernel failed on something that was let pass: our fault, please report it.

    Parameters
    ----------
    where : str
        What was being made.
    cause : str
        The kernel's own words.
    reproduce : str
        What makes it happen again (a recipe and its parameters, or a body's text).
    """

    def __init__(self, where: str, cause: str, reproduce: str = "") -> None:
        super().__init__(where, cause, reproduce)
        self.where = where
        self.cause = cause
        self.reproduce = reproduce

    def __str__(self) -> str:
        again = f"; to reproduce: {self.reproduce}" if self.reproduce else ""
        return f"{self.where}: the solid kernel failed ({self.cause}); this is a fault of formparts{again}"


class OwnFaultError(FormpartsError, RuntimeError):
    """
    A slip in formparts itself, and not a fault of what was given: please report it.

    Parameters
    ----------
    where : str
        What was being done, or the file that was being read.
    cause : str
        The error's kind and words, and the line that raised it.
    trace : str
        The whole trace.
    """

    def __init__(self, where: str, cause: str, trace: str = "") -> None:
        super().__init__(where, cause, trace)
        self.where = where
        self.cause = cause
        self.trace = trace

    @classmethod
    def of(cls, where: str, error: BaseException) -> OwnFaultError:
        """
        Put an unforeseen error into words.

        Parameters
        ----------
        where : str
            What was being done.
        error : BaseException
            What was raised.

        Returns
        -------
        OwnFaultError
        """
        import traceback
        from pathlib import Path

        frames = traceback.extract_tb(error.__traceback__)
        at = f", {Path(frames[-1].filename).name} line {frames[-1].lineno}" if frames else ""
        words = " ".join(f"{type(error).__name__}: {error}".split())
        return cls(where, words + at, "".join(traceback.format_exception(error)))

    def __str__(self) -> str:
        return f"{self.where}: formparts itself failed ({self.cause}); this is a fault of formparts"
