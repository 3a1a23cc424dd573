"""Findings on training, on the people whom the law names, and on the hazard assessment."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from docgen.findings.common import latest, listed, overdue, terms, worded
from docgen.findings.rule import PLAN, finding
from docgen.findings.view import Hit, View
from docgen.site import Role
from docgen.site.log import OWN, Breach

__all__ = [
    "before_use_inspection_missing",
    "competent_person_missing",
    "competent_person_unappointed",
    "event_persons_unstated",
    "hazard_assessment_missing",
    "refresher_overdue",
    "retraining_after_event",
    "trainer_unqualified",
    "training_language",
    "training_missing",
    "training_practical",
    "training_topics",
    "users_missing",
]

TOPICS = ("fall-hazards", "procedures", "use-and-inspection", "hook-up-and-storage", "rescue")


@finding("users-missing", "fix-soon", documents=(PLAN,), basis="law:training_before_exposure")
def users_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether anyone is listed who may climb.

    Why: training and fit are proven person by person. Example: allowed tasks and an empty list. Reference: 29 CFR
    1910.30(a)(1).
    """
    if view.allowed and not view.site.people.users:
        yield Hit("people.users")


@finding("training-missing", "must-fix", documents=(PLAN,), basis="law:training_before_exposure", stops="use")
def training_missing(view: View) -> Iterator[Hit]:
    """What it looks at: people who may climb and have no training on record.

    Why: it comes before exposure. Example: U-05 has no record. Reference: 29 CFR 1910.30(a)(1).
    """
    for user in view.site.people.users:
        if view.happened.training_of(user.id) is None:
            yield Hit(user.path, {"user": user.id})


@finding("training-language", "must-fix", documents=(PLAN,), basis="law:training_language", stops="use")
def training_language(view: View) -> Iterator[Hit]:
    """What it looks at: the language of the last course against those the person understands.

    Why: training not understood is none. Example: trained in en, speaks es. Reference: 29 CFR 1910.30(d) (memory).
    """
    for user in view.site.people.users:
        last = view.happened.training_of(user.id)
        if last is not None and last.language is not None and user.languages and last.language not in user.languages:
            yield Hit(last.path, {"user": user.id, "trained": last.language, "speaks": listed(user.languages)})


@finding("training-practical", "fix-soon", documents=(PLAN,), basis="law:equipment_training", stops="use")
def training_practical(view: View) -> Iterator[Hit]:
    """What it looks at: whether the last course let the person handle the equipment.

    Why: a film teaches no hook-up. Example: practical: false. Reference: 29 CFR 1910.30(b) (memory); common practice.
    """
    for user in view.site.people.users:
        last = view.happened.training_of(user.id)
        if last is not None and last.on is not None and last.practical is False:
            yield Hit(last.path, {"user": user.id, "on": last.on})


@finding("training-topics", "fix-soon", documents=(PLAN,), basis="law:training_topics")
def training_topics(view: View) -> Iterator[Hit]:
    """What it looks at: the topics of the course against the five that a rail system needs.

    Why: a gap shows on the deck. Example: hook-up and storage left out. Reference: 29 CFR 1910.30(a)(3); rescue by
    common practice.
    """
    lacking = [t for t in TOPICS if t not in view.site.training.topics]
    if lacking and any(view.happened.training_of(u.id) is not None for u in view.site.people.users):
        yield Hit("training.topics", {"lacking": terms(lacking)})


@finding("trainer-unqualified", "must-fix", documents=(PLAN,), basis="law:trainer", stops="use")
def trainer_unqualified(view: View) -> Iterator[Hit]:
    """What it looks at: who trained, the role which that person holds, and its qualification.

    Why: the law asks for a qualified trainer. Example: trainer named, nothing on what makes him one. Reference: 29 CFR
    1910.30(a)(2).
    """
    seen: set[str | None] = set()
    for user in view.site.people.users:
        last = view.happened.training_of(user.id)
        if last is None or last.on is None or last.by in seen:
            continue
        held = view.happened.roles_of(last.by)
        held = tuple(r for r in held if r.id == "trainer" or "trainer" in r.title.casefold()) or held
        if not any(role.qualification is not None for role in held):
            seen.add(last.by)
            path = f"{held[0].path}.qualification" if held else last.path
            trainer = held[0].title if held else last.by or worded("the-trainer")
            yield Hit(path, {"trainer": trainer, "user": user.id, "on": last.on})


