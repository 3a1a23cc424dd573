"""Quantities: exact factors against pint and scipy, what is understood, what is refused, rounding the safe way."""

import math
import pickle
import re
from datetime import date, timedelta

import pint
import pytest
import scipy.constants as sc
from dateutil.relativedelta import relativedelta
from hypothesis import assume, given
from hypothesis import strategies as st

from docgen import units
from docgen.units import KINDS, UNITS, Amount, UnitProblem, parse, parse_date, parse_interval, show, show_as_written, spelled

PINT = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
# Our spelling -> pint's, where they differ; the factors themselves come from pint's own definitions.
PINT_NAMES = {
    "in": "inch", "lbs": "lb", "sec": "s", "hr": "hour", "h": "hour", "ft/s": "ft/second",
    "ft/min": "ft/minute", "mph": "mile/hour", "m/s": "m/second", "m/min": "m/minute",
    "km/h": "km/hour", "deg": "degree", "°": "degree", "degrees": "degree",
    "°F": "degF", "F": "degF", "°C": "degC", "C": "degC", "min": "minute", "rad": "radian", "g": "gram", "m": "meter",
    "K": "kelvin", "N": "newton", "kN": "kilonewton", "V": "volt", "kV": "kilovolt",
    "psi": "lbf/inch**2", "ksi": "ksi", "MPa": "megapascal", "GPa": "gigapascal", "in^4": "inch**4", "cm^4": "cm**4",
    "mm^4": "mm**4", "in^3": "inch**3", "cm^3": "cm**3", "mm^3": "mm**3",
}  # fmt: skip
PINT_BASE = {
    "length": "m", "mass": "kg", "force": "newton", "time": "s", "speed": "m/s", "angle": "radian",
    "temperature": "kelvin", "voltage": "volt", "stress": "pascal", "second_moment": "m**4", "section_modulus": "m**3",
}  # fmt: skip

# scipy.constants, which follows NIST SP 811 and CODATA
SCIPY = {
    "ft": sc.foot, "in": sc.inch, "lb": sc.pound, "lbf": sc.lbf, "g": sc.gram, "mm": sc.milli, "cm": sc.centi,
    "kN": sc.kilo, "min": sc.minute, "h": sc.hour, "mph": sc.mph, "km/h": sc.kmh, "ft/s": sc.foot,
    "ft/min": sc.foot / sc.minute, "deg": sc.degree, "kV": sc.kilo, "m/min": 1 / sc.minute,
}  # fmt: skip


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_agrees_with_pint(unit):
    """One, seventeen and a half, and a thousand of every unit give pint's SI value to 1e-12."""
    kind = UNITS[unit].kind
    for figure in ("1", "17.5", "1,000"):
        theirs = PINT.Quantity(float(figure.replace(",", "")), PINT_NAMES.get(unit, unit)).to(PINT_BASE[kind]).magnitude
        assert parse(f"{figure} {unit}", kind).si == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize(("unit", "factor"), SCIPY.items())
def test_units_agree_with_scipy(unit, factor):
    """One of a unit is scipy's factor to 1e-12."""
    assert parse(f"1 {unit}", UNITS[unit].kind).si == pytest.approx(factor, rel=1e-12)


def test_temperatures_agree_with_scipy():
    """Fahrenheit and Celsius are shifted as scipy shifts them; the two scales meet at -40."""
    for figure in (-40, -20, 0, 32, 110):
        for letter, name in (("F", "Fahrenheit"), ("C", "Celsius")):
            theirs = sc.convert_temperature(figure, name, "Kelvin")
            assert parse(f"{figure} °{letter}", "temperature").si == pytest.approx(theirs, rel=1e-12)
    assert parse("-40 °F", "temperature").si == parse("-40 °C", "temperature").si


