"""Findings on the contractor rule: who may climb, what follows a breach, rights, languages, what firms are told."""

from __future__ import annotations

import re
from collections.abc import Iterator

from docgen.engineering.levels import deck_kind
from docgen.engineering.spread import spread
from docgen.findings.common import (
    bays_in_use,
    listed,
    systems_in_use,
    terms,
    vehicles_in_use,
    worded,
)
from docgen.findings.rule import NOTICE, PLAN, RESCUE, finding
from docgen.findings.view import NOT_STATED, Hit, View, up
from docgen.limits import over
from docgen.site import ContractorClass
from docgen.site.log import OWN, Breach
from docgen.text.said import drops_in
from docgen.text.screens import found_in_any

__all__ = [
    "appeal_to_decider",
    "breach_without_step",
    "contractor_facts_missing",
    "crew_language",
    "driver_climb_conditions",
    "employer_roles_missing",
    "enforcement_no_decider",
    "enforcement_no_record",
    "enforcement_punishes_reporting",
    "enforcement_uneven",
    "harness_unchecked",
    "hazard_height_low",
    "loaned_harness",
    "loaned_harness_outside_chain",
    "loaned_harness_unlisted",
    "no_enforcement",
    "no_reprisal_missing",
    "notice_language",
    "posting_language",
    "refusal_right_missing",
    "step_of_class_in_cab",
    "unequal_enforcement",
]


@finding("no-enforcement", "must-fix", documents=(PLAN, NOTICE))
def no_enforcement(view: View) -> Iterator[Hit]:
    """What it looks at: what happens when the rule is broken.

    Why: a rule without a consequence is not enforced. Example: no steps. Reference: common practice; the four elements
    of the misconduct defence (memory).
    """
    if not view.site.contractors.enforcement:
        yield Hit("contractors.enforcement")


@finding("enforcement-no-decider", "must-fix", documents=(PLAN, NOTICE))
def enforcement_no_decider(view: View) -> Iterator[Hit]:
    """What it looks at: who decides each step.

    Why: at night nobody dares. Example: step 2 without decided_by. Reference: common practice.
    """
    for step in view.site.contractors.enforcement:
        if step.decided_by is None:
            yield Hit(f"{step.path}.decided_by", {"step": step.step or NOT_STATED})


@finding("enforcement-no-record", "fix-soon", documents=(PLAN, NOTICE))
def enforcement_no_record(view: View) -> Iterator[Hit]:
    """What it looks at: where each step is written down.

    Why: uniform enforcement is proven by records. Example: step 1 without record. Reference: common practice; the four
    elements of the misconduct defence (memory).
    """
    for step in view.site.contractors.enforcement:
        if step.record is None:
            yield Hit(f"{step.path}.record", {"step": step.step or NOT_STATED})


@finding("enforcement-punishes-reporting", "must-fix", documents=(NOTICE,), basis="law:no_retaliation")
def enforcement_punishes_reporting(view: View) -> Iterator[Hit]:
    """What it looks at: triggers that are an injury, a near miss, a report or a refusal.

    Why: that is retaliation. Example: "any fall". Reference: 29 CFR 1904.35(b)(1)(iv).
    """
    for step in view.site.contractors.enforcement:
        caught = found_in_any(step.trigger, "reporting", view.languages)
        if caught:
            yield Hit(f"{step.path}.trigger", {"step": step.step or NOT_STATED, "words": listed(c.text for c in caught)})


@finding("unequal-enforcement", "must-fix", documents=(PLAN, NOTICE))
def unequal_enforcement(view: View) -> Iterator[Hit]:
    """What it looks at: whether the same steps hold for the site's own crew.

    Why: one rule for drivers and none at home is evidence. Example: applies_to_own_crew: false. Reference: the four
    elements of the misconduct defence (memory).
    """
    if view.site.contractors.enforcement and view.site.contractors.applies_to_own_crew is not True:
        yield Hit("contractors.applies_to_own_crew")


