"""The field guide: every field of profile and log as text, as JSON and as a paper, in words of a language."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from docgen.errors import Refusal
from docgen.fields import Field, below, fields, near, sections, units_of
from docgen.findings import RULES
from docgen.papers import outlines
from docgen.read import read_text
from docgen.units import KINDS
from docgen.words import findings_words, words

if TYPE_CHECKING:
    from docgen.compose.document import Document

__all__ = ["FORMATS", "field_text", "group_text", "guide", "kind_of", "section_of", "several_text"]

WIDTH = 80
LABEL = 11  # columns of the label before a line of text
MOST = 12  # fields that are listed where a short name may mean several
SAMPLE = 160  # signs of an example in one line


def _said(language: str) -> Mapping[str, Any]:
    found: Mapping[str, Any] = words(language)["guide"]
    return found


def section_of(name: str) -> Field:
    """A section, or another group of fields, by its path. Refusal, naming what comes near, for one that is not there."""
    wanted = name.strip().casefold().replace("-", "_")
    for field in fields():
        if field.group and field.name.casefold().replace("-", "_") == wanted:
            return field
    close = near(name, [field.name for field in fields() if field.group])
    if close:
        raise Refusal("no-section-but-near", asked=name, near=close)
    raise Refusal("no-section", asked=name, known=tuple(field.name for field in sections()))


# --- what is said of one field ------------------------------------------------------------------------------------------


def kind_of(field: Field, language: str) -> str:
    """What kind of value it takes, in words."""
    t = _said(language)
    if field.group:
        return str(t["groups" if field.many else "group"])
    types = t["types"]
    if field.what == "quantity":
        name = {"timespan": "time"}.get(field.arg, field.arg)
        one = types["quantity"].format(kind=KINDS[name].name, units=", ".join(units_of(name)))
    elif isinstance(field.arg, tuple):
        one = types["choice"]
    elif field.said.refers_to:
        into = (field.said.refers_to,) if isinstance(field.said.refers_to, str) else field.said.refers_to
        one = t["refers"].format(into=t["or_"].join(into))
    else:
        one = types[field.arg or field.what]
    return str(t["list"].format(one=one) if field.many else one)


def choices_of(field: Field) -> tuple[str, ...]:
    """The fixed words that it takes; none where it is free."""
    return tuple(map(str, field.arg)) if isinstance(field.arg, tuple) else ()


def example_of(field: Field) -> str:
    """The first example as one writes it in the file, on one line; empty where there is none or it is long."""
    if not field.said.examples:
        return ""
    text = written(field.said.examples[0])
    return text if len(text) <= SAMPLE else ""


def written(value: Any, within: bool = False) -> str:
    """A value on one line as one writes it in the file: in quotation marks only where it would be read otherwise; `within` brackets or braces."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {written(each, True)}" for key, each in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(written(each, True) for each in value) + "]"
    if not isinstance(value, str):
        return json.dumps(value)
    source = read_text(f"{{x: {value}}}" if within else f"x: {value}")
    return value if not source.problems and source.data == {"x": value} else json.dumps(value, ensure_ascii=False)


def who_knows(field: Field, language: str) -> str:
    """Who knows it, and where it is read off."""
    who = words(language)["report"]["who"][field.said.station] if field.said.station else ""
    off = field.said.read_off.rstrip(".")
    return f"{who} {off}.".strip() if off else str(who)


def findings_of(field: Field, language: str) -> tuple[str, ...]:
    """What stands without it, each with its severity and the name by which docgen explain knows it."""
    t = _said(language)
    severity = {rule.name: rule.severity for rule in RULES}
    told = findings_words(language)
    return tuple(
        t["finding"].format(title=told[name]["title"], severity=t["severity"][severity[name]], name=name) for name in field.asks
    )


def papers_of(field: Field, language: str) -> tuple[str, ...]:
    """The papers whose words rest on it, by their titles."""
    titles = {outline.name: outline.title[language] for outline in outlines()}
    return tuple(titles[name] for name in field.papers)


