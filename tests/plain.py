"""How a paper reads: words, lengths of sentences, grade by Flesch and Kincaid, and sentences without a verb.

    .venv/bin/python tests/plain.py PAPER.md [PAPER.md ...]     a line a paper; --sentences lists the longest and those without a verb

Grade and lengths are taken over sentences of paragraphs, lists and boxes; tables, headings, captions and definitions are left out of these
and counted among the words. Grade: 0.39 words/sentences + 11.8 syllables/words - 15.59, J. P. Kincaid and others, Derivation of new
readability formulas, Naval Technical Training Command, Research Branch Report 8-75, 1975; basis: memory. Syllables are counted by the
letters with a list of exceptions; a figure counts as one. The verb is a warning lamp: words that may be a noun or a verb count as a verb only
where a verb can stand.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element

sys.path.insert(0, str(Path(__file__).resolve().parent))

import yaml

from docgen.compose.tree import parse

__all__ = ["Read", "grade", "has_verb", "read", "sentences_of", "syllables"]

WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
SHORT_QUESTION = 3  # words of a question that may lack its verb: "No answer?"
OUTSIDE = ("table", "dl", "h1", "h2", "h3", "h4", "figure")  # of what is read as sentences

_KNOWN = yaml.safe_load(Path(__file__).with_suffix(".yaml").read_text(encoding="utf-8"))
#: Syllables of words that the letters tell wrongly.
SYLLABLES = {word: count for count, words in _KNOWN["syllables"].items() for word in words.split()}

#: Verbs that are hardly ever anything else here, as they stand.
CLEAR = frozenset(_KNOWN["clear"].split())
#: Words that are a verb only where a verb can stand: first, or after a word that calls for one.
EITHER = frozenset(_KNOWN["either"].split())
#: What a verb of the second list may follow.
BEFORE = frozenset(_KNOWN["before"].split())


def syllables(word: str) -> int:
    """Syllables of one word, at least one.

    >>> [syllables(w) for w in ("cat", "platypus", "harness", "arrested", "rescued", "vehicle", "table")]
    [1, 3, 2, 3, 2, 3, 2]
    """
    plain = word.lower().replace("’", "'")
    if "-" in plain:
        return sum(syllables(part) for part in plain.split("-") if part)
    if plain in SYLLABLES:
        return SYLLABLES[plain]
    bare = plain.removesuffix("'s").removesuffix("'")
    if bare in SYLLABLES:
        return SYLLABLES[bare]
    count = len(re.findall(r"[aeiouy]+", bare))
    if re.search(r"[^aeiouy]e$", bare) and not re.search(r"[^aeiouyl]le$", bare):
        count -= 1  # the last e is silent, but not in "table"
    elif re.search(r"[^aeiouytd]ed$", bare) and not re.search(r"[^aeiouyl]led$", bare):
        count -= 1  # "stopped" has one, "arrested" its three
    elif (re.search(r"[^aeiouyscxzg]es$", bare) and not re.search(r"([sc]h|[^aeiouyl]l)es$", bare)) or re.search(
        r"[^aeiouy]e(ly|ment|ments|less|ful|ness)$", bare
    ):
        count -= 1
    count += len(
        re.findall(r"(?<![tscg])i(?:a|o|u)|[tc]ia[lt]e|eo|[aeou]ing$|eate", bare)
    )  # two vowels that are spoken apart, but not in -tion, -cial
    return max(count, 1)


def grade(text: list[str]) -> float:
    """The grade by Flesch and Kincaid of some sentences."""
    words = [word for sentence in text for word in sentence.split() if re.search(r"\w", word)]
    if not words:
        return 0.0
    spoken = sum(sum(map(syllables, WORD.findall(word))) or 1 for word in words)
    return 0.39 * len(words) / len(text) + 11.8 * spoken / len(words) - 15.59


def sentences_of(text: str) -> list[str]:
    """A text cut at the ends of its sentences: a full stop after a figure or a single capital letter ends none unless a capital follows a blank.

    >>> sentences_of("Stop. Call 911 from the bay phone. It is 9.7 ft high; ask J. Whitlow.")
    ['Stop.', 'Call 911 from the bay phone.', 'It is 9.7 ft high; ask J. Whitlow.']
    """
    cut = re.split(
        r"(?:(?<=[.!?])(?<!\b[A-Z]\.)(?<!\bNo\.)(?<!\b[cs]\.)(?<!\bss\.)|(?<=[.!?][\"'”’)]))\s+(?=[\"'“‘(]*[A-Z0-9])",
        " ".join(text.split()),
    )
    return [part for part in cut if re.search(r"\w", part)]


def has_verb(sentence: str) -> bool:
    """Whether a sentence has a word that is a verb where it stands.

    >>> has_verb("Attach to the back ring."), has_verb("The bay is closed."), has_verb("Emergency stop."), has_verb("More: plan HR-1, control room.")
    (True, True, False, False)
    """
    words = [word.lower().replace("’", "'") for word in WORD.findall(sentence)]
    if any(word in CLEAR for word in words):
        return True
    first = words[0] if words else ""
    if first in EITHER and not sentence.rstrip().endswith(":"):
        return len(words) > 1 or sentence.endswith((".", "!"))
    after = re.match(r"(?:[\w'-]+ ){0,3}[\w'-]+: ([^\W\d_]+)", sentence)  # "Climber: pull the line hard."
    if after and after[1].lower() in EITHER:
        return True
    return any(
        word in EITHER and (before in BEFORE or (before.endswith("s") and not before.endswith("ss")))
        for before, word in pairwise(words)
    )


def _text(element: Element) -> str:
    """The visible text, with a blank between blocks."""
    parts: list[str] = []

    def gather(node: Element) -> None:
        if node.tag == "blank":
            parts.append(" ____ ")
            return
        if node.tag == "caption" and node.get("class") == "silent":  # which no page shows
            return
        if node.text:
            parts.append(node.text)
        for child in node:
            gather(child)
            if child.tail:
                parts.append(child.tail)
        if node.tag in ("p", "li", "td", "th", "tr", "dd", "dt", "br", "caption", "title", "h1", "h2", "h3", "h4"):
            parts.append(" ")

    gather(element)
    return " ".join("".join(parts).split())


def _blocks(element: Element) -> Iterator[Element]:
    """The blocks that are read as sentences: paragraphs, and items of lists without blocks in them."""
    for child in element:
        if child.tag in OUTSIDE or "caption" in child.get("class", "").split():
            continue
        if child.tag == "p" or (child.tag == "li" and not any(inner.tag in ("p", "ul", "ol") for inner in child)):
            yield child
        else:
            yield from _blocks(child)


@dataclass(frozen=True)
class Read:
    """One paper as it reads: all its visible words, and its sentences."""

    words: int
    sentences: tuple[str, ...]

    @cached_property
    def lengths(self) -> tuple[int, ...]:
        """Words of each sentence."""
        return tuple(sum(1 for word in sentence.split() if re.search(r"\w", word)) for sentence in self.sentences)

    @property
    def mean(self) -> float:
        """Words a sentence."""
        return sum(self.lengths) / len(self.lengths) if self.lengths else 0.0

    @property
    def longest(self) -> int:
        """Words of the longest sentence."""
        return max(self.lengths, default=0)

    @property
    def grade(self) -> float:
        """Grade by Flesch and Kincaid."""
        return grade(list(self.sentences))

    @property
    def verbless(self) -> tuple[str, ...]:
        """Sentences without a verb; an item of a list that ends without a full stop is none, and a question of up to three words needs none."""
        return tuple(
            sentence
            for sentence, length in zip(self.sentences, self.lengths, strict=True)
            if sentence.endswith((".", "!", "?"))
            and not (sentence.endswith("?") and length <= SHORT_QUESTION)
            and not has_verb(sentence)
        )


def read(markdown: str) -> Read:
    """A paper out of its Markdown."""
    tree = parse(markdown)
    sentences = [s for block in _blocks(tree) for s in sentences_of(_text(block))]
    return Read(sum(1 for word in _text(tree).split() if re.search(r"\w", word)), tuple(sentences))


def main(arguments: list[str]) -> int:
    print(f"{'paper':<34} words  sentences  mean  longest  grade  without a verb")
    for path in (Path(a) for a in arguments if not a.startswith("--")):
        text = path.read_text(encoding="utf-8")
        found = read(text[re.search(r"^# ", text, re.MULTILINE).start() :])  # a draft may have its band above the title
        print(
            f"{path.stem:<34} {found.words:>5}  {len(found.sentences):>9}  {found.mean:>4.1f}  {found.longest:>7}  {found.grade:>5.1f}  {len(found.verbless):>5}"
        )
        if "--sentences" in arguments:
            longest = sorted(found.sentences, key=lambda s: -len(s.split()))[:5]
            print(*(f"    long: {s}" for s in longest), *(f"    verb? {s}" for s in found.verbless), sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
