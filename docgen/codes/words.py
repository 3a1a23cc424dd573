"""The wording of items and limits in one language; every figure in it comes from an answer."""

import re
from collections.abc import Callable, Mapping
from typing import Any

from docgen.codes.folder import Folder
from docgen.codes.model import Answer
from docgen.errors import CodeError

__all__ = ["Words"]

Ask = Callable[[str], Answer]
_SLOT = re.compile(r"\{([a-z_]+)(?::(limit))?\}")


class Words:
    """Wording in `language`, looked up along what a set extends; a missing key is an error."""

    def __init__(self, chain: tuple[Folder, ...], language: str, ask: Ask, plain: Mapping[str, str]):
        self.language = language
        self._ask = ask
        self._plain = plain
        self._own = chain[0].index.get("languages", [None])[0]
        self._files = [link.file(f"words/{language}.yaml") for link in chain]
        self._name = chain[0].path.name

    def item(self, name: str) -> str:
        """The wording of an item of a list or of a choice."""
        return self._find("items", name)

    def general(self, name: str) -> str:
        """A general sentence: convenience, authority, to_be_verified, memory, silent, no_approval, regional_plan."""
        return self._fill(self._find("general", name))

    def limit(self, answer: Answer) -> str:
        """A limit as said: `less than 310 lb (140 kg)`, `4 ft (1.2 m) or more`; a plain figure stays as it is."""
        if answer.bound == "neither":
            return self.answer(answer)
        side = "inside" if answer.inclusive else "outside"
        return self._find("limits", f"{answer.bound}-{side}").format(answer.text)

    def answer(self, answer: Answer) -> str:
        """The value of an answer in this language: figure, items, or statement (under `answers` in other languages)."""
        if answer.silent:
            told = f"on which {answer.jurisdiction} is silent; let the duty rest on it"
            raise CodeError(f"{self._name}/words/{self.language}.yaml needs an answer to '{answer.key}', {told}")
        if answer.given_by:  # in the words of the person who read it
            return answer.text if answer.figure is not None else answer.says
        if isinstance(answer.value, tuple):
            return "; ".join(self.item(name) for name in answer.value)
        if isinstance(answer.value, str) and answer.kind == "choice":
            return self.item(answer.value)
        if answer.kind in ("text", "flag"):
            return answer.says if self.language == self._own else self._find("answers", answer.key)
        return answer.text

    def _find(self, section: str, key: str) -> str:
        return str(self._entry(section, key))

    def _entry(self, section: str, key: str) -> Any:
        for words in self._files:
            found = words[section].get(key) if section in words else None
            if found is not None:
                return found
        told = f"has no {section}: {key}; add it, or take the language off the site"
        raise CodeError(f"{self._name}/words/{self.language}.yaml {told}")

    def _fill(self, text: str) -> str:
        def slot(match: re.Match[str]) -> str:
            if match[1] in self._plain:
                return self._plain[match[1]]
            answer = self._ask(match[1])
            return self.limit(answer) if match[2] else self.answer(answer)

        return _SLOT.sub(slot, text)
