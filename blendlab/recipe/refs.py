"""A reference to one revision of something on the shelf."""

from __future__ import annotations

from dataclasses import dataclass

from blendlab.codec import Noun, choice, text

KINDS = ("pigment", "oil", "base", "jar", "scale", "ingredient", "lid", "label")


@dataclass(frozen=True, kw_only=True)
class Ref(Noun):
    """One revision of something on the shelf. `rev` is the digest of its content."""

    kind: str = choice(KINDS)
    id: str = text(80)
    rev: str = text(64, default="")

    @property
    def key(self) -> str:
        """Key under which a save embeds this revision: ``kind:id@rev``."""
        return f"{self.kind}:{self.id}@{self.rev}"