SAME = [
    ("length", "18 ft 6 in", "18.5 ft", "222 in"),
    ("length", "42 in", "3.5 ft", "3 ft 6 in"),
    ("length", "300 mm", "30 cm", "0.3 m"),
    ("length", "-1 ft 6 in", "-18 in", "-1.5 ft"),
    ("mass", "310 lb", "310 lbs", "310.0 lb"),
    ("force", "1800 lbf", "1,800 lbf", "1800.00 lbf"),
    ("force", "8 kN", "8000 N", "8,000 N"),
    ("time", "6 min", "360 s", "0.1 h"),
    ("time", "1 h 30 min", "90 min", "5,400 s"),
    ("speed", "36 km/h", "10 m/s", "600 m/min"),
    ("angle", "30 deg", "30°", "30 degrees"),
    ("temperature", "-20 °F", "-20 degF", "\N{MINUS SIGN}20\N{NO-BREAK SPACE}°F"),
    ("voltage", "12.5 kV", "12,500 V", "12500 V"),
    ("stress", "29 ksi", "29,000 psi", "29000 psi"),
    ("stress", "200 GPa", "200,000 MPa", "200000 MPa"),
    ("second_moment", "2470 cm^4", "24,700,000 mm^4", "24700000 mm^4"),
    ("section_modulus", "243 cm^3", "243,000 mm^3", "243000 mm^3"),
]


@pytest.mark.parametrize("row", SAME, ids=lambda row: row[1])
def test_spellings_of_one_quantity_are_equal_to_the_last_bit(row):
    """A limit and a value written in other units of the same system compare as equal, not nearly equal."""
    kind, *texts = row
    assert len({parse(text, kind).si for text in texts}) == 1


@pytest.mark.parametrize(
    ("text", "kind", "amount"),
    [
        ("25ft", "length", Amount(7.62, "length", "25 ft", "ft")),
        ("  18  ft 6 in ", "length", Amount(5.6388, "length", "18 ft 6 in", "ft")),
        ("1,800 lbf", "force", Amount(8006.7989074689, "force", "1,800 lbf", "lbf")),
        ("30 °", "angle", Amount(math.radians(30), "angle", "30°", "°")),
        ("+5 cm", "length", Amount(0.05, "length", "5 cm", "cm")),
    ],
)
def test_amount_keeps_text_and_first_unit(text, kind, amount):
    """The text is kept as written, evenly spaced."""
    assert parse(text, kind) == amount


