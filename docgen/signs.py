"""Signs that a reader cannot see or takes for others: two texts that look alike must be alike.

Refused: what nobody sees (controls, marks of direction, joiners, soft hyphens, fillers, tags), a combining mark with no letter to stand on,
and a Latin word with a Cyrillic or Greek letter in it that looks like a Latin one. A name with such a letter is found by no search, and an
approval by it stands beside that of another person; nobody writes one on purpose. A whole word in another alphabet is a word; units such as
kΩ, and accents, apostrophes, dashes and spaces that do not break a line, pass.
"""

import re
import unicodedata

__all__ = ["UNSEEN", "misread", "unseen"]

#: What nobody sees, as the inside of a class of a regular expression; tab and ends of line are for the reader of a file to judge.
UNSEEN = (
    "\x01-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # controls
    "\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f"  # soft hyphen, joiners, fillers, vowels that print nothing
    "\u200b-\u200f\u2028-\u202e\u2060-\u206f\u2800\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff9-\ufffb"  # zero width, direction, blank patterns, variants
    "\ud800-\udfff\ue000-\uf8ff\ufdd0-\ufdef\ufffe\uffff"  # halves of a pair, private use, no characters
    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U0010ffff"  # shorthand and music controls, tags, variants, private use
)
_UNSEEN = re.compile(f"[{UNSEEN}\0\t\n\r]")
#: Cyrillic and Greek letters that look like Latin ones in the fonts of the papers.
_LOOKS_LATIN = frozenset("АВЕЅІЈКМНОРСТУХҮҺԌԚԜаеѕіјорсухһԁԛԝ" + "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧινορυϲϳ")
_WORD = re.compile(r"[^\W\d_]+")


def unseen(text: str) -> str | None:
    """The first sign of a text in one line that nobody sees, or None.

    >>> unseen("A. Petrie"), unseen("A. Pet\\u200drie") == "\\u200d"
    (None, True)
    """
    match = None if text.isascii() and text.isprintable() else _UNSEEN.search(text)
    return match and match[0]


def misread(text: str) -> tuple[int, str, str] | None:
    """Where the first sign stands that is taken for another one or for nothing, what is wrong, what would be right; None for most texts.

    >>> misread("José Łucja O'Brien, 5 kΩ, Пётр") is None
    True
    >>> misread("M. Ok\\u0430for")
    (5, "in the word 'Ok\u0430for' the letter U+0430 is no Latin one and looks like one", 'type the word again in one alphabet')
    """
    if text.isascii():
        return None
    before = ""
    for index, sign in enumerate(text):
        if sign > "\u02ff" and unicodedata.category(sign)[0] == "M" and (not before or before.isspace()):
            return (
                index,
                f"the combining mark U+{ord(sign):04X} has no letter before it",
                "delete it, or type the letter with its accent",
            )
        before = sign
    for word in _WORD.finditer(text):
        for index, letter in enumerate(word[0]) if not word[0].isascii() else ():
            if letter in _LOOKS_LATIN and any("LATIN" in unicodedata.name(other, "") for other in word[0]):
                message = f"in the word '{word[0]}' the letter U+{ord(letter):04X} is no Latin one and looks like one"
                return word.start() + index, message, "type the word again in one alphabet"
    return None
