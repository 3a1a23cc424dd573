"""The data of the templates: index files and words follow their schemas, and every language has everything."""

import re
import shutil
from pathlib import Path

import pytest
import yaml
from outside import schema_faults
from support import ROOT

from docgen.compose.document import LABELS
from docgen.data import load
from docgen.resources import data_folder
from docgen.words import findings_words, languages, words

TEMPLATES = data_folder("templates")
CODES = ROOT / "docgen" / "codes"


@pytest.mark.parametrize("path", sorted(TEMPLATES.glob("*/index.yaml")), ids=lambda p: p.parent.name)
def test_index_follows_its_schema(path):
    """Each document's index.yaml is what schemas/document.schema.json says."""
    assert schema_faults("document", yaml.safe_load(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize("language", languages())
def test_words_follow_their_schema(language):
    """Each words file is what schemas/words.schema.json says and has every label of the writers."""
    assert schema_faults("words", words(language)) == []
    for key, fields in LABELS.items():
        assert all(field in words(language)["labels"][key] for field in fields), key


def keys(data: object, path: str = "") -> set[str]:
    """Every key of a words file with the keys above it; the spelling of a country is no matter of another language."""
    if not isinstance(data, dict):
        return set()
    inner = {f"{path}{key}" for key in data if f"{path}{key}" != "spelling"}
    return inner.union(*(keys(value, f"{path}{key}.") for key, value in data.items() if f"{path}{key}" != "spelling"))


def language_files(language: str, templates: Path = TEMPLATES) -> dict[str, set[str]]:
    """What a language consists of: each of its files with the keys in it, sections of the documents with none."""
    at = templates / "words"
    found = {
        f"{path.relative_to(templates).as_posix().removesuffix(f'{language}.yaml')}*.yaml": keys(
            yaml.safe_load(path.read_text(encoding="utf-8"))
        )
        for path in (
            at / f"{language}.yaml",
            at / f"calculations.{language}.yaml",
            *(p for room in ("findings", "practice", "refusals") for p in sorted((at / room).glob(f"*{language}.yaml"))),
        )
        if path.is_file()
    }
    # of law and of documents only that they are there: what they hold is checked where they are read
    laws = CODES if templates is TEMPLATES else templates / "codes"
    found |= {f"codes/{path.parent.parent.name}/words/*.yaml": set() for path in laws.glob(f"*/words/{language}.yaml")}
    for path in sorted(templates.glob("*/index.yaml")):
        index = yaml.safe_load(path.read_text(encoding="utf-8"))
        found |= {f"{path.parent.name}/index.yaml: {key}": set() for key in SAID if language in index[key]}
    sections = sorted(templates.glob(f"*/{language}/*.md"))
    return found | {f"{path.parent.parent.name}/*/{path.name}": set() for path in sections}


SAID = ("title", "called", "short", "reader")  # what an index says in each language


def gaps(language: str, templates: Path = TEMPLATES) -> list[str]:
    """What English has and another language lacks, or the other way round."""
    ours, theirs = language_files("en", templates), language_files(language, templates)
    return sorted(
        [
            *(ours.keys() ^ theirs.keys()),
            *(f"{name}: {key}" for name in ours.keys() & theirs for key in ours[name] ^ theirs[name]),
        ]
    )


@pytest.mark.parametrize("language", languages())
def test_every_language_has_every_word(language):
    """No file and no key of one language is missing in another: there is no silent fall back."""
    assert gaps(language) == []


def test_a_gap_of_a_language_is_seen(tmp_path):
    """A pseudo-language made of the English one has no gap; whatever is taken out of it is named, all in one run."""
    templates = Path(shutil.copytree(TEMPLATES, tmp_path / "templates"))
    for path in CODES.glob("*/words/en.yaml"):
        place = templates / "codes" / path.relative_to(CODES)
        place.parent.mkdir(parents=True)
        shutil.copy(path, place)
    for path in templates.rglob("*en.yaml"):
        path.with_name(path.name.replace("en.yaml", "qps.yaml")).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    for folder in templates.glob("*/en"):
        shutil.copytree(folder, folder.with_name("qps"))
    for path in templates.glob("*/index.yaml"):
        text = path.read_text(encoding="utf-8")
        said = re.sub(rf"^({'|'.join(SAID)}): \{{en: (.*?)\}}$", r"\1: {en: \2, qps: \2}", text, flags=re.MULTILINE)
        path.write_text(said, encoding="utf-8")
    assert gaps("qps", templates) == []
    for name, old, new in (
        ("words/qps.yaml", "  reviewed: ", "  seen: "), ("words/findings/qps.yaml", "  clearance-short:", "  short:"),
        ("words/refusals/qps.yaml", "  kept-on-hold:", "  kept:"), ("words/practice/qps.yaml", "road_vehicle_width", "width"),
        ("words/calculations.qps.yaml", "  swing.swing_drop:", "  swing.drop:"), ("contractor-notice/index.yaml", ", qps:", ", fr:"),
    ):  # fmt: skip
        path = templates / name
        text = path.read_text(encoding="utf-8")
        assert old in text, old
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
    (templates / "contractor-notice" / "qps" / "rules.md").unlink()
    (templates / "codes" / "us" / "words" / "qps.yaml").unlink()
    found = gaps("qps", templates)
    for gap in ("contractor-notice/*/rules.md", "codes/us/words/*.yaml", "contractor-notice/index.yaml: title", "words/findings/*.yaml: findings.clearance-short",
                "words/refusals/*.yaml: sentences.kept-on-hold"):  # fmt: skip
        assert gap in found
    for name in ("words/*.yaml", "words/practice/*.yaml", "words/calculations.*.yaml"):
        assert any(gap.startswith(f"{name}: ") for gap in found), name


# a key written out, in a template or in the code that composes: {{ 'no'|term }}, term('no'), words["phrases"]["about"], phrase("about")
KEY = re.compile(r"""(?:'([a-z][\w-]*)'\|term\b|\b(term|phrase)s?(?:["']\]\[|\[|\()["']([a-z][\w-]*)["'])""")


def test_every_word_that_is_asked_for_by_name_exists():
    """A key that is written out is a key of the words: no document fails only at the site that needs it."""
    sources = [*TEMPLATES.glob("*/*/*.md"), *(ROOT / "docgen" / "compose").glob("*.py")]
    asked = {(m[2] or "term", m[1] or m[3]) for path in sources for m in KEY.finditer(path.read_text(encoding="utf-8"))}
    assert len(asked) >= 10
    for language in languages():
        entries = {"term": words(language)["terms"], "phrase": {**words(language)["phrases"], **words(language)["values"]}}
        assert [(kind, key) for kind, key in sorted(asked) if key not in entries[kind]] == []


def test_finding_words_split_as_a_parser_reads_them():
    """The quick split of the findings file gives what a full parse gives."""
    for language in languages():
        path = TEMPLATES / "words" / "findings" / f"{language}.yaml"
        assert dict(findings_words(language)) == load(path, "findings")["findings"]


@pytest.mark.parametrize("path", sorted(TEMPLATES.glob("**/*.md")), ids=lambda p: str(p.relative_to(TEMPLATES)))
def test_no_macro_has_the_name_of_another_in_its_file(path):
    """The last of two macros of one name would win without a word."""
    names = re.findall(r"{%-? *macro +(\w+)", path.read_text(encoding="utf-8"))
    assert sorted(names) == sorted(set(names))
