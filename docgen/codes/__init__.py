"""Law and standards as dated data: one folder a jurisdiction, a fixed list of questions, and the loader.

    code = load("US-KS", "general-industry", date(2026, 3, 2))
    code.ask("arrest_force_max").text        1,800 lbf (8 kN)

Folder: index.yaml (code, name, extends, shares, languages, units, paper, spelling, sectors, authority, review), limits.yaml, rules.yaml and
definitions.yaml (answers by question, sector and day), copies.yaml (where they were read), not_looked.yaml (what the review did not reach), sources.yaml, mistakes.yaml, words/<language>.yaml; all described by schemas/code.schema.json.
No figure of law stands in Python.
"""

from docgen.codes.answers import question, questions
from docgen.codes.code import LawAlone, facts, load
from docgen.codes.folder import known
from docgen.codes.model import Answer, Expected, Mistake, Question, Source
from docgen.codes.words import Words

__all__ = [
    "Answer",
    "Expected",
    "LawAlone",
    "Mistake",
    "Question",
    "Source",
    "Words",
    "facts",
    "known",
    "load",
    "question",
    "questions",
]