def counted(name: str, language: str) -> str:
    """How many fields a group holds, and how many of them must, should and may stand."""
    t = _said(language)
    inside = [field for field in below(name) if not field.group]
    levels = {level: sum(field.level == level for field in inside) for level in ("must", "should", "may")}
    return str(t["count_one"] if len(inside) == 1 else t["count"].format(n=len(inside), **levels))


def _level(field: Field, language: str) -> str:
    """Must, should or may, and for a must of the format that it is one."""
    t = _said(language)
    if not field.by_format:
        return str(t["level"][field.level])
    return str(t["by_format" if "." in field.name else "by_format_whole"])


# --- text ---------------------------------------------------------------------------------------------------------------


def _fill(text: str, first: str = "", rest: str = "") -> str:
    plain = " ".join(text.split())
    return textwrap.fill(plain, WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)


def _row(label: str, text: str) -> str:
    return _fill(text, f"  {label:<{LABEL}} ", " " * (LABEL + 3))


def field_text(field: Field, language: str) -> str:
    """Everything about one field; for a group, what it holds."""
    if field.group:
        return group_text(field, language)
    t = _said(language)
    rows = [
        ("kind", kind_of(field, language)),
        ("one_of", ", ".join(choices_of(field))),
        ("example", example_of(field)),
        ("level_is", _level(field, language)),
        ("known", who_knows(field, language)),
        ("without", "; ".join(findings_of(field, language))),
        ("papers", ", ".join(papers_of(field, language))),
    ]
    lines = [field.name, _fill(field.said.sentence, "  ", "  "), *(_row(t[key], text) for key, text in rows if text)]
    return "\n".join(lines) + "\n"


def group_text(group: Field, language: str) -> str:
    """What a group is, how many fields it holds, and its own ones in reading order, each with its level and sentence."""
    t = _said(language)
    lines = [f"{group.name}: {counted(group.name, language)}", _fill(group.said.sentence, "  ", "  "), ""]
    for field in below(group.name, deep=False):
        lines.append(_listed(field, field.key, language))
    return "\n".join([*lines, "", _fill(t["first"]), ""])


def _listed(field: Field, name: str, language: str) -> str:
    t = _said(language)
    told = field.said.sentence
    if field.group:
        n = sum(not inner.group for inner in below(field.name))
        told += " " + (t["in_it_one"] if n == 1 else t["in_it"]).format(n=n, name=field.name)
    head = f"  {t['level'][field.level]:<7}{name}"
    return f"{head}\n{_fill(told, ' ' * 9, ' ' * 9)}"


def several_text(asked: str, found: Iterable[Field], language: str) -> str:
    """The fields that a short name may mean, each with its level and sentence."""
    t, found = _said(language), tuple(found)
    lines = [t["several"].format(n=len(found), asked=asked)]
    lines += [_listed(field, field.name, language) for field in found[:MOST]]
    if len(found) > MOST:
        lines.append(f"  {t['several_more'].format(n=len(found) - MOST)}")
    return "\n".join(lines) + "\n"


def _as_text(section: Field | None, language: str) -> str:
    t = _said(language)
    if section is not None:
        told = [field_text(field, language) for field in below(section.name) if not field.group]
        head = f"{section.name}: {counted(section.name, language)}"
        return "\n".join([head, _fill(section.said.sentence, "  ", "  "), "", *told])
    lines = []
    for one in sections():
        lines.append(f"{one.name}: {counted(one.name, language)}")
        lines.append(_fill(one.said.sentence, "  ", "  "))
    return "\n".join([*lines, "", _fill(t["first"]), _fill(t["measured"]), _fill(t["more"])]) + "\n"


# --- JSON ---------------------------------------------------------------------------------------------------------------


def _as_object(field: Field, language: str) -> dict[str, Any]:
    severity = {rule.name: rule.severity for rule in RULES}
    quantity = field.what == "quantity"
    return {
        "name": field.name, "group": field.group, "list": field.many, "level": field.level, "by_format": field.by_format,
        "sentence": field.said.sentence, "kind": kind_of(field, language), "units": list(units_of(field.arg)) if quantity else [],
        "one_of": list(choices_of(field)), "examples": list(field.said.examples), "who": who_knows(field, language),
        "findings": [{"name": name, "severity": severity[name]} for name in field.asks], "papers": list(field.papers),
    }  # fmt: skip


