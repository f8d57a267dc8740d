"""What went wrong, where, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """One fault in something a person wrote."""

    what: str
    """What is wrong, in one sentence without a full stop."""
    where: str
    """`FILE:LINE`, or the file alone where no line is to blame."""
    hint: str
    """What would be right."""

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; {self.hint}" if self.hint else f"{self.where}: {self.what}"


class SoldersideError(Exception):
    """Something a person can mend: says what, where and what to do."""

    def __init__(self, what: str, where: str = "", hint: str = "") -> None:
        super().__init__(what)
        self.what, self.where, self.hint = what, where, hint

    @property
    def faults(self) -> tuple[Fault, ...]:
        """The error as a list of faults: one, unless a child class carries more."""
        return (Fault(what=self.what, where=self.where, hint=self.hint),)

    def __str__(self) -> str:
        said = f"{self.where}: {self.what}" if self.where else self.what
        return f"{said}; {self.hint}" if self.hint else said


class FileFaults(SoldersideError):
    """A file with one or more faults, all found in one reading."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        first = faults[0]
        super().__init__(first.what, first.where, first.hint)
        self._faults = tuple(faults)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """All faults, in the order of their lines."""
        return self._faults

    def __str__(self) -> str:
        return "\n".join(map(str, self._faults))


class LogError(SoldersideError):
    """A build's log cannot be read or written."""


class Refused(SoldersideError):
    """What was asked for cannot be done as things stand; nothing was changed."""