@finding("refresher-overdue", "fix-soon", documents=(PLAN,), basis="site-rule", stops="use")
def refresher_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: each user's last training and the site's refresher interval.

    Why: a rule not kept counts against the site. On the due day nothing is overdue. Example: 24 months, last
    2023-06-12. Reference: rule of the site; the law names events.
    """
    for due in overdue(view, "training"):
        yield Hit(due.path, {"user": due.id, "last": due.last, "interval": due.interval, "due": due.due})


def _trained(view: View, person: str) -> date | None:
    """The day of the last training of a person, as a user or as a rescuer."""
    happened = view.happened
    return latest(t.on for t in (happened.training_of(person), happened.practical_of(person)) if t is not None)


@finding("retraining-after-event", "must-fix", documents=(PLAN,), basis="law:retraining_triggers", stops="use")
def retraining_after_event(view: View) -> Iterator[Hit]:
    """What it looks at: near misses, breaches, arrested falls and changes against later training of the people
    concerned.

    Why: these are the triggers that the law names. Example: NM-26-01, 41 days ago, U-03 not retrained. Reference: 29
    CFR 1910.30(c) (memory).
    """
    for event in view.happened.events:
        if event.on is None:
            continue
        waiting = [p for p in event.persons if (last := _trained(view, p)) is None or last < event.on]
        if waiting:
            yield Hit(event.path, {"event": event.mark, "on": event.on, "kind": terms((event.kind,)), "users": listed(waiting)})


@finding("event-persons-unstated", "fix-soon", documents=(PLAN,), basis="law:retraining_triggers")
def event_persons_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: events that call for training and name nobody.

    Why: whether the people concerned were trained again cannot be looked up. Example: a near miss without persons.
    Reference: 29 CFR 1910.30(c) (memory).
    """
    for event in view.happened.events:
        own = not isinstance(event, Breach) or event.class_ == OWN
        if own and not event.persons and view.happened.done(event) is None:
            yield Hit(event.path, {"event": event.mark, "kind": terms((event.kind,))})


def _competent(view: View) -> list[Role]:
    return [r for r in view.site.roles if r.id == "competent-person" or "competent person" in r.title.casefold()]


@finding("competent-person-missing", "must-fix", documents=(PLAN,), basis="law:definition_competent")
def competent_person_missing(view: View) -> Iterator[Hit]:
    """What it looks at: a named competent person with a qualification.

    Why: inspections and clearing after a fall lie on that person. Example: role listed, holder left out. Reference: 29
    CFR 1910.140(b) and (c)(17) (memory).
    """
    if not any(r.holder is not None and r.qualification is not None for r in _competent(view)):
        path = next((r.path for r in _competent(view)), "roles")
        yield Hit(path)


@finding("competent-person-unappointed", "fix-soon", documents=(PLAN,))
def competent_person_unappointed(view: View) -> Iterator[Hit]:
    """What it looks at: when management named the competent person in writing.

    Why: authority to stop work comes from that. Example: appointed left out. Reference: common practice; the
    definition asks for authority.
    """
    for role in _competent(view):
        if role.holder is not None and role.appointed is None:
            yield Hit(f"{role.path}.appointed", {"role": role.title})


@finding("hazard-assessment-missing", "must-fix", documents=(PLAN,), basis="law:hazard_certification")
def hazard_assessment_missing(view: View) -> Iterator[Hit]:
    """What it looks at: workplace, certifier and day of the written hazard assessment.

    Why: the certification needs all three. Example: no date. Reference: 29 CFR 1910.132(d)(2).
    """
    assessment = view.site.inspection.hazard_assessment
    lacking = [n for n in ("by", "on", "areas") if getattr(assessment, n) is None]
    if lacking:
        yield Hit(assessment.path, {"lacking": terms(lacking)})


@finding("before-use-inspection-missing", "must-fix", documents=(PLAN,), basis="law:inspection_before_use")
def before_use_inspection_missing(view: View) -> Iterator[Hit]:
    """What it looks at: who looks the equipment over before use, and when.

    Why: each shift begins with it. Example: nothing said. Reference: 29 CFR 1910.140(c)(18) (memory).
    """
    if view.site.inspection.before_use is None:
        yield Hit("inspection.before_use")
