"""The only exceptions raised on purpose; each says what, where and what to try."""

from collections.abc import Iterable
from dataclasses import dataclass

from buckle.marked import plain

SHOWN = 80
"""Longest value or key that a message repeats in full, in characters."""


class BuckleError(Exception):
    """Base of all errors that a user can mend."""

    def __str__(self) -> str:
        """Return what is wrong, quantities in bar and mm."""
        return plain(super().__str__())


class CaseError(BuckleError):
    """A case or study file, a key of it, or an argument is wrong; exit code 2. The text has one line for each fault."""

    def __init__(self, message: str, faults: "Iterable[Fault]" = ()) -> None:
        super().__init__(message)
        self.faults = tuple(faults)


@dataclass(frozen=True)
class Fault:
    """One thing wrong with an input file."""

    key: str
    problem: str
    value: object = None
    allowed: str = ""
    line: int | None = None

    def __str__(self) -> str:
        """Return 'key: problem; got VALUE; allowed ALLOWED'."""
        got = "" if self.value is None else f"; got {clipped(repr(self.value))}"
        ending = f"; allowed: {self.allowed}" if self.allowed else ""
        return printable(f"{clipped(self.key)}: {self.problem}{got}{ending}")


def printable(text: str, *, spaces: str = "") -> str:
    """Return a text with every character that cannot be printed as its escape, but for the `spaces`.

    What a terminal would obey, a line end among it, is shown instead.
    """
    return "".join(
        each if each.isprintable() or each in spaces else each.encode("unicode_escape").decode() for each in text
    )


def clipped(text: str, longest: int = SHOWN) -> str:
    """Return a text of others as far as a message repeats it; what is left out shows."""
    return text if len(text) <= longest else f"{text[:longest]}..."


class ShapeError(BuckleError):
    """A shape cannot close; names the dimension to change and the interval that would do.

    `likely` is the interval [mm] in which the dimension would lie if its unit is a slip; None where no slip is likely.
    """

    def __init__(
        self, key: str, value: object, problem: str, allowed: str = "", likely: tuple[float, float] | None = None
    ) -> None:
        super().__init__(f"{key}: {problem}; got {value!r}" + (f"; allowed: {allowed}" if allowed else ""))
        self.fault = Fault(key, problem, value, allowed)
        self.likely = likely


class ContentsError(BuckleError):
    """A filled container cannot be as its contents say; names quantity, value [internal unit], what would do."""

    def __init__(self, key: str, value: object, problem: str, allowed: str = "") -> None:
        super().__init__(f"contents.{key}: {problem}" + (f"; allowed: {allowed}" if allowed else ""))
        self.fault = Fault(key, problem, value, allowed)


class SolveError(BuckleError):
    """No usable state was found; carries a remedy."""

    def __init__(self, reason: str, remedy: str) -> None:
        super().__init__(f"{reason}; try: {remedy}")
        self.reason = reason
        self.remedy = remedy


class PathEndError(SolveError):
    """The path was followed as far as makes sense and no limit was met."""


class UnfitError(SolveError):
    """A model cannot be made of a case; `table` and `key` of the case file say what asks for something it has not."""

    def __init__(self, reason: str, remedy: str, table: str, key: str = "") -> None:
        super().__init__(reason, remedy)
        self.table = table
        self.key = key