REFUSED = [
    ("25", "length", "25 has no unit", "write 25 ft or 25 m"),
    ("310", "mass", "310 has no unit", "write 310 lb or 310 kg"),
    ("1800", "force", "1800 has no unit", "write 1800 lbf or 1800 kN"),
    ("6", "time", "6 has no unit", "write 6 min or 6 s"),
    ("1.4", "speed", "1.4 has no unit", "write 1.4 ft/s or 1.4 m/s"),
    ("30", "angle", "30 has no unit", "write 30 deg or 30°"),
    ("-20", "temperature", "-20 has no unit", "write -20 °F or -20 °C"),
    ("25", "voltage", "25 has no unit", "write 25 kV or 25 V"),
    ("29000", "stress", "29000 has no unit", "write 29000 ksi or 29000 MPa"),
    ("59.3 in", "second_moment", "59.3 in is a length; a second moment of area is wanted", "write 59.3 in^4 or 2470 cm^4"),
    ("59.3 in^5", "second_moment", "'59.3 in^5' is not a second moment of area", "write one plain number and its unit: 59.3 in^4 or 2470 cm^4"),
    ("", "length", "a length is wanted here, and the text is empty", "write 25 ft or 7.62 m"),
    ("1,5 m", "length", "1,5 m has a comma inside the number", "write 1.5 m"),
    ("1,80 lbf", "force", "1,80 lbf has a comma inside the number", "write 1.80 lbf"),
    ("0,500 m", "length", "0,500 m has a comma inside the number", "write 0.500 m"),
    ("1800 lb", "force", "lb is mass; a force is written 1800 lbf", "write it in lbf or kN"),
    ("310 lbf", "mass", "lbf is force; a mass is written 310 lb", "write it in lb or kg"),
    ("8 kN", "mass", "kN is force; a mass is written 140 kg", "write it in lb or kg"),
    ("816 kg", "force", "kg is mass; a force is written 8 kN", "write the force itself, in kN or lbf"),
    ("6 min", "length", "6 min is a time; a length is wanted", "write 25 ft or 7.62 m"),
    ("5 ft/s", "length", "5 ft/s is a speed; a length is wanted", "write 25 ft or 7.62 m"),
    ("30°", "temperature", "30° is an angle; a temperature is wanted", "write -20 °F or -29 °C"),
    ("30 days", "time", "30 days is a span of the calendar; a time is wanted", "write 6 min or 90 s"),
    ("25 FT", "length", "'FT' is not a unit known here", "write 25 ft"),
    ("8 KN", "force", "'KN' is not a unit known here", "write 8 kN"),
    ("25 furlongs", "length", "'furlongs' is not a unit known here", "write a length like 25 ft or 7.62 m"),
    ("18'-6\"", "length", "18'-6\" uses quotation marks as units", "write 18 ft 6 in"),
    ("3 1/2 ft", "length", "3 1/2 ft holds a fraction", "write a decimal: 3.5 ft"),
    ("1 800 lbf", "force", "1 800 lbf has a space inside the number", "write 1800 lbf"),
    ("1e3 m", "length", "1e3 m uses an exponent", "write 1000 m"),
    ("inf ft", "length", "'inf ft' is not a number", "write 25 ft or 7.62 m"),
    ("nan m", "length", "'nan m' is not a number", "write 25 ft or 7.62 m"),
    ("± 3 ft", "length", "'± 3 ft' is not a length", "write one plain number and its unit: 25 ft or 7.62 m"),
    ("5-6 ft", "length", "'5-6 ft' is not a length", "write one plain number and its unit: 25 ft or 7.62 m"),
    ("ft", "length", "'ft' is not a length", "write one plain number and its unit: 25 ft or 7.62 m"),
    (".5 ft", "length", ".5 ft begins with a point", "write 0.5 ft"),
    ("5. ft", "length", "5. ft has a point without decimals", "write 5 ft"),
    ("18.5 ft 6 in", "length", "18.5 ft 6 in has decimals before the second part", "write whole ft before in"),
    ("18 ft 14 in", "length", "18 ft 14 in has 12 in or more", "write less than 12 in, or in alone"),
    ("18 ft -6 in", "length", "18 ft -6 in has a sign before the second part", "write 18 ft 6 in"),
    ("18 ft 6 m", "length", "18 ft 6 m has two parts that do not go together", "write 25 ft or 7.62 m"),
    ("1.234,5 m", "length", "1.234,5 is not a number", "write digits with one decimal point, such as 1800 or 7.62"),
    ("-3 lb", "mass", "a mass cannot be below zero", "write 3 lb"),
    ("-500 °C", "temperature", "-500 °C is below absolute zero", "write -20 °F or -29 °C"),
    ("9" * 16 + " m", "length", "9" * 16 + " has more than 15 digits", "write the figure as it was measured"),
    ("9" * 5000 + " m", "length", "'" + "9" * 20 + "...' is too long for a length", "write 25 ft or 7.62 m"),
]  # fmt: skip


@pytest.mark.parametrize("row", REFUSED, ids=lambda row: row[0][:20])
def test_refusals_say_what_is_wrong_and_what_is_right(row):
    """Each mistake gives exactly this message and hint."""
    text, kind, message, hint = row
    with pytest.raises(UnitProblem) as caught:
        parse(text, kind)
    assert (caught.value.message, caught.value.hint) == (message, hint)


OFFERED = [row for row in REFUSED if re.search(r"^write [-\d]", row[3])]


@pytest.mark.parametrize("row", OFFERED, ids=lambda row: row[0][:20])
def test_what_a_hint_offers_is_itself_accepted(row):
    """Whoever writes what the hint says is understood."""
    for offered in row[3].removeprefix("write ").split(" or "):
        assert math.isfinite(parse(offered, row[1]).si)


