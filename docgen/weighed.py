"""Figures of mass as people write them into a sentence: in either unit or in stones, in digits or words, with any sign that a keyboard gives.

    told = figures("she was 13 st 5 lb")        (Figure(84.82, 84.37, 85.28, ...),)

What comes out are bands in kg: a figure written to one decimal stands for all that rounds or is cut to it.
"""

import html
import re
import unicodedata
from collections.abc import Iterator

from docgen import units
from docgen.frozen import frozen

__all__ = ["Figure", "figures", "plain"]

POUND = units.parse("1 lb", "mass").si
STANDARD_GRAVITY = 9.80665  # m/s2, exact by definition (CGPM 1901): a weight is sometimes told as a force
OUNCE, STONE = POUND / 16, POUND * 14
COARSE = 1.01  # kg: more than the last place of a whole figure in kg
#: What is written for a unit, after its figure or before it -> kg.
UNITS = {
    r"lbs?f?|lbm|pounds?|pounders?|libras?|#": POUND,
    r"kgs?|kgf|kilos?|kilogram(?:me)?s?|kilogramos?": 1.0,
    r"grams?|grammes?|gramos?|gr?": 0.001,
    r"ounces?|oz": OUNCE,
    r"stones?|st": STONE,
    r"newtons?|n": 1 / STANDARD_GRAVITY,
}
UNIT = "|".join(f"(?:{words})" for words in UNITS)
NUMBER = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:[.,]\d+)?"
FRACTION = r"(?:[ +-]|(?<=\d) ?and )(\d{1,2})/(\d{1,2})"
GAP = r"[\s()\[\]:=*_~-]*\.?[\s()\[\]:=*_~-]*"
BEHIND = re.compile(rf"(?<![\d.,])({NUMBER})(?:{FRACTION})?{GAP}({UNIT})(?![a-z])", re.IGNORECASE)
BEFORE = re.compile(rf"(?<![a-z0-9])({UNIT}){GAP}({NUMBER})(?:{FRACTION})?(?![\d/])", re.IGNORECASE)
PAIR = re.compile(rf"(?<![\d.,])(\d+){GAP}(?:stones?|st)\b{GAP}({NUMBER})", re.IGNORECASE)
#: A number behind which no unit stands: a sign, the end, or one of the words that go on with a sentence.
ON = r"(?:for|is|was|as|and|or|by|with|has|had|when)\b"
ALONE = re.compile(rf"(?<![\d.,/])({NUMBER})(?:{FRACTION})?(?![\d/]|[.,]\d)(?!\s*(?:%|°|(?!{ON})[a-z]|\d+/\d))", re.IGNORECASE)
FOLLOWED = re.compile(rf"{GAP}(?:{UNIT})(?![a-z])", re.IGNORECASE)
SPACED = re.compile(r"(?<![\d.,])\d(?: \d)+(?: ?\. ?\d(?: \d)*)?(?![\d])")
TAG = re.compile(r"</?[a-z][^<>]*>|<!--|-->", re.IGNORECASE)
SIGNS = str.maketrans(
    {**dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u00ad", "-"), **dict.fromkeys("\u00b7\u2027\u2219\u22c5\u30fb\u2024\uff0e\u066b", "."),
     "\u200b": "", "\u200c": "", "\u200d": "", "\u2060": "", "\ufeff": "", "\u2044": "/", "\u2215": "/", "\\": "", "`": "", "*": ""}
)  # fmt: skip

ONES = {
    word: n
    for n, word in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
TENS = {word: 10 * n for n, word in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], 2)}
SAID = "|".join(sorted((*ONES, *TENS, "hundred", "oh"), key=len, reverse=True))
WORDS = re.compile(
    rf"\b(?:a (?=hundred)|(?:{SAID})\b)(?:(?:[\s-]+(?:and[\s-]+)?)?(?:{SAID})\b)*(?:[\s-]+point((?:[\s-]+(?:{SAID})\b)+))?",
    re.IGNORECASE,
)


@frozen
class Figure:
    """What a figure in a text stands for, in kg. `low` and `high` bound what rounds or is cut to it; `unit` says whether one was written.

    `coarse`: it is rounded to fives, tens or whole stones, so that it tells a weight only of whom it is said;
    `exact`: it has a decimal or a fraction, which nobody writes by chance.
    """

    value: float
    low: float
    high: float
    unit: bool
    coarse: bool
    exact: bool