@finding("enforcement-uneven", "must-fix", documents=(PLAN, NOTICE), stops="nothing")
def enforcement_uneven(view: View) -> Iterator[Hit]:
    """What it looks at: steps after breaches by the own crew against those after breaches by contractors.

    Why: the same breach, and only the driver is sent away, is evidence against the site. Example: contractors 4 steps,
    own crew none. Reference: the four elements of the misconduct defense (memory).
    """
    breaches = view.happened.of(Breach)
    own = [b for b in breaches if b.class_ == OWN]
    others = [b for b in breaches if b.class_ != OWN and b.step is not None]
    if own and others and not any(b.step is not None for b in own):
        yield Hit(own[0].path, {"own": listed(b.mark for b in own), "contractors": listed(b.mark for b in others)})


@finding("breach-without-step", "fix-soon", documents=(PLAN,))
def breach_without_step(view: View) -> Iterator[Hit]:
    """What it looks at: breaches on record without the step of the rule that followed.

    Why: a rule is enforced when the record shows it. Example: BR-26-02, contractor, no step. Reference: the four elements
    of the misconduct defense (memory).
    """
    for breach in view.happened.of(Breach):
        if breach.step is None and view.happened.done(breach) is None:
            yield Hit(breach.path, {"event": breach.mark, "on": breach.on or worded("unknown-day")})


@finding("appeal-to-decider", "must-fix", documents=(PLAN, NOTICE))
def appeal_to_decider(view: View) -> Iterator[Hit]:
    """What it looks at: the role that the appeal names, by its title or by the last word of it, against those that decide the steps.

    Why: an appeal to the one who decided is none. Example: step 3 and the appeal both with the terminal manager. Reference: common
    practice of counsel.
    """
    contractors, known = view.site.contractors, {role.id: role.title.casefold() for role in view.site.roles}
    text = (contractors.appeal or "").casefold()
    deciding = {step.decided_by: step for step in contractors.enforcement if step.decided_by in known}
    for title in sorted((title for key, title in known.items() if key not in deciding), key=len, reverse=True):
        text = text.replace(title, "")
    for key, step in deciding.items():
        if key is not None and (known[key] in text or re.search(rf"\b{re.escape(known[key].split()[-1])}\b", text)):
            role = view.site.role(key)
            yield Hit("contractors.appeal", {"role": role.title if role else key, "step": step.step or NOT_STATED})


@finding("refusal-right-missing", "must-fix", documents=(NOTICE,), basis="law:no_retaliation")
def refusal_right_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the right to stop or refuse work judged dangerous.

    Why: it is the law's, and the notice must not hide it. Example: refusal_right left out. Reference: OSH Act 11(c);
    49 USC 31105 (memory).
    """
    if view.site.contractors.refusal_right is not True:
        yield Hit("contractors.refusal_right")


@finding("no-reprisal-missing", "must-fix", documents=(NOTICE,), basis="law:no_retaliation")
def no_reprisal_missing(view: View) -> Iterator[Hit]:
    """What it looks at: that nobody is punished for a report or refusal.

    Why: without it near misses stay unknown. Example: report_no_penalty left out. Reference: 29 CFR 1904.35(b)(1)(iv);
    OSH Act 11(c) (memory).
    """
    if view.site.contractors.report_no_penalty is not True:
        yield Hit("contractors.report_no_penalty")


def _written(view: View) -> tuple[str, ...]:
    return view.site.document.languages or ("en",)


def _hung(view: View) -> set[str]:
    """The languages in which a notice hangs by the profile: those that docgen writes, and those of the site's own translations."""
    return {p.language or _written(view)[0] for p in view.site.posting if p.document == NOTICE}


@finding("notice-language", "must-fix", documents=(NOTICE,), basis="law:training_language")
def notice_language(view: View) -> Iterator[Hit]:
    """What it looks at: languages that contractors read against those of the papers, of whoever reads the rules out, and of what hangs.

    Why: a rule not understood is not given. Example: drivers read pa, the notice is in en and nobody reads it out. Reference: OSHA
    training standards policy statement of 2010-04-28 (read).
    """
    told = view.site.contractors.interpreter
    given = {*_written(view), *_hung(view), *(told.languages if told.by else ())}
    for language in view.site.contractors.languages:
        if language not in given:
            yield Hit("contractors.languages", {"language": language, "written": listed(_written(view))})


