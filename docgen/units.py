"""Quantities at the border: text with a unit in, SI inside, rounded text in both systems out; dates and intervals too.

Exact definitions. Foot, inch, pound: international yard and pound agreement of 1959 (1 ft = 0.3048 m, 1 lb =
0.45359237 kg). Pound-force: the pound times the standard acceleration of free fall 9.80665 m/s2 (3rd CGPM, 1901),
so 4.4482216152605 N. Fahrenheit: K = (F + 459.67) x 5/9.
Basis of these figures: memory; tests compare them with scipy and pint.
"""

import math
import re
from datetime import date
from functools import lru_cache
from types import MappingProxyType

from docgen.days import FIRST_YEAR, LAST_YEAR, later, month_length
from docgen.frozen import frozen
from docgen.limits import NOISE

__all__ = [
    "KINDS",
    "UNITS",
    "Amount",
    "Interval",
    "Kind",
    "Unit",
    "UnitProblem",
    "dates_meant",
    "parse",
    "parse_date",
    "parse_interval",
    "show",
    "show_as_written",
    "spelled",
    "system_of",
    "ways",
]


class UnitProblem(ValueError):
    """A quantity, date or interval that cannot be read. `message` says what is wrong, `hint` what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(f"{message}; {hint}")
        self.message = message
        self.hint = hint

    def __reduce__(self) -> "tuple[type[UnitProblem], tuple[str, str]]":
        return UnitProblem, (self.message, self.hint)


@frozen
class Amount:
    """A quantity: `si` in m, kg, N, s, m/s, rad, K, V, N/m^2, m^4 or m^3; `unit` as first written; `text` as written, evenly spaced."""

    si: float
    kind: str
    text: str
    unit: str


@frozen
class Unit:
    """A unit: SI value = (figure + shift) x top / bottom, in whole numbers, so that the value is rounded only once."""

    kind: str
    system: str
    top: int
    bottom: int
    shift: tuple[int, int] = (0, 1)


@frozen
class Kind:
    """A kind of quantity: its name, two ways to write one, and how it is shown (unit, decimals) in each system."""

    name: str
    si_unit: str
    examples: tuple[str, str]
    us: tuple[str, int]
    si: tuple[str, int]
    signed: bool = False


KINDS = MappingProxyType(
    {
        "length": Kind("a length", "m", ("25 ft", "7.62 m"), ("ft", 1), ("m", 2), signed=True),
        "mass": Kind("a mass", "kg", ("310 lb", "140 kg"), ("lb", 0), ("kg", 1)),
        "force": Kind("a force", "N", ("1800 lbf", "8 kN"), ("lbf", 0), ("kN", 2)),
        "time": Kind("a time", "s", ("6 min", "90 s"), ("min", 1), ("min", 1)),
        "speed": Kind("a speed", "m/s", ("4.5 ft/s", "1.4 m/s"), ("ft/s", 1), ("m/s", 2)),
        "angle": Kind("an angle", "rad", ("30 deg", "30°"), ("°", 1), ("°", 1), signed=True),
        "temperature": Kind("a temperature", "K", ("-20 °F", "-29 °C"), ("°F", 0), ("°C", 0), signed=True),
        "voltage": Kind("a voltage", "V", ("12.5 kV", "600 V"), ("kV", 2), ("kV", 2)),
        "stress": Kind("a stress", "N/m^2", ("29,000 ksi", "200 GPa"), ("ksi", 1), ("MPa", 0)),
        "second_moment": Kind("a second moment of area", "m^4", ("59.3 in^4", "2470 cm^4"), ("in^4", 1), ("cm^4", 0)),
        "section_modulus": Kind("a section modulus", "m^3", ("14.8 in^3", "243 cm^3"), ("in^3", 1), ("cm^3", 0)),
    }
)

_PI = math.pi.as_integer_ratio()
_DEGREE = Unit("angle", "both", _PI[0], _PI[1] * 180)
_FOOT = Unit("length", "us", 3048, 10_000)
_INCH = Unit("length", "us", 254, 10_000)
_POUND = Unit("mass", "us", 45_359_237, 10**8)
_KSI = (44_482_216_152_605, 100 * 254**2)  # a thousand pounds-force on a square inch
_HOUR = Unit("time", "both", 3600, 1)
_FAHRENHEIT = Unit("temperature", "us", 5, 9, (45_967, 100))
_CELSIUS = Unit("temperature", "si", 1, 1, (27_315, 100))

UNITS = MappingProxyType(
    {
        "ft": _FOOT,
        "foot": _FOOT,
        "feet": _FOOT,
        "in": _INCH,
        "inch": _INCH,
        "inches": _INCH,
        "m": Unit("length", "si", 1, 1),
        "cm": Unit("length", "si", 1, 100),
        "mm": Unit("length", "si", 1, 1000),
        "lb": _POUND,
        "lbs": _POUND,
        "kg": Unit("mass", "si", 1, 1),
        "g": Unit("mass", "si", 1, 1000),
        "lbf": Unit("force", "us", 44_482_216_152_605, 10**13),
        "kN": Unit("force", "si", 1000, 1),
        "N": Unit("force", "si", 1, 1),
        "s": Unit("time", "both", 1, 1),
        "sec": Unit("time", "both", 1, 1),
        "min": Unit("time", "both", 60, 1),
        "h": _HOUR,
        "hr": _HOUR,
        "ft/s": Unit("speed", "us", 3048, 10_000),
        "ft/min": Unit("speed", "us", 3048, 600_000),
        "mph": Unit("speed", "us", 44_704, 100_000),
        "m/s": Unit("speed", "si", 1, 1),
        "m/min": Unit("speed", "si", 1, 60),
        "km/h": Unit("speed", "si", 5, 18),
        "deg": _DEGREE,
        "degree": _DEGREE,
        "degrees": _DEGREE,
        "°": _DEGREE,
        "rad": Unit("angle", "both", 1, 1),
        "°F": _FAHRENHEIT,
        "degF": _FAHRENHEIT,
        "F": _FAHRENHEIT,
        "°C": _CELSIUS,
        "degC": _CELSIUS,
        "C": _CELSIUS,
        "K": Unit("temperature", "si", 1, 1),
        "kV": Unit("voltage", "both", 1000, 1),
        "V": Unit("voltage", "both", 1, 1),
        "psi": Unit("stress", "us", _KSI[0], _KSI[1] * 1000),
        "ksi": Unit("stress", "us", *_KSI),
        "MPa": Unit("stress", "si", 10**6, 1),
        "GPa": Unit("stress", "si", 10**9, 1),
        "in^4": Unit("second_moment", "us", 254**4, 10**16),
        "cm^4": Unit("second_moment", "si", 1, 10**8),
        "mm^4": Unit("second_moment", "si", 1, 10**12),
        "in^3": Unit("section_modulus", "us", 254**3, 10**12),
        "cm^3": Unit("section_modulus", "si", 1, 10**6),
        "mm^3": Unit("section_modulus", "si", 1, 10**9),
    }
)

# A second part is allowed in these pairs only, and is less than one of the first: 18 ft 6 in, 1 h 30 min, 2 min 30 s.
_PAIRS = {("ft", "in"): 12, ("h", "min"): 60, ("min", "s"): 60}
_SHORT = {"foot": "ft", "feet": "ft", "inch": "in", "inches": "in", "hr": "h", "sec": "s"}
_BARE = {  # the two units offered when a number stands alone
    "length": ("ft", "m"),
    "mass": ("lb", "kg"),
    "force": ("lbf", "kN"),
    "time": ("min", "s"),
    "speed": ("ft/s", "m/s"),
    "angle": ("deg", "°"),
    "temperature": ("°F", "°C"),
    "voltage": ("kV", "V"),
    "stress": ("ksi", "MPa"),
    "second_moment": ("in^4", "cm^4"),
    "section_modulus": ("in^3", "cm^3"),
}
_LONGEST, _DIGITS = 60, 15  # of a text; of a figure, since a float keeps 15 digits
_NUMBER = re.compile(r"([+-]?)([1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]+)(?:\.([0-9]+))?")
_PART = re.compile(r"([+-]?[0-9.,]*[0-9.,]) ?([^\W\d_]+\^[34](?![0-9])|°?[^\W\d_][^\W\d_./]*(?:/[^\W\d_]+)?\.?|°) ?")
_ALONE = re.compile(r"[+-]?[0-9][0-9.,]*")
_SAME = str.maketrans({"\N{MINUS SIGN}": "-", "\N{MASCULINE ORDINAL INDICATOR}": "°", "℉": "°F", "℃": "°C"})


@lru_cache(maxsize=8192)  # a figure is read when it is checked and when it is taken, and most stand in many sites
def parse(text: str, kind: str) -> Amount:
    """Read `text` as a quantity of `kind` (a key of KINDS). Raises UnitProblem.

    >>> parse("18 ft 6 in", "length")
    Amount(si=5.6388, kind='length', text='18 ft 6 in', unit='ft')
    """
    wanted = KINDS[kind]
    either = f"write {_two(wanted)}"
    text = " ".join(text.translate(_SAME).split())
    if not text:
        raise UnitProblem(f"{wanted.name} is wanted here, and the text is empty", either)
    if len(text) > _LONGEST:
        raise UnitProblem(f"'{text[:20]}...' is too long for {wanted.name}", either)
    if _ALONE.fullmatch(text):
        figure = _figure(text, text, "")[2]
        one, two = (figure + _gap(unit) + unit for unit in _BARE[kind])
        raise UnitProblem(f"{text} has no unit", f"write {one} or {two}")
    parts = _split(text, wanted)
    units = [UNITS[name] for _, name in parts]
    numbers = [_figure(figure, text, name) for figure, name in parts]
    if len(parts) == 2:
        _fits_pair(text, parts, numbers, either)
    sign = -1 if parts[0][0].startswith("-") else 1
    top, bottom = 0, 1
    for (whole, scale, _), unit in zip(numbers, units, strict=True):
        shift_top, shift_bottom = unit.shift
        part_top = (sign * whole * shift_bottom + shift_top * scale) * unit.top
        part_bottom = scale * shift_bottom * unit.bottom
        top, bottom = top * part_bottom + part_top * bottom, bottom * part_bottom
    if kind == "temperature" and top < 0:
        raise UnitProblem(f"{text} is below absolute zero", either)
    if top < 0 and not wanted.signed:
        raise UnitProblem(f"{wanted.name} cannot be below zero", f"write {text.lstrip('-')}")
    written = " ".join(figure + _gap(name) + name for figure, name in parts)
    return Amount(si=top / bottom, kind=kind, text=written, unit=parts[0][1])


#: Spellings that people use -> the unit, by kind of quantity; small letters, without a full stop at the end.
_SPELT: dict[str, dict[str, str]] = {
    "length": {
        "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft", "in": "in", "inch": "in", "inches": "in", '"': "in", "''": "in", "m": "m", "meter": "m",
        "meters": "m", "metre": "m", "metres": "m", "cm": "cm", "mm": "mm",
    },
    "mass": {"lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "kg": "kg", "kgs": "kg", "kilogram": "kg", "kilograms": "kg", "g": "g"},
    "force": {"lbf": "lbf", "lbsf": "lbf", "kn": "kN", "n": "N", "newton": "N", "newtons": "N"},
    "time": {
        "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "min": "min", "mins": "min", "minute": "min", "minutes": "min", "h": "h",
        "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
    },
    "speed": {"ft/s": "ft/s", "ft/min": "ft/min", "mph": "mph", "m/s": "m/s", "m/min": "m/min", "km/h": "km/h"},
    "angle": {"deg": "deg", "degree": "deg", "degrees": "deg", "°": "°", "rad": "rad"},
    "temperature": {"°f": "°F", "degf": "°F", "f": "°F", "°c": "°C", "degc": "°C", "c": "°C", "k": "K"},
    "voltage": {"kv": "kV", "v": "V"},
    "stress": {"psi": "psi", "ksi": "ksi", "mpa": "MPa", "gpa": "GPa"},
    "second_moment": {"in^4": "in^4", "cm^4": "cm^4", "mm^4": "mm^4"},
    "section_modulus": {"in^3": "in^3", "cm^3": "cm^3", "mm^3": "mm^3"},
}  # fmt: skip
_TYPED = str.maketrans({"’": "'", "‘": "'", "′": "'", "”": '"', "“": '"', "″": '"', "\N{MINUS SIGN}": "-", "–": "-", "º": "°"})
_SPELT_PART = re.compile(r"([+-]?[0-9][0-9.,]*) ?-?([^\W\d_][^\s\d]*|°[FCfc]?|''|['\"])[ ,]*(?:and )?(?:- ?)?")


def spelled(text: str, kind: str) -> str | None:
    """A figure in the spelling of this program where nothing but the spelling of figure and unit differs from it; None where that is not sure.

    A comma before one or two digits, or before more than three, is a decimal one; before three it may part thousands, so that it stays.

    >>> spelled("25'", "length"), spelled("18 feet 6 inches", "length"), spelled("5,6m", "length"), spelled("310 lbs", "force")
    ('25 ft', '18 ft 6 in', '5.6 m', None)
    """
    plain = " ".join(text.translate(_SAME).translate(_TYPED).split())
    at, parts = 0, []
    while at < len(plain) and (match := _SPELT_PART.match(plain, at)):
        unit = _SPELT[kind].get(match[2].casefold().rstrip(".,"))
        if unit is None or (match[2] in UNITS and UNITS[match[2]].kind == kind and UNITS[match[2]] != UNITS[unit]):
            return None
        figure = re.sub(r"^([+-]?0(?=,)|[+-]?[0-9]+(?=,(?:[0-9]{1,2}|[0-9]{4,})$)),([0-9]+)$", r"\1.\2", match[1])
        parts.append(f"{figure}{_gap(unit)}{unit}")
        at = match.end()
    if at < len(plain) or not parts:
        return None
    try:
        return parse(" ".join(parts), kind).text
    except UnitProblem:
        return None


def _gap(unit: str) -> str:
    return "" if unit == "°" else " "


def _split(text: str, wanted: Kind) -> list[tuple[str, str]]:
    """Text as pairs of figure and unit, one or two of them, each unit known and of the kind that is wanted."""
    parts: list[tuple[str, str]] = []
    at = 0
    while at < len(text) and (match := _PART.match(text, at)):
        parts.append((match[1].lstrip("+") if not parts else match[1], match[2]))
        at = match.end()
    whole = at == len(text) and 1 <= len(parts) <= 2
    if whole and all(name in UNITS and UNITS[name].kind == _key(wanted) for _, name in parts):
        return parts
    _refuse_other_notations(text, _two(wanted))
    if not whole:
        raise UnitProblem(f"'{text}' is not {wanted.name}", f"write one plain number and its unit: {_two(wanted)}")
    figure, name = next(part for part in parts if part[1] not in UNITS or UNITS[part[1]].kind != _key(wanted))
    raise _unknown(name, figure, wanted) if name not in UNITS else _other_kind(text, figure, name, wanted)


def _refuse_other_notations(text: str, two: str) -> None:
    """Raises UnitProblem when the text is a number and unit in a notation that can be put right for its writer."""
    if match := re.fullmatch(r"([0-9]+)' ?-? ?(?:([0-9]+(?:\.[0-9]+)?)(?:\"|''))?", text):
        inches = f" {match[2]} in" if match[2] else ""
        raise UnitProblem(f"{text} uses quotation marks as units", f"write {match[1]} ft{inches}")
    if match := re.fullmatch(r"([+-]?)(?:([0-9]+)[ -])?([0-9]+)/([1-9][0-9]*) ?(\D+)", text):
        value = int(match[2] or 0) + int(match[3]) / int(match[4])
        raise UnitProblem(f"{text} holds a fraction", f"write a decimal: {match[1]}{value:.6g} {match[5]}")
    if match := re.fullmatch(r"([+-]?[0-9]{1,3})((?: [0-9]{3})+(?:\.[0-9]+)?) ?([^0-9 ]+)", text):
        joined = match[1] + match[2].replace(" ", "")
        raise UnitProblem(f"{text} has a space inside the number", f"write {joined} {match[3]}")
    if match := re.fullmatch(r"([0-9]+(?:\.[0-9]+)?)[eE]([+-]?[0-9]{1,2}) ?(\D+)", text):
        value = float(f"{match[1]}e{match[2]}")
        right = f"{value:.15g} {match[3]}" if 1e-4 <= value < 1e15 else two
        raise UnitProblem(f"{text} uses an exponent", f"write {right}")
    if re.search(r"(?i)\binf(inity)?\b|\bnan\b", text):
        raise UnitProblem(f"'{text}' is not a number", f"write {two}")


def _figure(figure: str, text: str, unit: str) -> tuple[int, int, str]:
    """A figure as whole number and scale (both at least 0, the sign left off) and its plain spelling."""
    rest = f" {unit}" if unit else ""
    match = _NUMBER.fullmatch(figure)
    if match:
        whole, decimals = match[2].replace(",", ""), match[3] or ""
        if len(whole + decimals) > _DIGITS:
            raise UnitProblem(f"{figure} has more than {_DIGITS} digits", "write the figure as it was measured")
        plain = match[1].replace("+", "") + match[2] + (decimals and "." + decimals)
        return int(whole + decimals), 10 ** len(decimals), plain
    if re.fullmatch(r"[+-]?\.[0-9]+", figure):
        raise UnitProblem(f"{text} begins with a point", f"write {figure.replace('.', '0.')}{rest}")
    if re.fullmatch(r"[+-]?[0-9]+\.", figure):
        raise UnitProblem(f"{text} has a point without decimals", f"write {figure[:-1]}{rest}")
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", figure):
        raise UnitProblem(f"{text} has a comma inside the number", f"write {figure.replace(',', '.')}{rest}")
    raise UnitProblem(f"{figure} is not a number", "write digits with one decimal point, such as 1800 or 7.62")


def _key(wanted: Kind) -> str:
    return next(kind for kind, value in KINDS.items() if value is wanted)


def _two(wanted: Kind) -> str:
    return f"{wanted.examples[0]} or {wanted.examples[1]}"


def _unknown(name: str, figure: str, wanted: Kind) -> UnitProblem:
    bare = name.rstrip(".").casefold()
    near = next((unit for unit in sorted(UNITS) if unit.casefold() == bare and UNITS[unit].kind == _key(wanted)), None)
    if near:
        return UnitProblem(f"'{name}' is not a unit known here", f"write {figure}{_gap(near)}{near}")
    if bare.startswith(("day", "week", "month", "year")):
        message = f"{figure} {name} is a span of the calendar; {wanted.name} is wanted"
        return UnitProblem(message, f"write {_two(wanted)}")
    return UnitProblem(f"'{name}' is not a unit known here", f"write {wanted.name} like {_two(wanted)}")


def _other_kind(text: str, figure: str, name: str, wanted: Kind) -> UnitProblem:
    """Message for a unit of another kind; mass against force gets the words that the trade needs."""
    unit = UNITS[name]
    pair = (unit.kind, _key(wanted))
    if pair == ("mass", "force"):
        right = f"{figure} lbf" if unit.system == "us" else "8 kN"
        more = "write it in lbf or kN" if unit.system == "us" else "write the force itself, in kN or lbf"
        return UnitProblem(f"{name} is mass; a force is written {right}", more)
    if pair == ("force", "mass"):
        right = f"{figure} lb" if unit.system == "us" else "140 kg"
        return UnitProblem(f"{name} is force; a mass is written {right}", "write it in lb or kg")
    return UnitProblem(f"{text} is {KINDS[unit.kind].name}; {wanted.name} is wanted", f"write {_two(wanted)}")


def _fits_pair(text: str, parts: list[tuple[str, str]], numbers: list[tuple[int, int, str]], either: str) -> None:
    first, second = (_SHORT.get(name, name) for _, name in parts)
    most = _PAIRS.get((first, second))
    if most is None:
        raise UnitProblem(f"{text} has two parts that do not go together", either)
    if numbers[0][1] != 1:
        raise UnitProblem(f"{text} has decimals before the second part", f"write whole {first} before {second}")
    if parts[1][0][0] in "+-":
        right = f"{parts[0][0]} {parts[0][1]} {parts[1][0][1:]} {parts[1][1]}"
        raise UnitProblem(f"{text} has a sign before the second part", f"write {right}")
    if numbers[1][0] >= most * numbers[1][1]:
        raise UnitProblem(f"{text} has {most} {second} or more", f"write less than {most} {second}, or {second} alone")


ROAD_SPEEDS = {"mph": "km/h", "km/h": "mph"}


def system_of(unit: str) -> str:
    """`us`, `si`, or `both` for a unit as written. Raises UnitProblem for a unit that is not known."""
    if unit not in UNITS:
        raise UnitProblem(f"'{unit}' is not a unit known here", "write one of " + ", ".join(sorted(UNITS)))
    return UNITS[unit].system


def _round(figure: float, decimals: int, toward: str) -> int:
    """`figure` x 10^decimals as a whole number. Up is to +infinity, nearest takes halves away from 0.

    A figure within noise of the next printable one is that one: noise must not cost a digit.
    """
    scaled: float = figure * 10**decimals
    near = round(scaled)
    if abs(scaled - near) <= NOISE * max(1.0, abs(scaled)):
        return near
    if toward == "up":
        return math.ceil(scaled)
    if toward == "down":
        return math.floor(scaled)
    return int(math.copysign(math.floor(abs(scaled) + 0.5 + NOISE), scaled))


def _one(si: float, unit_name: str, decimals: int, toward: str, drop_zeros: bool) -> str:
    unit = UNITS[unit_name]
    figure = si * unit.bottom / unit.top - unit.shift[0] / unit.shift[1]
    number = f"{_round(figure, decimals, toward) / 10**decimals:,.{decimals}f}"
    if drop_zeros and decimals:
        number = number.rstrip("0").rstrip(".")
    return f"{number}{_gap(unit_name)}{unit_name}"


def ways(kind: str) -> tuple[tuple[str, int], tuple[str, int]]:
    """Unit and decimals in which a kind is shown in each system, us and si; the same twice where both write it alike."""
    return KINDS[kind].us, KINDS[kind].si


def show(si: float, kind: str, system: str, *, toward: str, both: bool = True) -> str:
    """SI value as text: the governing system ("us" or "si") first, the other in brackets.

    `toward` is "up", "down" or "nearest". Up and down the figure is rounded once, in the governing unit, and what was rounded is
    converted, again to that side: two readers get one limit, and neither more than it. To the nearest each is rounded by itself. Kinds
    that both systems write alike (time, angle, voltage) are shown once. Raises ValueError when `si` is not finite or an option is unknown.

    >>> show(2.152, "length", "us", toward="up")
    '7.1 ft (2.17 m)'
    >>> show(2.152, "length", "si", toward="down")
    '2.15 m (7.0 ft)'
    """
    if not math.isfinite(si):
        raise ValueError(f"a {kind} that is not finite cannot be shown")
    if toward not in ("up", "down", "nearest") or system not in ("us", "si"):
        raise ValueError(f"cannot show in system {system!r} rounded {toward!r}")
    ways = {"us": KINDS[kind].us, "si": KINDS[kind].si}
    other = "si" if system == "us" else "us"
    drop = kind == "voltage" or (kind == "mass" and system == "si")
    first = _one(si, *ways[system], toward, drop)
    if not both or ways["us"] == ways["si"]:
        return first
    limit = si if toward == "nearest" else _printed(si, *ways[system], toward)
    return f"{first} ({_one(limit, *ways[other], toward, kind == 'voltage')})"


def _printed(si: float, unit_name: str, decimals: int, toward: str) -> float:
    """The SI value of a figure as it is printed."""
    unit = UNITS[unit_name]
    shift = unit.shift[0] / unit.shift[1]
    figure = si * unit.bottom / unit.top - shift
    printed: float = _round(figure, decimals, toward) / 10**decimals
    return (printed + shift) * unit.top / unit.bottom


EXACT = {
    "length": ("ft", "m", 3, 4), "mass": ("lb", "kg", 1, 2), "force": ("lbf", "kN", 1, 3), "time": ("min", "s", 3, 1),
    "angle": ("deg", "rad", 2, 4), "speed": ("ft/s", "m/s", 3, 4), "stress": ("ksi", "MPa", 2, 1),
    "second_moment": ("in^4", "cm^4", 2, 1), "section_modulus": ("in^3", "cm^3", 2, 1),
}  # fmt: skip


def exact(si: float, kind: str, system: str, both: bool = True, toward: str = "nearest", more: int = 0) -> str:
    """A figure with enough digits to repeat a calculation, and `more` for one that is put in; a kind without a unit as it is.

    In each unit the figure itself is shown, and not what was rounded in the other: whoever repeats the work may do so in either.

    >>> exact(2.152, "length", "us"), exact(2.152, "length", "us", both=False, toward="up", more=1)
    ('7.060 ft (2.1520 m)', '7.0604 ft')
    """
    if kind not in EXACT:
        return f"{si:.5g}"
    us, metric, digits_us, digits_metric = EXACT[kind]
    ways = [(us, digits_us + more), (metric, digits_metric + more)]
    if system == "si" and kind != "angle":
        ways.reverse()
    first = _one(si, *ways[0], toward, False)
    if kind == "angle":
        return first
    second = _one(si, *ways[1], toward, False)
    return f"{first} ({second})" if both else first


def show_as_written(amount: Amount, toward: str) -> str:
    """The amount as its writer wrote it, the other system in brackets: `18 ft 6 in (5.63 m)` rounded down.

    Thousands are set off by a comma; a road speed stays one: `25 mph (41 km/h)`.

    >>> show_as_written(parse("3600 lbf", "force"), "nearest")
    '3,600 lbf (16.01 kN)'
    """
    text = re.sub(r"(?<![\d.,])\d{4,}(?!\d)", lambda m: f"{int(m[0]):,}", amount.text)
    system = system_of(amount.unit)
    if system == "both":
        return text
    if amount.unit in ROAD_SPEEDS:
        return f"{text} ({_one(amount.si, ROAD_SPEEDS[amount.unit], 0, toward, False)})"
    other = "si" if system == "us" else "us"
    return f"{text} ({show(amount.si, amount.kind, other, toward=toward, both=False)})"


@frozen
class Interval:
    """A span of the calendar: whole months and days, and the text as written."""

    months: int
    days: int
    text: str

    def after(self, day: date) -> date:
        """The day that lies this span after `day`, by the rule of `docgen.days`.

        >>> parse_interval("1 month").after(date(2026, 1, 31))
        datetime.date(2026, 2, 28)
        """
        return later(day, self.months, self.days)


_SPANS = {"day": (0, 1), "week": (0, 7), "month": (1, 0), "year": (12, 0)}
_SPAN_HINT = "write 12 months or 30 days"


def parse_interval(text: str) -> Interval:
    """Read `12 months`, `1 year`, `2 weeks`, `90 days`. Raises UnitProblem; more than 100 years is refused."""
    text = " ".join(text.split())
    if not text:
        raise UnitProblem("an interval is wanted here, and the text is empty", _SPAN_HINT)
    match = re.fullmatch(r"([0-9]{1,6}) ?(day|week|month|year)s?", text)
    if not match:
        shown = text if len(text) <= _LONGEST else text[:20] + "..."
        if re.fullmatch(r"[0-9]{1,6}", text):
            raise UnitProblem(f"{text} has no unit", f"write {text} months or {text} days")
        if half := re.fullmatch(r"([0-9]{1,3})\.5 ?years?", text):
            raise UnitProblem(f"{text} is not whole", f"write {int(half[1]) * 12 + 6} months")
        raise UnitProblem(f"'{shown}' is not an interval of days, weeks, months or years", _SPAN_HINT)
    months, days = (int(match[1]) * each for each in _SPANS[match[2]])
    if months + days == 0:
        raise UnitProblem(f"{text} is no time at all", _SPAN_HINT)
    if months > 1200 or days > 36_525:
        raise UnitProblem(f"{text} is longer than 100 years", _SPAN_HINT)
    return Interval(months, days, text)


_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_DATE_HINT = "write year-month-day, such as 2026-11-01"


_DAY_WORDS = re.compile(
    r"(?i)(?:([a-z]{3,9})\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})|([0-9]{1,2})\.? ([a-z]{3,9})\.? ([0-9]{4}))"
)


def dates_meant(text: str) -> tuple[str, ...]:
    """The days that a date in another notation may mean, as this program writes them: two where it says neither day nor month.

    >>> dates_meant("11/02/2026"), dates_meant("14/09/2026"), dates_meant("Nov 2, 2026")
    (('2026-11-02', '2026-02-11'), ('2026-09-14',), ('2026-11-02',))
    """
    text = " ".join(text.split())
    found: list[tuple[int, int, int]] = []
    if match := re.fullmatch(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})", text):
        found = [(int(match[1]), int(match[2]), int(match[3]))]
    elif match := re.fullmatch(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})", text):
        one, two, year = int(match[1]), int(match[3]), int(match[4])
        found = [(year, two, one)] if match[2] == "." else [(year, one, two), (year, two, one)]
    elif match := _DAY_WORDS.fullmatch(text):
        word, day, in_year = (match[1], match[2], match[3]) if match[1] else (match[5], match[4], match[6])
        months = [n for n, name in enumerate(_MONTHS, 1) if name.casefold().startswith(word.casefold())]
        found = [(int(in_year), n, int(day)) for n in months if len(months) == 1]
    days = (
        f"{y:04d}-{m:02d}-{d:02d}" for y, m, d in found if 1900 <= y <= 2199 and 1 <= m <= 12 and 1 <= d <= month_length(y, m)
    )
    return tuple(dict.fromkeys(days))


def _meant(text: str) -> str:
    """What to write for a date in another notation; empty where it cannot be told."""
    days = [(day, f"{_MONTHS[int(day[5:7]) - 1]} {int(day[8:])}") for day in dates_meant(text)]
    if len(days) == 2:
        return f"write {days[0][0]} for {days[0][1]}, or {days[1][0]} for {days[1][1]}"
    return f"write {days[0][0]}" if days else ""


def parse_date(text: str) -> date:
    """Read a calendar day written year-month-day (ISO 8601), 1900 to 2199. Raises UnitProblem.

    >>> parse_date("2026-11-01")
    datetime.date(2026, 11, 1)
    """
    text = text.strip()
    match = re.fullmatch(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", text)
    if not match:
        shown = text if len(text) <= _LONGEST else text[:20] + "..."
        message = f"'{shown}' is not a date" if text else "a date is wanted here, and the text is empty"
        raise UnitProblem(message, _meant(text) or _DATE_HINT)
    year, month, day = (int(part) for part in match.groups())
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise UnitProblem(f"{text} lies outside the years {FIRST_YEAR} to {LAST_YEAR}", "write the year in full, such as 2026")
    if not 1 <= month <= 12:
        raise UnitProblem(f"{text} is not a date: there is no month {match[2]}", _DATE_HINT)
    last = month_length(year, month)
    if not 1 <= day <= last:
        raise UnitProblem(f"{text} is not a date", f"{_MONTHS[month - 1]} {year} has days 01 to {last}")
    return date(year, month, day)