SHOWN = [
    (2.152, "length", "us", "up", "7.1 ft (2.17 m)"),
    (2.152, "length", "si", "up", "2.16 m (7.1 ft)"),
    (7.500000000001 * 0.3048, "length", "us", "up", "7.5 ft (2.29 m)"),
    (7.499999999999 * 0.3048, "length", "us", "down", "7.5 ft (2.28 m)"),
    (-1e-15, "length", "us", "down", "0.0 ft (0.00 m)"),
    (-0.01, "length", "us", "up", "0.0 ft (0.00 m)"),
    (-0.01, "length", "us", "down", "-0.1 ft (-0.04 m)"),
    (310 * 0.45359237, "mass", "us", "down", "310 lb (140.6 kg)"),
    (140.0, "mass", "si", "down", "140 kg (308 lb)"),
    (140.65, "mass", "si", "up", "140.7 kg (311 lb)"),
    (1800 * 4.4482216152605, "force", "us", "down", "1,800 lbf (8.00 kN)"),
    (8000.0, "force", "si", "up", "8.00 kN (1,799 lbf)"),
    (505.0, "time", "us", "up", "8.5 min"),
    (1.0, "time", "si", "up", "0.1 min"),
    (3.4747, "speed", "us", "nearest", "11.4 ft/s (3.47 m/s)"),
    (0.49, "angle", "us", "up", "28.1°"),
    (244.26111111111112, "temperature", "us", "nearest", "-20 °F (-29 °C)"),
    (303.15, "temperature", "si", "nearest", "30 °C (86 °F)"),
    (12_500.0, "voltage", "us", "up", "12.5 kV"),
    (600.0, "voltage", "si", "nearest", "0.6 kV"),
    (1e8, "stress", "us", "up", "14.6 ksi (101 MPa)"),
    (2.4682518e-5, "second_moment", "us", "nearest", "59.3 in^4 (2,468 cm^4)"),
]


@pytest.mark.parametrize("row", SHOWN, ids=lambda row: row[-1])
def test_shown_text(row):
    """Governing system first, each figure rounded in its own unit, float noise without effect, no minus before zero.

    Converted figures were worked out by hand from the exact definitions named in docgen/units.py.
    """
    si, kind, system, toward, text = row
    assert show(si, kind, system, toward=toward) == text
    assert show(si, kind, system, toward=toward, both=False) == text.split(" (")[0]


@pytest.mark.parametrize(
    ("text", "kind", "toward", "shown"),
    [
        ("18 ft 6 in", "length", "down", "18 ft 6 in (5.63 m)"),
        ("18 ft 6 in", "length", "up", "18 ft 6 in (5.64 m)"),
        ("5.6 m", "length", "up", "5.6 m (18.4 ft)"),
        ("310 lb", "mass", "down", "310 lb (140.6 kg)"),
        ("8 kN", "force", "down", "8 kN (1,798 lbf)"),
        ("90 s", "time", "up", "90 s"),
        ("30 deg", "angle", "up", "30 deg"),
        ("-20 °F", "temperature", "nearest", "-20 °F (-29 °C)"),
    ],
)
def test_shown_as_written(text, kind, toward, shown):
    """What the user wrote stays; only the other system is converted and rounded."""
    assert show_as_written(parse(text, kind), toward) == shown


FACTORS = {  # one of the printed unit in SI, by the definitions of 1959 and 1901 (see docgen/units.py)
    "ft": 0.3048, "m": 1.0, "lb": 0.45359237, "kg": 1.0, "lbf": 4.4482216152605, "kN": 1000.0, "min": 60.0,
    "ft/s": 0.3048, "m/s": 1.0, "°": math.pi / 180, "kV": 1000.0, "ksi": 4448.2216152605 / 0.0254**2, "MPa": 1e6,
    "in^4": 0.0254**4, "cm^4": 1e-8, "in^3": 0.0254**3, "cm^3": 1e-6,
}  # fmt: skip
SIMPLE = sorted(set(KINDS) - {"temperature"})


def figures(shown):
    """Each printed figure back in SI."""
    for number, unit in re.findall(r"(-?[\d,]+(?:\.\d+)?) ?([^\s()\d,^-]+(?:\^[34])?)", shown):
        yield float(number.replace(",", "")) * FACTORS[unit]


@given(st.floats(1e-4, 1e6), st.sampled_from(SIMPLE), st.sampled_from(["us", "si"]))
def test_printed_up_is_never_below_and_printed_down_never_above(si, kind, system):
    """Up to float noise (1e-9) both printed figures stay on the safe side, whatever the value."""
    noise = 1e-9 * max(si, 100.0)
    assert all(figure >= si - noise for figure in figures(show(si, kind, system, toward="up")))
    assert all(figure <= si + noise for figure in figures(show(si, kind, system, toward="down")))


