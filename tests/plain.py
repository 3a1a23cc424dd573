"""How a paper reads: words, lengths of sentences, grade by Flesch and Kincaid, and sentences without a verb.

    .venv/bin/python tests/plain.py PAPER.md [PAPER.md ...]     a line a paper; --sentences lists the longest and those without a verb

Grade and lengths are taken over sentences of paragraphs, lists, boxes and definitions; tables, headings and captions are left out of these
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
from pathlib import Path
from xml.etree.ElementTree import Element

sys.path.insert(0, str(Path(__file__).resolve().parent))

from docgen.compose.tree import parse

__all__ = ["Read", "grade", "has_verb", "read", "sentences_of", "syllables"]

WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
OUTSIDE = ("table", "h1", "h2", "h3", "h4", "figure")  # of what is read as sentences

#: Syllables of words that the letters tell wrongly.
SYLLABLES = {
    "area": 3, "areas": 3, "being": 2, "client": 2, "diesel": 2, "driver": 2, "drivers": 2, "every": 2, "everyone": 3, "fire": 1, "going": 2,
    "hour": 1, "hours": 1, "idea": 3, "ladder": 2, "lion": 2, "leave": 1, "maker": 2, "makers": 2, "makers'": 2, "minute": 2, "people": 2,
    "period": 3, "person": 2, "quiet": 2, "radio": 3, "radios": 3, "science": 2, "someone": 2, "something": 2, "sometimes": 2, "somewhere": 2, "trailer": 2,
    "trailers": 2, "vehicle": 3, "vehicles": 3, "video": 3, "violent": 3, "material": 4, "previous": 3, "medical": 3, "create": 2, "created": 3, "react": 2,
    "reach": 1, "area's": 3, "hybrid": 2, "creature": 2, "reptilian": 3, "australian": 3, "rescuer": 3, "rescuers": 3, "employer": 3, "employers": 3, "mammal": 2, "various": 3, "serious": 3, "superior": 4, "interior": 4,
    "whole": 1, "safety": 2, "moment": 2, "document": 3, "wherever": 3, "whoever": 3, "anyone": 3, "therefore": 2, "mr": 2, "ft": 1, "lb": 1, "in": 1, "mph": 3,
    "moved": 1, "lowered": 2, "used": 1, "tied": 1, "died": 1, "tired": 1, "hired": 1, "fired": 1, "firefighters": 3, "wire": 1, "wires": 1, "carrier": 3, "carriers": 3,
    "lifesaving": 3, "lifeline": 2, "homemade": 2, "anywhere": 3, "nowhere": 2, "elsewhere": 2, "forehead": 2, "coincide": 3,
}  # fmt: skip

#: Verbs that are hardly ever anything else here, as they stand.
CLEAR = frozenset("""
am is are was were be been has have had do does did done must may might can could cannot isn't aren't don't doesn't
adds agrees allows answers appears applies approves asks assumes became become becomes begin begins belongs binds breaks breathe breathes bring brings build carries cause causes chooses
come comes compares contains counts cover covers decide decides depends describes differ differs drives dies die does ends enter enters exceeds expects fail fails fall falls find
finds fits follow follows forbids gave get gets give gives go goes govern governs grows hang hangs happen happens hear hears hit hits hold holds include includes
inspect inspects judges keep keeps kept knows know lasts lay lays lead leads learns leave leaves let lets lie lies listen listens lives locks look looks lose loses lowers make makes mean
means meet meets moves needs obey opens owes owns pass passes pay pays permits press prints proves put puts read reads receives refers refuse refuses regulates releases remain remains remove
removes replace replaces requires rests return returns retracts rise rises run runs said saw say says see sees seem sends send serve serves set sets shows sign signs sit sits slips speak speaks
stand stands start starts stay stays stopped stops supplies supports take takes taught teach tell tells think thinks tied ties took train trains treat treats tries try turn turns understand use uses wait waits
warn warns was wear wears went were wins works write writes attaches detaches attach detach chocks closes climbs rolls pulls lifts raises reaches reports rescues signals touches
assessed claims states stated wrote
called checked closed opened kept made moved released reviewed recorded shown stated tried written won't
""".split())  # fmt: skip
#: Words that are a verb only where a verb can stand: first, or after a word that calls for one.
EITHER = frozenset("""
answer anchor appeal approve ask assess block call care change charge check chain chock climb clip close commit complete connect consult cool correct count
cut date deliver dial disconnect drag drain drill drive drop dry end ensure escort examine face fasten feel fetch file fill fit fix fold free gauge ground guard guide hand head help hook
inform investigate issue isolate jump knock label land lift light list load lock log lower mark measure mind move name note notify number open order park point post practise practice present prevent
protect pull push question quit raise reach record release repair repeat report rescue rest review ring roll rope save scale seal secure share shout show shut signal slide slow smell sound step
stop store strap supply support swing switch tag talk test thank tighten time touch trace transfer trust tug unhook unlock untie vent visit walk wash watch weigh wipe withdraw work wrap adjust apply avoid
""".split())  # fmt: skip
#: What a verb of the second list may follow.
BEFORE = frozenset(
    "to must may can not never don't please then and or first always you we they nobody everyone i who that which also only immediately".split()
)


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
    elif re.search(r"[^aeiouyscxzg]es$", bare) and not re.search(r"([sc]h|[^aeiouyl]l)es$", bare):
        count -= 1
    elif re.search(r"[^aeiouy]e(ly|ment|ments|less|ful|ness)$", bare):
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
    cut = re.split(r"(?:(?<=[.!?])(?<!\b[A-Z]\.)(?<!\bNo\.)|(?<=[.!?][\"'”’)]))\s+(?=[\"'“‘(]*[A-Z0-9])", " ".join(text.split()))
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
    pairs = zip(words, words[1:], strict=False)
    return any(
        word in EITHER and (before in BEFORE or (before.endswith("s") and not before.endswith("ss"))) for before, word in pairs
    )


def _text(element: Element) -> str:
    """The visible text, with a blank between blocks."""
    parts: list[str] = []

    def gather(node: Element) -> None:
        if node.tag == "blank":
            parts.append(" ____ ")
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
    """The blocks that are read as sentences: paragraphs, and items of lists and definitions without blocks in them."""
    for child in element:
        if child.tag in OUTSIDE or "caption" in child.get("class", "").split():
            continue
        if child.tag == "p" or (child.tag in ("li", "dd") and not any(inner.tag in ("p", "ul", "ol") for inner in child)):
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
        """Sentences without a verb; an item of a list that ends without a full stop is none."""
        return tuple(s for s in self.sentences if s.endswith((".", "!", "?")) and not has_verb(s))


def read(markdown: str) -> Read:
    """A paper out of its Markdown."""
    tree = parse(markdown)
    sentences = [s for block in _blocks(tree) for s in sentences_of(_text(block))]
    return Read(sum(1 for word in _text(tree).split() if re.search(r"\w", word)), tuple(sentences))


def main(arguments: list[str]) -> int:
    print(f"{'paper':<34} words  sentences  mean  longest  grade  without a verb")
    for path in (Path(a) for a in arguments if not a.startswith("--")):
        found = read(path.read_text(encoding="utf-8"))
        print(
            f"{path.stem:<34} {found.words:>5}  {len(found.sentences):>9}  {found.mean:>4.1f}  {found.longest:>7}  {found.grade:>5.1f}  {len(found.verbless):>5}"
        )
        if "--sentences" in arguments:
            longest = sorted(found.sentences, key=lambda s: -len(s.split()))[:5]
            print(*(f"    long: {s}" for s in longest), *(f"    verb? {s}" for s in found.verbless), sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
