"""The word screen on our own templates and words, in every language: no promise, waiver, claim of approval or weak verb.

Lists and replacements: common practice of counsel, no published source; what they rest on beyond that stands with each finding.
"""

from __future__ import annotations

import re

import pytest
import yaml

from docgen.resources import data_folder
from docgen.text.said import UNIT, has_subjects
from docgen.text.screens import found_in, screen_kinds
from docgen.words import findings_words, languages, words

TEMPLATES = data_folder("templates")
LOGIC = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{:.*?\}", re.DOTALL)
EVERYWHERE = ("promise", "waiver", "approval", "casualty")
NOTICE = (*EVERYWHERE, "permissive", "rescue-promise", "law-number")


def lists(name: str, language: str) -> dict:
    """A word list as it stands in the file."""
    return yaml.safe_load((TEMPLATES / "words" / "findings" / f"{name}.{language}.yaml").read_text(encoding="utf-8"))


def ours() -> list[tuple[str, str, str]]:
    """(language, place, text) of every template of ours, without its logic."""
    found = []
    for language in languages():
        for path in sorted(TEMPLATES.glob(f"*/{language}/*.md")):
            text = LOGIC.sub("…", path.read_text(encoding="utf-8"))
            found.append((language, str(path.relative_to(TEMPLATES)), text))
    return found


OURS = ours()


@pytest.mark.parametrize("language", languages())
def test_every_language_has_its_lists(language):
    """A language of the documents has a word screen and words for the comparison; nothing falls back to another."""
    assert (TEMPLATES / "words" / "findings" / f"screen.{language}.yaml").is_file()
    assert (TEMPLATES / "words" / "findings" / f"subjects.{language}.yaml").is_file()
    assert set(screen_kinds(language)) == set(screen_kinds("en"))


@pytest.mark.parametrize(("language", "place", "text"), OURS, ids=[o[1] for o in OURS])
def test_templates_pass_the_screen(language, place, text):
    """No template says what the screen catches in the site's own text; the notice passes the harder lists too."""
    folder = place.split("/")[0]
    for kind in NOTICE if folder == "contractor-notice" else EVERYWHERE:
        caught = [c.text for line in text.splitlines() for c in found_in(line, kind, language)]
        assert caught == [], (kind, caught)


@pytest.mark.parametrize(
    ("language", "place", "text"),
    [o for o in OURS if o[1].startswith("contractor-notice/")],
    ids=lambda v: v if "/" in str(v) else "",
)
def test_the_notice_names_no_minutes_and_no_rescuers(language, place, text):
    """The posted notice holds no figure of minutes and speaks of no rescuer; it says who starts the rescue procedure."""
    assert not re.search(r"\d[\s\u00a0]*(min|minutes?|s|seconds?)\b", text)
    source = (TEMPLATES / place).read_text(encoding="utf-8")
    assert not re.search(r"people\.rescuers|contact_limit|ground_limit|rescue\.methods|\.timings|assessed\.rescues", source)


@pytest.mark.parametrize("language", languages())
def test_words_files_pass_the_screen(language):
    """Labels, terms, phrases and the sentences of the findings promise nothing and claim no approval."""
    for section, entries in words(language).items():
        for key, text in entries.items() if isinstance(entries, dict) else ():
            if isinstance(text, str):
                for kind in EVERYWHERE:
                    assert not found_in(text, kind, language), (section, key, kind)
    for name, entry in findings_words(language).items():
        for part in ("title", "message", "action"):
            for kind in ("promise", "approval"):
                if not name.startswith(("waiver", "regulator-approval")):
                    assert not found_in(entry[part], kind, language), (name, part, kind)


@pytest.mark.parametrize("language", languages())
def test_every_entry_has_a_replacement_and_works(language):
    """Each entry of the screen has what to write instead, a pattern that compiles, and stems without which it cannot match."""
    rows = lists("screen", language)["screens"]
    assert {row["kind"] for row in rows} == set(screen_kinds(language))
    for row in rows:
        assert row["instead"] or row["kind"] in ("severe-use", "on-rail", "of-a-person", "weighing"), row
        assert re.compile(row["pattern"])
        assert row["stems"]
        assert all(stem == stem.casefold() for stem in row["stems"])


@pytest.mark.parametrize("language", languages())
def test_replacements_pass_the_screen_themselves(language):
    """What is offered instead is not caught by the same list."""
    for row in lists("screen", language)["screens"]:
        assert not found_in(row["instead"], row["kind"], language), row


@pytest.mark.parametrize("language", languages())
def test_subjects_compile(language):
    """Each subject of the comparison compiles and names its stems in small letters."""
    assert has_subjects(language)
    data = lists("subjects", language)
    for row in data["subjects"]:
        assert re.compile(f"{row['before']}1 {UNIT[row['kind']]}{row['after']}")
        assert row["stems"]
        assert all(stem == stem.casefold() for stem in row["stems"])
    assert {"must", "must_not", "may"} == set(data["duties"])


def test_files_are_what_their_readers_expect():
    """The lists are plain YAML with known keys only."""
    for path in sorted((TEMPLATES / "words" / "findings").glob("screen.*.yaml")):
        rows = yaml.safe_load(path.read_text(encoding="utf-8"))["screens"]
        assert all(set(row) == {"kind", "pattern", "instead", "stems"} for row in rows)
    for path in sorted((TEMPLATES / "words" / "findings").glob("subjects.*.yaml")):
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
        assert set(data) == {"subjects", "phone", "duties", "conditions", "places", "which", "roles"}
        assert all(set(row) == {"subject", "kind", "before", "after", "stems"} for row in data["subjects"])


# One sentence for each word that counsel strikes out, and what is offered in its place.
STRUCK = [
    ("promise", "This plan ensures your safety.", "require"), ("promise", "We guarantee a rescue.", "require"),
    ("permissive", "Drivers should wait.", "must"), ("permissive", "Drivers are encouraged to wait.", "must"),
    ("waiver", "You enter at your own risk.", "delete"), ("approval", "The rail is OSHA-approved.", "designed by"),
    ("approval", "Approved by the department of labor.", "inspected on"), ("rescue-promise", "Rescuers reach you within 6 minutes.", "rescue procedure"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "sentence", "instead"), STRUCK, ids=[s[1] for s in STRUCK])
def test_struck_words_come_with_a_replacement(kind, sentence, instead):
    """What is struck out comes with what to write."""
    caught = found_in(sentence, kind, "en")
    assert caught
    assert instead in caught[0].instead