@given(st.integers(0, 9_999), st.integers(0, 9), st.sampled_from(["ft", "lb", "m", "kg", "lbf", "min", "deg", "ft/s"]))
def test_a_printable_figure_survives_both_roundings(whole, tenth, unit):
    """A figure with no more digits than are printed comes out the same, rounded either way."""
    kind = UNITS[unit].kind
    assume(not (tenth and unit in ("lb", "lbf")))
    amount = parse(f"{whole}.{tenth} {unit}" if tenth else f"{whole} {unit}", kind)
    system = "si" if units.system_of(unit) == "si" else "us"
    up, down = (show(amount.si, kind, system, toward=toward, both=False) for toward in ("up", "down"))
    assert up == down == show(amount.si, kind, system, toward="nearest", both=False)
    assert math.isclose(next(figures(up)), amount.si, rel_tol=1e-12)


def outcome(reader, text):
    """True for a value that is finite, or the two sentences of a problem being there."""
    try:
        value = reader(text)
    except UnitProblem as problem:
        return bool(problem.message) and bool(problem.hint)
    return isinstance(value, date) or math.isfinite(value)


@given(st.text(max_size=80), st.sampled_from(sorted(KINDS)))
def test_any_text_is_read_or_refused_with_both_sentences(text, kind):
    """Nothing but an Amount with a finite value or a UnitProblem with message and hint ever comes back."""
    for reader in (lambda text: parse(text, kind).si, lambda text: parse_interval(text).days, parse_date):
        assert outcome(reader, text)


NEARLY = r"\A[-+]?[0-9.,]{1,8} ?[a-zA-Z°/'\"]{0,4}( [0-9.]{1,3} ?[a-z]{1,2})?\Z"


@given(st.from_regex(NEARLY), st.sampled_from(sorted(KINDS)))
def test_near_misses_are_read_or_refused(text, kind):
    """Text that looks much like a quantity never gives anything else than an Amount or a UnitProblem."""
    assert outcome(lambda text: parse(text, kind).si, text)


def test_show_refuses_what_is_not_a_quantity():
    """A value that is not finite or an unknown option is a fault of the program and raises ValueError."""
    for si, system, toward in ((math.nan, "us", "up"), (math.inf, "us", "up"), (1.0, "uk", "up"), (1.0, "us", "away")):
        with pytest.raises(ValueError, match="cannot"):
            show(si, "length", system, toward=toward)


def test_systems_and_problems_travel():
    """Each unit has a system; an unknown one is refused; problems survive the way between processes."""
    assert [units.system_of(unit) for unit in ("ft", "kN", "min", "°C")] == ["us", "si", "both", "si"]
    with pytest.raises(UnitProblem) as caught:
        units.system_of("furlong")
    again = pickle.loads(pickle.dumps(caught.value))
    assert (again.message, again.hint) == (caught.value.message, caught.value.hint)


INTERVALS = [("12 months", 12, 0), ("1 year", 12, 0), ("30 days", 0, 30), ("2 weeks", 0, 14), ("90 days", 0, 90),
             ("6 months", 6, 0), ("1  month", 1, 0)]  # fmt: skip


@pytest.mark.parametrize(("text", "months", "days"), INTERVALS)
def test_intervals(text, months, days):
    """Months stay months and days stay days; the text is kept."""
    interval = parse_interval(text)
    assert (interval.months, interval.days, interval.text) == (months, days, " ".join(text.split()))


@pytest.mark.parametrize(
    ("text", "message", "hint"),
    [
        ("12", "12 has no unit", "write 12 months or 12 days"),
        ("", "an interval is wanted here, and the text is empty", "write 12 months or 30 days"),
        ("1.5 years", "1.5 years is not whole", "write 18 months"),
        ("0 days", "0 days is no time at all", "write 12 months or 30 days"),
        ("yearly", "'yearly' is not an interval of days, weeks, months or years", "write 12 months or 30 days"),
        ("9999 years", "9999 years is longer than 100 years", "write 12 months or 30 days"),
    ],
)
def test_refused_intervals(text, message, hint):
    """Each mistake gives exactly this message and hint."""
    with pytest.raises(UnitProblem) as caught:
        parse_interval(text)
    assert (caught.value.message, caught.value.hint) == (message, hint)


