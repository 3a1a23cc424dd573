"""What may be asked of the law, whoever speaks: the law alone (`code.LawAlone`), or all that binds one site (`binding.BindingRules`)."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from docgen.codes.model import Answer

__all__ = ["Law"]


class Law(Protocol):
    """A speaker of the law for one place, one sector and one day. `units` (us or si) are those it prints first."""

    @property
    def code(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def sector(self) -> str: ...
    @property
    def on(self) -> date: ...
    @property
    def units(self) -> str: ...

    def ask(self, key: str, on: date | None = None) -> Answer:
        """The answer to a question of the fixed list. CodeError for a question that is not in it or has no answer on that day."""
        ...
