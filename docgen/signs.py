"""Signs that a reader cannot see or takes for others: two texts that look alike must be alike.

Refused: what nobody sees (controls, marks of direction, joiners, soft hyphens, fillers, tags), a combining mark with no letter to stand on,
and a Cyrillic or Greek letter that looks like a Latin one, in a Latin word or beside Latin words where no other letter shows that the
alphabet is meant; and signs that look like those of the keyboard. A name with such a letter is found by no search, and an approval by it stands beside that of another person; nobody writes
one on purpose. Words in another alphabet are words; units such as kΩ, and accents, apostrophes, dashes and spaces that do not break a line, pass.
"""

import re
import unicodedata

__all__ = ["UNSEEN", "alike", "misread", "name_key", "unseen"]

#: What nobody sees, as the inside of a class of a regular expression; tab and ends of line are for the reader of a file to judge.
UNSEEN = (
    "\x01-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # controls
    "\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f"  # soft hyphen, joiners, fillers, vowels that print nothing
    "\u200b-\u200f\u2028-\u202e\u2060-\u206f\u2800\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff9-\ufffb"  # zero width, direction, blank patterns, variants
    "\ud800-\udfff\ue000-\uf8ff\ufdd0-\ufdef\ufffe\uffff"  # halves of a pair, private use, no characters
    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U0010ffff"  # shorthand and music controls, tags, variants, private use
)
_UNSEEN = re.compile(f"[{UNSEEN}\0\t\n\r]")
#: Letters that look like Latin ones in the fonts of the papers. Small Greek ones are symbols of their own beside Latin text (ρ, ν).
_CYRILLIC = "АВЕЅІЈКМНОРСТУХҮҺԌԚԜаеѕіјорсухһԁԛԝ"
_GREEK, _GREEK_SMALL = "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧο", "ινρυϲϳ"
_LOOKS_LATIN = frozenset(_CYRILLIC + _GREEK + _GREEK_SMALL)
#: Signs that look like those of the keyboard and that no language here is written with -> what to type.
_TYPED = {
    "\u0261": "g", "\u01c0": "l, I or |", "\u02bc": "an apostrophe", "\u2007": "a space", "\u2008": "a space", "\u2009": "a space", "\u200a": "a space",
    "\u2010": "a hyphen", "\u2011": "a hyphen",
}  # fmt: skip
HINT = "type the words again in one alphabet"
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
    (5, "in 'Ok\u0430for' the letter U+0430 is no Latin one and looks like one", 'type the words again in one alphabet')
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
        if sign in _TYPED:
            return index, f"the sign U+{ord(sign):04X} looks like {_TYPED[sign]} and is none", f"type {_TYPED[sign]}"
        before = sign
    for word in _WORD.finditer(text):
        for index, letter in enumerate(word[0]) if not word[0].isascii() else ():
            if letter in _LOOKS_LATIN and any(_script(other) == "LATIN" for other in word[0]):
                return word.start() + index, _told(letter, word[0]), HINT
    scripts = [_script(sign) for sign in text]
    for script, alike in (("CYRILLIC", _CYRILLIC), ("GREEK", _GREEK)) if "LATIN" in scripts else ():
        places = [index for index, found in enumerate(scripts) if found == script]
        if places and all(text[index] in alike for index in places):  # nothing in the text shows that it is meant
            return places[0], _told(text[places[0]], text), HINT
    return None


def alike(text: str) -> str:
    """What a reader sees of a name: two names are one to him where this is the same.

    >>> alike("Rail\u00a0spur ") == alike("rail spur"), alike("Bay 1") == alike("Bay 2")
    (True, False)
    """
    plain = unicodedata.normalize("NFKC", text).casefold()
    return " ".join(plain.translate(_ALIKE).split())


def name_key(name: str) -> str:
    """The letters and digits of a person's name: whoever is written with another point, blank, hyphen or accent is no second person.

    >>> name_key("D.Sorensen") == name_key("D. S\u00f3rensen") == name_key("d sorensen"), name_key("D. Sorensen") == name_key("K. Sorensen")
    (True, False)
    """
    plain = unicodedata.normalize("NFKD", alike(name))
    return "".join(sign for sign in plain if sign.isalnum())


#: Signs that a reader takes for another one in most fonts.
_ALIKE = str.maketrans(
    {"\u0131": "i", "\u0261": "g", "\u02bc": "'", "\u2019": "'", "\u2018": "'", "\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-",
     "\u2212": "-", **dict(zip("\u0430\u0435\u0456\u0458\u043e\u0440\u0441\u0443\u0445\u0455\u03bf", "aeijopcyxso", strict=True))}
)  # fmt: skip


def _script(sign: str) -> str:
    """The alphabet of a letter, and the first word of the name of any other sign."""
    return unicodedata.name(sign, "").partition(" ")[0]


def _told(letter: str, within: str) -> str:
    shown = within if len(within) <= 40 else f"{within[:37]}..."
    return f"in '{shown}' the letter U+{ord(letter):04X} is no Latin one and looks like one"