@given(st.dates(date(1900, 1, 1), date(2199, 12, 31)), st.integers(1, 1200), st.integers(1, 36_500))
def test_intervals_after_a_day_agree_with_dateutil(day, months, days):
    """Months are added as relativedelta of dateutil adds them (a shorter month clamps), days as timedelta does."""
    assert parse_interval(f"{months} months").after(day) == day + relativedelta(months=months)
    assert parse_interval(f"{days} days").after(day) == day + timedelta(days=days)


@given(st.dates(date(1900, 1, 1), date(2199, 12, 31)))
def test_every_iso_date_is_read(day):
    """What datetime writes as ISO 8601 is read back."""
    assert parse_date(day.isoformat()) == day


@pytest.mark.parametrize(
    ("text", "message", "hint"),
    [
        ("2026-02-30", "2026-02-30 is not a date", "February 2026 has days 01 to 28"),
        ("2100-02-29", "2100-02-29 is not a date", "February 2100 has days 01 to 28"),
        ("2026-13-45", "2026-13-45 is not a date: there is no month 13", "write year-month-day, such as 2026-11-01"),
        ("11/02/2026", "'11/02/2026' is not a date", "write 2026-11-02 for November 2, or 2026-02-11 for February 11"),
        ("14/09/2026", "'14/09/2026' is not a date", "write 2026-09-14"),
        ("02.11.2026", "'02.11.2026' is not a date", "write 2026-11-02"),
        ("2 Nov 2026", "'2 Nov 2026' is not a date", "write 2026-11-02"),
        ("31/02/2026", "'31/02/2026' is not a date", "write year-month-day, such as 2026-11-01"),
        ("2026-1-2", "'2026-1-2' is not a date", "write 2026-01-02"),
        ("0202-01-01", "0202-01-01 lies outside the years 1900 to 2199", "write the year in full, such as 2026"),
        ("", "a date is wanted here, and the text is empty", "write year-month-day, such as 2026-11-01"),
    ],
)
def test_refused_dates(text, message, hint):
    """Each mistake gives exactly this message and hint."""
    with pytest.raises(UnitProblem) as caught:
        parse_date(text)
    assert (caught.value.message, caught.value.hint) == (message, hint)


@pytest.mark.parametrize(
    ("text", "kind", "right"),
    [
        ("25'", "length", "25 ft"), ("25’", "length", "25 ft"), ("18'-6\"", "length", "18 ft 6 in"), ("18' 6''", "length", "18 ft 6 in"),
        ("25 feet", "length", "25 ft"), ("25Ft.", "length", "25 ft"), ("18 feet, 6 inches", "length", "18 ft 6 in"), ("5.6m", "length", "5.6 m"),
        ("5,6 m", "length", "5.6 m"), ("24,5 ft", "length", "24.5 ft"), ("1,234 ft", "length", "1,234 ft"), ("0,125 m", "length", "0.125 m"), ("1.234,5 m", "length", None), ("310 lbs", "mass", "310 lb"),
        ("140 kgs", "mass", "140 kg"), ("1800 lbs", "force", None), ("8 KN", "force", "8 kN"), ("90 secs", "time", "90 s"), ("2' 30\"", "time", None),
        ("-20 F", "temperature", "-20 °F"), ("30 degrees", "angle", "30 deg"), ("24,5", "length", None), ("25 yards", "length", None),
        ("about 25 ft", "length", None), ("25 ft or so", "length", None), ("25 ft 14 in", "length", None), ("-5 lb", "mass", None), ("", "length", None),
        ("29,000 ksi", "stress", "29,000 ksi"), ("1 000 lb", "mass", None), ("6 1/2 ft", "length", None),
    ],
)  # fmt: skip
def test_spelled_as_this_program_writes_it(text, kind, right):
    """Only the spelling of figure and unit changes; where anything else would, there is no answer. What is read is the same amount."""
    assert spelled(text, kind) == right
    try:
        before = parse(text, kind)
    except UnitProblem:
        return
    if right is not None:
        assert (parse(right, kind).si, spelled(right, kind)) == (before.si, right)