@finding("crew-language", "fix-soon", documents=(PLAN, RESCUE), basis="law:training_language")
def crew_language(view: View) -> Iterator[Hit]:
    """What it looks at: users none of whose languages a document is written in.

    Why: the plan must be readable for its users. Example: U-07 reads es, documents in en. Reference: OSHA training
    standards policy statement of 2010-04-28 (read).
    """
    for user in view.site.people.users:
        if user.languages and not set(user.languages) & set(_written(view)):
            yield Hit(
                f"{user.path}.languages",
                {"user": user.id, "speaks": listed(user.languages), "written": listed(_written(view))},
            )


@finding("posting-language", "fix-soon", documents=(NOTICE,), basis="law:posting_language")
def posting_language(view: View) -> Iterator[Hit]:
    """What it looks at: languages of contractors against the notices that hang on site.

    Why: written and not posted is not told. Example: a notice in es that hangs nowhere. Reference: common practice.
    """
    hung = _hung(view)
    for language in view.site.contractors.languages:
        if hung and language in _written(view) and language not in hung:
            yield Hit("posting", {"language": language})


def _climbing(view: View) -> tuple[ContractorClass, ...]:
    return tuple(c for c in view.site.contractors.classes if c.may_climb)


@finding("driver-climb-conditions", "must-fix", documents=(PLAN, NOTICE), basis="law:host_contractor_duty")
def driver_climb_conditions(view: View) -> Iterator[Hit]:
    """What it looks at: classes that may climb against the conditions for it.

    Why: the host lends its rail and answers for that. Training looked at by the gate, the limit attested, the harness
    checked, a language, a rescuer on every climbing shift. Example: drivers climb, nobody asks for training.
    Reference: OSHA multi-employer policy (memory); common practice.
    """
    watched = {s for r in view.site.people.rescuers for s in r.shifts}
    for one in _climbing(view):
        lacking = [n for n in ("training_checked_at_gate", "fit_attested", "harness_checked") if getattr(one, n) is not True]
        if not view.site.contractors.languages:
            lacking.append("contractors.languages")
        if any(s.climbing and s.id not in watched for s in view.site.shifts):
            lacking.append("people.rescuers")
        if lacking:
            yield Hit(one.path, {"class": one.name, "lacking": terms(lacking)})


@finding("loaned-harness", "must-fix", documents=(PLAN, NOTICE), basis="law:host_contractor_duty")
def loaned_harness(view: View) -> Iterator[Hit]:
    """What it looks at: harnesses lent by the site against fit, inspection and training rules.

    Why: the lender owns the check. Example: lent at the gate, nothing looked over. Reference: OSHA multi-employer
    policy (memory); common practice.
    """
    contractors = view.site.contractors
    if contractors.harnesses != "loaned":
        return
    lacking = ["loaned_check"] if contractors.loaned_check is None else []
    for name in ("harness_checked", "training_checked_at_gate", "fit_attested"):
        if not _climbing(view) or any(getattr(c, name) is not True for c in _climbing(view)):
            lacking.append(name)
    if lacking:
        yield Hit("contractors.harnesses", {"lacking": terms(lacking)})


@finding("loaned-harness-outside-chain", "must-fix", documents=(PLAN, NOTICE))
def loaned_harness_outside_chain(view: View) -> Iterator[Hit]:
    """What it looks at: lent harnesses against the pools of the systems.

    Why: a harness outside the chain has no part in its limit, in its inspections or in the posted figure. Example: H-20 is
    lent and stands in no system. Reference: OSHA multi-employer policy (memory); labels.
    """
    pooled = {h for s in systems_in_use(view) for h in s.harnesses}
    for harness in view.site.contractors.loaned_harnesses:
        if harness not in pooled:
            yield Hit("contractors.loaned_harnesses", {"harness": harness})


@finding("loaned-harness-unlisted", "fix-soon", documents=(PLAN,))
def loaned_harness_unlisted(view: View) -> Iterator[Hit]:
    """What it looks at: whether the harnesses that the site lends are listed.

    Why: what is not listed is not inspected by date. Example: harnesses: loaned, and no list. Reference: OSHA multi-employer
    policy (memory); common practice.
    """
    if view.site.contractors.harnesses == "loaned" and not view.site.contractors.loaned_harnesses:
        yield Hit("contractors.loaned_harnesses")