def _as_json(section: Field | None, language: str) -> str:
    told = fields() if section is None else (section, *below(section.name))
    return (
        json.dumps({"schema_version": 1, "fields": [_as_object(f, language) for f in told]}, indent=2, ensure_ascii=False) + "\n"
    )


# --- the paper ----------------------------------------------------------------------------------------------------------


def guide(section: str | None, day: date, language: str, paper: str = "letter") -> Document:
    """The field guide as a document for the writers: of one section, or of all. `day` goes into the metadata alone."""
    from docgen.compose.composition import filled
    from docgen.compose.document import Document
    from docgen.compose.escape import escape
    from docgen.compose.number import number
    from docgen.compose.tree import parse

    t, labels = _said(language), words(language)["labels"]
    chosen = None if section is None else section_of(section)
    top = 0 if chosen is None else chosen.name.count(".")
    groups = [_group(one, top, language) for one in _groups(chosen)]
    title = t["title"] if chosen is None else f"{t['title']}: {chosen.name}"
    values = {"groups": groups, "t": t, "first": t["first"], "measured": t["measured"], "whole": chosen is None}
    text = filled(f"control/{language}/field-guide.md", "field-guide", values)
    markdown = f"# {escape(title)}\n\n{text.strip()}\n"
    return Document(
        name="field-guide", title=title, language=f"{language}-US" if "-" not in language else language, site_name="", number="",
        revision="", stamp="", date=day, paper=paper, layout="report", contents=chosen is None, body_pt=9.5, markdown=markdown,
        tree=number(parse(markdown), labels), labels=labels,
    )  # fmt: skip


def _groups(chosen: Field | None) -> list[Field]:
    """The groups of fields in reading order, those in a group behind it."""
    every = fields() if chosen is None else (chosen, *below(chosen.name))
    return [field for field in every if field.group]


def _group(group: Field, top: int, language: str) -> dict[str, Any]:
    depth = group.name.count(".") - top
    return {
        "name": group.name, "id": _id(group.name), "level": min(depth, 2), "sentence": group.said.sentence,
        "count": counted(group.name, language), "level_is": _said(language)["level"][group.level],
        "rows": [_entry(field, language) for field in below(group.name, deep=False)],
    }  # fmt: skip


def _id(name: str) -> str:
    return "f-" + name.replace(".", "-").replace("_", "-")


def _code(text: str) -> str:
    """Text as code, which takes every sign as it is; as plain text where it holds the sign that ends code."""
    from docgen.compose.escape import Markup, escape

    return escape(text) if "`" in text else Markup(f"`{text}`")


def _entry(field: Field, language: str) -> dict[str, Any]:
    t = _said(language)
    told = [
        ("who_is", "who", who_knows(field, language).rstrip(".")),
        ("without_is", "findings", "; ".join(findings_of(field, language))),
        ("papers_are", "papers", ", ".join(papers_of(field, language))),
    ]
    kind = kind_of(field, language)
    return {
        "key": _code(field.key), "name": field.key, "level": t["level"][field.level], "sentence": field.said.sentence, "kind": kind[:1].upper() + kind[1:],
        "one_of": ", ".join(choices_of(field)), "group": field.group, "to": _id(field.name) if field.group else "",
        "more": [] if field.group else [t[key].format(**{name: text}) for key, name, text in told if text],
        "example": _code(example) if not field.group and (example := example_of(field)) else "",
    }  # fmt: skip


def _as_html(section: Field | None, language: str, day: date) -> str:
    from docgen.write.html import render

    return render(guide(None if section is None else section.name, day, language)).data.decode("utf-8")


FORMATS = ("text", "json", "html")


def told(section: str | None, form: str, day: date, language: str) -> str:
    """The guide in one of FORMATS: a section, or a list of the sections (text) or all fields (JSON, HTML)."""
    chosen = None if section is None else section_of(section)
    if form == "html":
        return _as_html(chosen, language, day)
    return _as_json(chosen, language) if form == "json" else _as_text(chosen, language)
