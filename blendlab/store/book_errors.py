"""What the book refuses to write, and why."""

from __future__ import annotations

from blendlab.errors import BlendlabError


class Short(BlendlabError, RuntimeError):
    """A lot holds less than was to be drawn; nothing was written."""

    def __init__(self, lot: str, asked_g: float, left_g: float) -> None:
        self.lot, self.asked_g, self.left_g = lot, asked_g, left_g
        super().__init__(
            f"Lot {lot} holds {left_g:g} g; {asked_g:g} g were to be drawn. Nothing was written."
        )


class AlreadyWritten(BlendlabError, RuntimeError):
    """A line that stands in the book already; only a correction may follow it."""

    def __init__(self, what: str) -> None:
        self.what = what
        super().__init__(f"{what} stands in the book already. Correct that line instead.")


class Refused(BlendlabError, RuntimeError):
    """An act that a rule of the book forbids; nothing was written."""
