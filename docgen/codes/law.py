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
    def code(self) -> str:
        """The code of the set, as ISO 3166-2 writes it, or the name of a standard."""
        ...

    @property
    def name(self) -> str:
        """The place or standard in words."""
        ...

    @property
    def sector(self) -> str:
        """general-industry or construction."""
        ...

    @property
    def on(self) -> date:
        """The day for which it answers."""
        ...

    @property
    def units(self) -> str:
        """The units it prints first, us or si."""
        ...

    def ask(self, key: str, on: date | None = None) -> Answer:
        """The answer to a question of the fixed list. CodeError for a question that is not in it or has no answer on that day."""
        ...

    def held_to(self, key: str) -> Answer | None:
        """The answer to which a site is held; None where the text is silent or only advises. CodeError as `ask`."""
        ...

    def figure(self, key: str) -> float | None:
        """The figure in SI to which a site is held; None where the text is silent or only advises. CodeError as `ask`."""
        ...
