"""The data of the templates: index files and words follow their schemas, and every language has everything."""

import json

import pytest
from jsonschema import Draft202012Validator

from docgen.compose.document import LABELS
from docgen.data import load
from docgen.resources import data_folder, schema_text
from docgen.words import findings_words, languages, words

TEMPLATES = data_folder("templates")


def errors(schema: str, data) -> list[str]:
    Draft202012Validator.check_schema(json.loads(schema_text(schema)))
    return [e.message for e in Draft202012Validator(json.loads(schema_text(schema))).iter_errors(data)]


@pytest.mark.parametrize("path", sorted(TEMPLATES.glob("*/index.yaml")), ids=lambda p: p.parent.name)
def test_index_follows_its_schema(path):
    """Each document's index.yaml is what schemas/document.schema.json says."""
    assert errors("document", load(path, "document")) == []


@pytest.mark.parametrize("language", languages())
def test_words_follow_their_schema(language):
    """Each words file is what schemas/words.schema.json says and has every label of the writers."""
    assert errors("words", words(language)) == []
    for key, fields in LABELS.items():
        assert all(field in words(language)["labels"][key] for field in fields), key


def test_every_language_has_every_word():
    """No key of one language is missing in another: there is no silent fall back."""
    for section in ("labels", "stamp", "approvals", "terms", "phrases"):
        keys = {language: set(words(language)[section]) for language in languages()}
        assert len({frozenset(k) for k in keys.values()}) == 1, (section, keys)
    assert len({frozenset(findings_words(language)) for language in languages()}) == 1


def test_finding_words_split_as_a_parser_reads_them():
    """The quick split of the findings file gives what a full parse gives."""
    for language in languages():
        path = TEMPLATES / "words" / "findings" / f"{language}.yaml"
        assert dict(findings_words(language)) == load(path, "findings")["findings"]
