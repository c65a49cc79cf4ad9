"""The one family of errors: what was wrong, where, and the remedy.

Every refusal that reaches a maker is one sentence in three parts, so that it can be printed, shown on
a page or sent as JSON without being taken apart again.
"""

from __future__ import annotations


class CulmwrightError(Exception):
    """Anything culmwright refuses or cannot answer, said in words.

    ``what`` is the fault, ``where`` the file, key, argument or place it sits in, ``remedy`` what to do.
    ``exit_code`` is the command's exit status.
    """

    exit_code = 2

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        sentence = f"{head}. {self.remedy}." if self.remedy else f"{head}."
        return "".join(character if character.isprintable() else " " for character in sentence)

    def at(self, where: str) -> CulmwrightError:
        """The same error seen from further out: ``where`` is put before the place it already names."""
        place = f"{where}, {self.where}" if self.where else where
        return type(self)(self.what, where=place, remedy=self.remedy)


class BadInput(CulmwrightError):
    """Something typed, written or asked for that cannot be used. Exit code 2."""


class AnswerIsNo(CulmwrightError):
    """The question was understood and the answer is no, or there is none. Exit code 1."""

    exit_code = 1