@finding("harness-unchecked", "must-fix", documents=(PLAN, NOTICE))
def harness_unchecked(view: View) -> Iterator[Hit]:
    """What it looks at: own harnesses of contractors.

    Why: they are links of the chain that nobody here has rated. Example: drivers bring harnesses, no check of ring,
    label, capacity and date. Reference: common practice; 29 CFR 1910.132(b).
    """
    if view.site.contractors.harnesses == "own":
        for one in _climbing(view):
            if one.harness_checked is not True:
                yield Hit(f"{one.path}.harness_checked", {"class": one.name})


@finding("contractor-facts-missing", "fix-soon", documents=(PLAN, NOTICE), basis="law:host_contractor_duty")
def contractor_facts_missing(view: View) -> Iterator[Hit]:
    """What it looks at: what firms are told before they enter.

    Why: a possessor of land tells known hazards; so does the notice. Example: hazards left out. Reference: OSHA
    recommended practices on host and contractor; common practice.
    """
    wanted = ("check_in", "hazards", "duties_of_site", "coordination", "ask", "appeal", "orientation_validity")
    lacking = [n for n in wanted if getattr(view.site.contractors, n) is None]
    if not view.site.contractors.classes:
        lacking.insert(0, "classes")
    if lacking:
        yield Hit("contractors", {"lacking": terms(lacking)})


@finding("hazard-height-low", "must-fix", documents=(NOTICE,))
def hazard_height_low(view: View) -> Iterator[Hit]:
    """What it looks at: whether the height of the edges that the notice tells is at least that of the highest deck that is climbed, at
    the end of its tolerance.

    Why: a danger is never told smaller than it is. Example: edges up to 15 ft, and a deck of 15.0 ft, give or take 0.2 ft.
    Reference: common practice.
    """
    decks = [(v, spread(v.deck, deck_kind(v), view.system)[0].high) for v in vehicles_in_use(view) if v.deck is not None]
    told = list(drops_in(view.site.contractors.hazards or ""))
    if decks and told:
        vehicle, highest = max(decks, key=lambda pair: pair[1])
        words, said = max(told, key=lambda pair: pair[1])
        if over(highest, said):
            yield Hit("contractors.hazards", {"said": words, "vehicle": vehicle.name, "deck": up(highest, "length")})


@finding("employer-roles-missing", "fix-soon", documents=(PLAN,), basis="law:multi_employer_roles")
def employer_roles_missing(view: View) -> Iterator[Hit]:
    """What it looks at: which employer plays which part on the shared site.

    Why: duties follow the parts. Example: no list. Reference: OSHA CPL 2-0.124 (memory).
    """
    if not view.site.site.employer_roles:
        yield Hit("site.employer_roles")


#: What the driver of a vehicle does before going to the cab, or in it.
BEFORE_THE_CAB = ("brake", "lockbox")


@finding("step-of-class-in-cab", "must-fix", documents=(PLAN, NOTICE))
def step_of_class_in_cab(view: View) -> Iterator[Hit]:
    """What it looks at: steps at a vehicle that are given to a class of contractors whose conditions keep it in the cab.

    Why: two papers tell one person two things, and the step is left out or the person stands in the bay. Setting the brake and locking the
    keys away come before the cab. A condition that says when it holds is no contradiction. Example: the driver chocks the wheels and
    stays in the cab. Reference: common practice.
    """
    for one in view.site.contractors.classes:
        kept = next((c for c in one.conditions if _keeps_in_cab(c, view.languages)), None)
        if kept is None:
            continue
        for bay in bays_in_use(view):
            for step in bay.control.steps:
                if one.id in (step.by, step.undone_by) and step.kind not in BEFORE_THE_CAB:
                    yield Hit(step.path, {"class": one.name, "bay": bay.name, "step": step.do, "condition": kept})
            for deed in bay.energy:
                if deed.by == one.id:
                    yield Hit(deed.path, {"class": one.name, "bay": bay.name, "step": deed.step, "condition": kept})


def _keeps_in_cab(condition: str, languages: tuple[str, ...]) -> bool:
    """Whether a condition keeps people in the cab, whatever is done meanwhile."""
    return bool(found_in_any(condition, "in-cab", languages)) and not found_in_any(condition, "in-cab-sometimes", languages)