def plain(text: str) -> str:
    """A text without what only dresses it: entities, tags, emphasis, other digits and dashes, numbers in words."""
    text = TAG.sub("", html.unescape(text))
    text = "".join(_digit(sign) for sign in text)
    text = unicodedata.normalize("NFKC", text.translate(SIGNS)).translate(SIGNS)
    text = SPACED.sub(lambda found: found[0].replace(" ", ""), text)
    return WORDS.sub(_in_digits, text)


def figures(text: str) -> tuple[Figure, ...]:
    """Every figure of a text that may be a mass: with its unit behind or before it, and numbers with no unit at all, in pounds and in kg.

    >>> [round(f.value, 1) for f in figures("one hundred eighty-seven pounds")]
    [84.8]
    """
    return tuple(dict.fromkeys(_figures(plain(text))))


def _figures(text: str) -> Iterator[Figure]:
    for match in PAIR.finditer(text):
        stones, pounds = float(match[1]), _value(match[2])
        yield _figure(stones * 14 + pounds, POUND, _step(match[2]))
    for match in BEHIND.finditer(text):
        yield _of(match[1], match[2], match[3], _factor(match[4]))
    for match in BEFORE.finditer(text):
        yield _of(match[2], match[3], match[4], _factor(match[1]))
    for match in ALONE.finditer(text):
        for factor in (POUND, 1.0):
            yield _of(match[1], match[2], match[3], factor, unit=False)


def _of(number: str, over: str | None, under: str | None, factor: float, unit: bool = True) -> Figure:
    value, step = _value(number), _step(number)
    if over and under and int(under):
        return _figure(value + int(over) / int(under), factor, 1 / int(under), unit, exact=True)
    return _figure(value, factor, step, unit, exact="." in number.replace(",", ".") and step < 1)


def _figure(value: float, factor: float, step: float, unit: bool = True, exact: bool = False) -> Figure:
    coarse = step * factor > COARSE
    reach = step / 2 if coarse else step  # cut off or rounded either way
    return Figure(value * factor, (value - reach) * factor, (value + reach) * factor, unit, coarse, exact)


def _value(number: str) -> float:
    return float(re.sub(r",(?=\d{3}(?:\D|$))", "", number).replace(",", "."))


def _step(number: str) -> float:
    """What one more in the last place that counts makes: 0.1 of 187.3, 1 of 187, 5 of 185, 10 of 190."""
    plain_number = re.sub(r",(?=\d{3}(?:\D|$))", "", number).replace(",", ".")
    whole, _, decimals = plain_number.partition(".")
    if decimals:
        return float(10.0 ** -len(decimals.rstrip("0") or "0"))
    zeros = len(whole) - len(whole.rstrip("0"))
    if zeros:
        return float(10 ** min(zeros, len(whole) - 1))
    return 5.0 if whole.endswith("5") and len(whole) > 1 else 1.0


def _factor(written: str) -> float:
    return next(kg for words, kg in UNITS.items() if re.fullmatch(words, written, re.IGNORECASE))


def _digit(sign: str) -> str:
    """A digit of any alphabet as ours; a vulgar fraction behind a blank, so that it joins no whole number."""
    if sign.isascii():
        return sign
    if unicodedata.category(sign) == "Nd":
        return str(unicodedata.decimal(sign))
    if unicodedata.category(sign) == "No" and "FRACTION" in unicodedata.name(sign, ""):
        return " " + unicodedata.normalize("NFKC", sign)
    return sign


def _in_digits(match: re.Match[str]) -> str:
    """A number in words as digits; a lone small word stays, since "one" is said of everything."""
    said = [
        w
        for w in re.split(r"[\s-]+", (match[0].partition("point")[0] if match[1] else match[0]).casefold())
        if w not in ("and", "a", "")
    ]
    if len(said) < 2 and not match[1] and FOLLOWED.match(match.string, match.end()) is None:
        return match[0]
    total, group = 0, 0
    for word in said:
        value = ONES.get(word, TENS.get(word, 0))
        if word == "hundred":
            group = (group or 1) * 100
        elif 0 < group < 20 and (word in TENS or value >= 10 or word == "oh"):  # one eighty-seven
            group = group * 100 + value
        else:
            group += value
    total += group
    decimals = "".join(str(ONES.get(w, 0) % 10) for w in re.split(r"[\s-]+", (match[1] or "").casefold()) if w)
    return f"{total}.{decimals}" if decimals else str(total)
