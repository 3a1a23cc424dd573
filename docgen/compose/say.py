"""What is lettered on a figure: words of the language, numbers rounded as in the tables."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from docgen import units
from docgen.errors import TemplateError
from docgen.site import Quantity

__all__ = ["Say"]


class Say:
    """The words file and the system of units of one composition."""

    def __init__(self, words: Mapping[str, Any], system: str) -> None:
        self.words, self.system = words, system

    def word(self, key: str, **values: str) -> str:
        """A text of the section `figures`, its fields filled in."""
        try:
            return str(self.words["figures"][key]).format(**values)
        except KeyError as error:
            raise TemplateError(f"the words have no figure text '{key}' with these fields ({error})") from None

    def term(self, key: str) -> str:
        """A value of the profile in words."""
        try:
            return str(self.words["terms"][key])
        except KeyError:
            raise TemplateError(f"the words have no term '{key}'") from None

    def need(self, quantity: Quantity | float, kind: str = "length") -> str:
        """Rounded up, in the governing unit."""
        return self._show(quantity, kind, "up")

    def have(self, quantity: Quantity | float, kind: str = "length") -> str:
        """Rounded down, in the governing unit."""
        return self._show(quantity, kind, "down")

    def near(self, quantity: Quantity | float, kind: str = "length") -> str:
        """Rounded to the nearest, in the governing unit."""
        return self._show(quantity, kind, "nearest")

    def _show(self, quantity: Quantity | float, kind: str, toward: str) -> str:
        value, kind = (quantity.si, quantity.kind) if isinstance(quantity, Quantity) else (quantity, kind)
        return units.show(value, kind, self.system, toward=toward, both=False).replace(" ", "\u00a0")
