"""The profile: the law that is applied and those who review."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen import units
from docgen.site.declare import Jurisdiction, Key, Name, Node, PaperName, QuestionKey, RuleValue, Text, record, says
from docgen.site.limits import RuleBound
from docgen.site.place import RolePart

__all__ = ["CodeSettings", "LawAnswer", "LawForce", "LocalKind", "LocalRule", "Reviewer"]

LocalKind = Literal["local", "owner", "insurer"]
LawForce = Literal["mandatory", "guidance", "voluntary"]


@record
class LocalRule(Node):
    """Rules of a town, county or other local authority, of an owner or an insurer; counsel or the authority names them."""

    id: Key = says(
        "A short name without spaces for the local rule.", "local-fire", default="", required=True, id_of="local_rules"
    )
    citation: Name = says(
        "The title and section of the local rule.", "Pine Hollow municipal code, chapter 12", default="", required=True
    )
    authority: Name | None = says("Who enforces it.", "Pine Hollow fire marshal")
    kind: LocalKind = says(
        "Whose rule it is: a local authority's, the owner's or client's, or the insurer's; local if left out.",
        "local",
        "owner",
        default="local",
    )
    question: QuestionKey | None = says(
        "The question to the law that the rule answers too, by its key in the list of questions; the strictest answer governs.",
        "arrest_force_max",
    )
    bound: RuleBound | None = says(
        "Which way the rule's figure goes, if not the way of the question: at most, at least, or exactly that.", "exactly"
    )
    value: RuleValue | None = says("The rule's own figure for that question, with its unit.", "4 kN", "3 min")
    interval: units.Interval | None = says("For a question about how often, the rule's own interval.", "6 months")
    text: Text = says(
        "What it asks for, in the site's own words.", "Fire lanes to the bays stay clear", default="", required=True
    )
    verified_on: date | None = says("The day on which it was last compared with its current text.", "2026-02-20")
    applied: Text | None = says(
        "What of the local code was applied here.",
        "The permit of the town for work above 10 ft",
        need="B",
        station="counsel",
        when="local-code",
        papers=(1, 3, 6),
    )


@record
class LawAnswer(Node):
    """An answer of law that counsel or a named person looked up."""

    question: QuestionKey = says(
        "The question, by its key in the list of questions of law.", "arrest_force_max", default="", required=True
    )
    text: Text | None = says("What the text says, in plain words.", "The force on a person is at most 8 kN", required=True)
    value: RuleValue | None = says("The figure, where the question asks for one.", "8 kN")
    citation: Name | None = says("The paragraph.", "Reg. 12(3)", required=True)
    force: LawForce | None = says("Whether the text binds.", "mandatory", required=True)
    by: Name | None = says("Who read it.", "A. Petrie, counsel", required=True)
    on: date | None = says("The day on which it was read.", "2026-10-20", required=True)
    copy: Name | None = says("The copy that was read.", "Official consolidation of 2026-09-01")


@record
class CodeSettings(Node):
    """What local rules and which owner's sets come on top of the law."""

    vehicle_tops: Text | None = says(
        "What counsel says about the law for work on top of vehicles at this site.",
        "The bays carry a rail under a canopy; counsel treats its use as feasible",
    )
    owner: tuple[str, ...] = says(
        "Requirements of an owner or standards that a contract lays over the law, by the code of their set.",
        ["EM-385-1-1-2014"],
        default=(),
        each="EM-385-1-1-2014",
        max_length=40,
        pattern="^[A-Z][A-Za-z0-9.-]*$",
    )
    local: tuple[LocalRule, ...] = says(
        "Rules of a town, county or other local authority, of an owner or an insurer; counsel or the authority names them.",
        [{"id": "local-fire", "citation": "Pine Hollow municipal code, chapter 12", "text": "Fire lanes to the bays stay clear"}],
        default=(),
    )
    answers: tuple[LawAnswer, ...] = says(
        "Answers of law that counsel or a named person looked up.",
        [
            {
                "question": "arrest_force_max",
                "text": "The force on a person is at most 8 kN",
                "citation": "Reg. 12(3)",
                "force": "mandatory",
                "by": "A. Petrie, counsel",
                "on": "2026-10-20",
            }
        ],
        default=(),
        need="o",
        papers=(1, 3, 6),
    )


@record
class Reviewer(Node):
    """The licensed or qualified people who review the documents."""

    id: Key = says("A short name without spaces for the reviewer.", "RV-1", default="", required=True, id_of="reviewers")
    part: RolePart = says(
        "The part in which the person reviews, from the same closed list as the parts of roles.",
        "qualified-person",
        "counsel",
        default="other",
        required=True,
    )
    name: Name | None = says("The reviewer's name, as on the licence.", "A. Verhoeven")
    licence: Name | None = says("The licence number, as on the licence.", "KS-00000 (invented)")
    jurisdiction: Jurisdiction | None = says("The state or country that granted the licence.", "US-KS")
    discipline: Name | None = says("The discipline of the licence.", "structural")
    expires: date | None = says("The day on which the licence ends.", "2027-12-31")
    scope: Text | None = says("What the person reviews, and no more.", "Anchorage, chain of ratings and calculations")
    papers: tuple[PaperName, ...] = says(
        "The papers that this person reviews.",
        ["engineering-record"],
        default=(),
        unique=True,
        need="B",
        station="engineer",
        when="reviews-figures",
        papers=(1, 2, 6),
    )
    sections: tuple[Name, ...] = says(
        "The sections that this person reviews; structure and ground stand apart.",
        ["4 Load path", "7 All cases"],
        default=(),
        unique=True,
        need="B",
        station="engineer",
        when="reviews-figures",
        papers=(1, 2, 6),
    )
    seal: bool | None = says(
        "True when a seal is asked.", True, need="B", station="engineer", when="reviews-figures", papers=(1, 2, 6)
    )
