"""Findings on training, on the people whom the law names, and on the hazard assessment."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from itertools import pairwise

from docgen.codes.lists import element_lists
from docgen.findings.common import latest, listed, overdue, terms, worded
from docgen.findings.model import Value
from docgen.findings.rule import ALL, PLAN, RECORD, RESCUE, finding
from docgen.findings.view import Hit, View
from docgen.signs import name_key
from docgen.site import RolePart, Site, acts
from docgen.site.facts import NAMED
from docgen.site.log import OWN, Breach
from docgen.trade.practice import practice

__all__ = [
    "before_use_inspection_missing",
    "competent_person_missing",
    "event_persons_unstated",
    "hazard_assessment_missing",
    "holder_later",
    "holder_rewritten",
    "holders_overlap",
    "part_unassigned",
    "past_act_unnamed",
    "refresher_long",
    "refresher_overdue",
    "retraining_after_event",
    "role_not_accepted",
    "role_unheld",
    "trainer_unqualified",
    "training_language",
    "training_missing",
    "training_practical",
    "training_topics",
    "users_missing",
]

TAUGHT = "training.topics has "  # how the lists of law ask for a topic
TOPICS = ("fall-hazards", "procedures", "use-and-inspection", "hook-up-and-storage", "rescue")
#: Paper -> the parts that it prints by the title of a role, where no finding of its own asks for them.
PRINTED: Mapping[str, tuple[RolePart, ...]] = {
    PLAN: ("attendant", "supervisor", "inspector", "trainer", "qualified-person"),
    RESCUE: ("rescue-lead",),
}
ACCEPTED: tuple[RolePart, ...] = ("competent-person", "qualified-person", "rescue-lead", "trainer")


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
    """What it looks at: the topics of the course against the five that a rail system needs, and against those that a list of law names.

    Why: a gap shows on the deck. Example: hook-up and storage left out. Reference: 29 CFR 1910.30(a)(3), 1910.145(c);
    OHS Code (Alberta) 141(2); rescue by common practice.
    """
    taught = view.site.training.topics
    if not taught and all(view.happened.training_of(u.id) is None for u in view.site.people.users):
        return
    lacking = [t for t in dict.fromkeys((*TOPICS, *_topics_of_law(view.site))) if t not in taught]
    if lacking:
        yield Hit("training.topics", {"lacking": terms(lacking)})


def _topics_of_law(site: Site) -> Iterator[str]:
    """The topics for which a list of law that applies at the site has an item, in the order of the lists."""
    place = (site.site.jurisdiction, site.site.sector, site.codes.owner)
    for asked in element_lists():
        if asked.force == "mandatory" and asked.applies(*place):
            for element in asked.elements:
                yield from (need.removeprefix(TAUGHT) for need in element.needs if need.startswith(TAUGHT))


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
        held = view.happened.roles_of(last)
        held = tuple(role for role in held if "trainer" in role.part) or held
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


@finding("refresher-long", "fix-soon", documents=(PLAN,))
def refresher_long(view: View) -> Iterator[Hit]:
    """What it looks at: how often users are trained again, against the two years that the trade takes at the most.

    Why: who rarely climbs forgets the hook-up first. Exactly two years are enough. Example: 36 months. Reference: common practice; the law names events.
    """
    own, most = view.site.training.refresher, practice("refresher_most", view.system, view.site.country)
    start = date(2001, 1, 1)
    if own is not None and own.after(start) > most.interval.after(start):
        yield Hit("training.refresher", {"interval": own.text, "most": most.text})


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


@finding("competent-person-missing", "must-fix", documents=(PLAN,), basis="law:definition_competent")
def competent_person_missing(view: View) -> Iterator[Hit]:
    """What it looks at: a named competent person with a qualification, on the day for which the papers are written.

    Why: inspections and clearing after a fall lie on that person. Example: role listed, holders left out. Reference: 29
    CFR 1910.140(b) and (c)(17) (memory).
    """
    named = view.site.roles_of("competent-person")
    if not any(r.held_by is not None and r.qualification is not None for r in named):
        yield Hit(next((r.path for r in named), "roles"))


@finding("part-unassigned", "must-fix", documents=(PLAN, RESCUE))
def part_unassigned(view: View) -> Iterator[Hit]:
    """What it looks at: the parts that a paper gives work to, where anybody may climb, against the roles of the site.

    Why: otherwise the paper gives the work to a blank. Example: no role with the part attendant, and somebody hooks the line on.
    Reference: document control.
    """
    for document, parts in PRINTED.items() if view.allowed else ():
        lacking = [part for part in parts if not view.site.roles_of(part)]
        if lacking:
            yield Hit("roles", {"paper": terms((document,)), "parts": terms(lacking)}, (document,))


@finding("role-unheld", "must-fix", documents=(*ALL, RECORD))
def role_unheld(view: View) -> Iterator[Hit]:
    """What it looks at: roles that are held by name, and by nobody on the day for which the papers are written.

    Why: the papers give the work to a title that stands for nobody. One that never had a holder is asked for elsewhere, and so is the
    competent person. Example: the rescue lead left on 2026-06-30, papers of 2026-11-01. Reference: document control.
    """
    day = view.site.document.effective
    if day is None:
        return
    for role in view.site.roles:
        if role.holders and role.held_by is None and NAMED.intersection(role.part) and "competent-person" not in role.part:
            yield Hit(f"{role.path}.holders", {"role": role.title, "effective": day})


@finding("holder-rewritten", "must-fix", documents=(*ALL, RECORD))
def holder_rewritten(view: View) -> Iterator[Hit]:
    """What it looks at: who held each role on each day known to the newest revision, against what the profile says of those days now.

    Why: what that person did would be printed as another's. A name in other letters or blanks is the same, and so is one that the
    holder bore formerly. A role under another id is known by its part. Example: T. Maran checked
    the structure in 2025; his name is overwritten with that of his successor, or another holder is put in for the month of the check.
    Reference: document control.
    """
    for held in view.held_on_record:
        role = view.site.role(held.role)
        roles = (role,) if role else tuple(r for part in held.parts if part != "other" for r in view.site.roles_of(part))
        begun = (h.from_ for r in roles for h in r.holders)
        between = {day for day in begun if day and held.since and held.since < day < held.on}
        for day in sorted(between | {held.since or held.on, held.on}):
            there = [(r, holder) for r in roles if (holder := r.on(day)) is not None]
            same = any(name_key(held.name) in map(name_key, holder.names) for _, holder in there)
            if not same and (there or (role is not None and day == held.on)):
                of, now = there[0] if there else (roles[0], None)
                values: dict[str, Value] = {
                    "role": of.title, "on": day, "revision": held.revision, "then": held.name,
                    "now": worded("nobody") if now is None else now.called_on(day),
                }  # fmt: skip
                yield Hit(f"{of.path}.holders", values)
                break


@finding("role-not-accepted", "fix-soon", documents=(PLAN,))
def role_not_accepted(view: View) -> Iterator[Hit]:
    """What it looks at: whether competent person, qualified person, rescue lead and trainer took the role on by signature.

    Why: nobody answers for what he was never asked. Example: accepted_on left out. Reference: common practice; the
    definition of the competent person asks for authority.
    """
    day = view.site.document.effective
    for role in view.site.roles:
        holder = role.on(day) if day is not None else None
        if holder is not None and holder.accepted_on is None and any(part in ACCEPTED for part in role.part):
            yield Hit(f"{holder.path}.accepted_on", {"role": role.title, "name": holder.name})


@finding("holders-overlap", "must-fix", documents=ALL)
def holders_overlap(view: View) -> Iterator[Hit]:
    """What it looks at: two holders of one role on the same day.

    Why: papers and approvals name one. Example: one until 2026-06-30, the next from 2026-06-01. Reference: document
    control.
    """
    for role in view.site.roles:
        dated = sorted((h.from_, n, h) for n, h in enumerate(role.holders) if h.from_ is not None)
        for (_, _, one), (begins, _, other) in pairwise(dated):
            if one.to is None or one.to >= begins:
                yield Hit(f"{one.path}.to", {"role": role.title, "one": one.name, "other": other.name, "on": begins})


@finding("holder-later", "fix-soon", documents=ALL)
def holder_later(view: View) -> Iterator[Hit]:
    """What it looks at: roles held by another person, or by nobody, since the day for which the papers are written.

    Why: the papers name the one of that day. Example: written for 2026-11-01, another rescue lead since 2026-11-20.
    Reference: document control.
    """
    day = view.site.document.effective
    if day is None or view.as_of <= day:
        return
    for role in view.site.roles:
        then, now = role.on(day), role.on(view.as_of)
        if (then and then.name) == (now and now.name):
            continue
        ended = then.to if then is not None and then.to is not None and then.to < view.as_of else None
        since = now.from_ if now is not None else ended + timedelta(days=1) if ended is not None else None
        values: dict[str, Value] = {
            "role": role.title,
            "effective": day,
            "then": worded("nobody") if then is None else then.called_on(day),
            "now": worded("nobody") if now is None else now.called_on(view.as_of),
            "since": since or view.as_of,
        }
        yield Hit(f"{role.path}.holders", values)


@finding("past-act-unnamed", "fix-soon", documents=(PLAN,))
def past_act_unnamed(view: View) -> Iterator[Hit]:
    """What it looks at: what a role did on a day on which the profile names nobody for it.

    Why: such a sentence prints the name of that day, and only a title where there is none. Example: measured by the
    competent person in 2024, holders from 2025 on. Reference: document control.
    """
    found: dict[str, list[tuple[date, str]]] = {}
    for act in acts(view.site):
        role = view.site.role(act.role)
        if role is not None and role.on(act.on) is None:
            found.setdefault(role.id, []).append((act.on, act.path))
    for key, deeds in found.items():
        role = view.site.role(key)
        if role is not None:
            days = sorted({on for on, _ in deeds})
            yield Hit(
                f"{role.path}.holders", {"role": role.title, "days": listed(days), "first": deeds[0][1], "count": len(deeds)}
            )


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
