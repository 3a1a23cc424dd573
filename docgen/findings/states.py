"""The state of each bay and of each paper, and why. It decides from the site, what was found and what is on record, and from nothing else.

A bay has one state, the first that holds: closed by decision (the profile says so), closed by a finding (a must-fix on clearance,
load path, anchorage, rescue, or a fact without which nobody may climb), closed today (a finding that stops use), open. Whatever
else would close it is listed too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Literal

from docgen.findings.model import BayClosure, BayReason, BayState, Finding, Reason, Stops
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.records import Issued, Records
from docgen.site import Site

__all__ = [
    "CLIMBED_BY",
    "PaperState",
    "StateOfPaper",
    "Waits",
    "Why",
    "bay_states",
    "bays_of",
    "closes",
    "hangs_nowhere",
    "paper_state",
    "reason_of",
    "stopping",
    "waits_for",
    "without_revision",
]

StateOfPaper = Literal["draft", "for-approval", "issued", "superseded", "withdrawn"]
Waits = Literal["revision", "place"]
Why = Literal["findings", "not-issued", "differs", "replaced", "withdrawn"]

#: By these papers people climb, in every bay of a site.
CLIMBED_BY = ("fall-protection-plan", "contractor-notice", "rescue-procedure")
#: Subject of a finding -> why a must-fix of it closes a bay, and why a finding of it that stops use closes it for a day; None: it closes none.
SUBJECTS: Mapping[str, tuple[Reason | None, Reason | None]] = {
    "survey": ("facts", None),
    "facts": ("facts", None),
    "sense": ("facts", None),
    "allowances": ("fall-distance", None),
    "proofs": ("part-strength", None),
    "along": ("fall-distance", None),
    "geometry": ("fall-distance", None),
    "swing": ("danger", None),
    "rail": ("part-strength", None),
    "tolerances": ("fall-distance", None),
    "device": ("fall-distance", None),
    "chain": ("part-strength", None),
    "anchorage": ("anchorage-strength", None),
    "structure": ("part-strength", None),
    "equipment": ("part-strength", "inspection-overdue"),
    "replaced": ("part-strength", "check-overdue"),
    "place": ("danger", None),
    "people": (None, "check-overdue"),
    "roster": ("no-rescue", "check-overdue"),
    "posts": ("no-rescue", None),
    "rescue": ("no-rescue", None),
    "methods": ("no-rescue", None),
    "drills": ("no-rescue", "check-overdue"),
    "rescue_gear": ("no-rescue", "check-overdue"),
    "contractors": (None, None),
    "wording": (None, None),
    "law": (None, None),
    "document": (None, None),
    "postings": (None, "check-overdue"),
    "logs": (None, "check-overdue"),
    "second": (None, None),
}
#: Findings that close for another reason than the rest of their subject, or close no bay.
OTHERWISE: Mapping[str, Reason | None] = {
    "paper-facts-missing": None,
    "phone-in-forbidden-area": "no-rescue",
    "method-follows-itself": "no-rescue",
    "step-kit-unlisted": None,
    "gate-shift-unstated": "no-rescue",
    "spare-in-use": "part-strength",
    "retired-in-use": None,
    "stop-is-no-stop": "part-strength",
    "part-of-itself": "part-strength",
    "part-of-wrong-kind": "part-strength",
    "rail-part-wrong": "part-strength",
    "end-stop-unplaced": "part-strength",
    "stop-named-twice": "part-strength",
    "stop-of-other-rail": "part-strength",
    "line-angle-other-rail": "part-strength",
    "edge-not-rated": "part-strength",
    "arrest-force-over": "part-strength",
    "line-strength-low": "part-strength",
    "arrest-force-below-weight": "part-strength",
    "arrest-force-reversed": "part-strength",
    "class-edge-differs": "part-strength",
    "class-missing": "part-strength",
    "class-unknown": "part-strength",
    "edge-class-unknown": "part-strength",
    "edge-use-missing": "part-strength",
    "second-case-missing": "fall-distance",
    "second-clearance-short": "fall-distance",
    "users-too-close": "danger",
    "hook-up-late": "danger",
    "harness-attachment": "fall-distance",
    "other-use-of-rail": "danger",
    "compatibility-unstated": "facts",
    "obstruction-unmeasured": "facts",
    "distance-signed": "facts",
    "ladder-device-limits": "part-strength",
    "ladder-device-not-shorter": "fall-distance",
    "ladder-side-differs": "facts",
    "lids-differ": "facts",
    "opening-untold": "facts",
    "edge-beyond-vehicle": "facts",
    "hatch-past-walk": "facts",
    "ladder-beyond-vehicle": "facts",
    "cover-weak": "danger",
    "gate-post-away": "no-rescue",
    "danger-untold": "facts",
    "surface-slope-untold": "facts",
    "crossing-unattached": "danger",
    "crossing-untold": "danger",
    "deflection-load-low": "fall-distance",
    "deflection-below-beam": "fall-distance",
    "beam-span-unfit": "fall-distance",
    "rail-slope-untold": "fall-distance",
    "posted-limit-missing": "facts",
    "lower-limit-missing": "facts",
    "user-not-cleared": None,
    "fit-lapsed": None,
    "fit-differs-from-private": None,
    "inspection-failed": "tagged",
    "quarantined-in-use": "tagged",
    "retire-passed": "tagged",
    "impact-loaded": "stopped-fall",
    "drill-over-target": None,
    "drill-leaves-gap": "practice-slow",
    "kit-not-whole": "kit",
    "closed-by-hand": "decided",
    "paper-withdrawn": "withdrawn",
    "competent-person-missing": "facts",
    "rescue-limit-missing": "facts",
    "hazard-assessment-missing": None,
    "casualty-posture-wording": None,
}
PLACE = re.compile(r"(\w+)\[([^\]]*)\]")


@frozen
class PaperState:
    """How far a paper is in one language. `bay` where it is a paper of one bay; `names` are findings, `revision` the one on record."""

    name: str
    language: str
    state: StateOfPaper
    bay: str | None = None
    why: Why | None = None
    names: tuple[str, ...] = ()
    revision: int | None = None


def bay_states(
    site: Site, found: Iterable[Finding], if_open: Iterable[Finding], subjects: Mapping[str, str]
) -> tuple[BayState, ...]:
    """Every bay. `if_open` is what would stand were no bay closed by decision; `subjects` the subject of each finding by its name."""
    standing, behind = tuple(found), tuple(if_open)
    states = []
    for bay in site.bays:
        listed = [t for t in site.tasks if t.bay == bay.id]
        shut = bool(bay.closed) or (bool(listed) and not any(t.permission == "allowed" for t in listed))
        why = _reasons(site, bay.id, behind if bay.closed else standing, subjects)
        stops = {stop for stop, _, _ in why}
        if not listed and not bay.closed:
            why.insert(0, ("issue", "facts", "no-tasks"))
            stops.add("issue")
        state: BayClosure = "open"
        if shut:
            state = "closed-by-decision"
        elif "issue" in stops:
            state = "closed-by-finding"
        elif "use" in stops:
            state = "closed-today"
        reasons: dict[Reason, list[str]] = {"decided": []} if shut else {}
        for stop in ("issue", "use"):
            for one, reason, name in why:
                if one == stop and name not in reasons.setdefault(reason, []):
                    reasons[reason].append(name)
        at = f"{bay.path}.state"
        states.append(
            BayState(
                path=at, bay=bay.id, name=bay.name, state=state,
                reasons=tuple(BayReason(path=f"{at}.{r}", reason=r, findings=tuple(names)) for r, names in reasons.items()),
            )
        )  # fmt: skip
    return tuple(states)


def _reasons(site: Site, bay: str, found: Iterable[Finding], subjects: Mapping[str, str]) -> list[tuple[Stops, Reason, str]]:
    """What each finding that closes this bay stops, for which reason, and its name."""
    reasons: list[tuple[Stops, Reason, str]] = []
    for one in found:
        reason = closes(one, subjects)
        if reason is not None and bay in bays_of(site, one.about or one.path):
            reasons.append((one.stops, reason, one.name))
    return reasons


def closes(finding: Finding, subjects: Mapping[str, str]) -> Reason | None:
    """Why a finding closes the bays it is about; None where it closes none."""
    stops_issue = finding.stops == "issue" and finding.severity == "must-fix"
    if not stops_issue and finding.stops != "use":
        return None
    return reason_of(finding.name, subjects[finding.name], "issue" if stops_issue else "use")


def reason_of(name: str, subject: str, stops: Stops) -> Reason | None:
    """Why a finding of this name and subject closes a bay where it stops issue, or use for a day; None: it closes none."""
    if name in OTHERWISE:
        return OTHERWISE[name]
    return SUBJECTS[subject][0 if stops == "issue" else 1]


def bays_of(site: Site, path: str) -> tuple[str, ...]:
    """The bays that a place in the profile is about: all bays where it belongs to none.

    A vehicle and a part belong to the bays that use them, a method to the bays of its vehicles.
    """
    every = tuple(b.id for b in site.bays)
    match = PLACE.match(path)
    if match is None:
        return every
    section, key = match[1], match[2]
    if section == "bays":
        return (key,)
    used = tuple(_used(site, section, key))
    return tuple(b for b in every if b in used) or every


def _used(site: Site, section: str, key: str) -> Iterator[str]:
    """The bays in which a task, a vehicle, a system or a part is used."""
    match section:
        case "tasks":
            yield from (t.bay for t in site.tasks if t.id == key)
        case "vehicles":
            yield from (t.bay for t in site.tasks if t.vehicle == key)
        case "systems":
            yield from (s.bay for s in site.systems if s.id == key)
        case "equipment":
            yield from (s.bay for s in site.systems if any(p.id == key for p in site.belonging(s)))
            yield from (b.id for b in site.bays if (d := site.ladder_device(b)) is not None and d.id in site.within(key))
            yield from (
                b.id for b in site.bays if any(a.part is not None and a.part in site.within(key) for a in b.rescue_anchors)
            )
            if any(not set(m.kits).isdisjoint(site.within(key)) for m in site.rescue.methods):
                yield from (b.id for b in site.bays)


def stopping(documents: tuple[str, ...], findings: Iterable[Finding], named: bool) -> tuple[Finding, ...]:
    """Must-fix findings that stop the issue of a document; one that no finding ever names (`named`) is stopped by all.

    `documents` are the paper and those whose content it takes over.
    """
    return tuple(
        f
        for f in findings
        if f.stops == "issue" and f.severity == "must-fix" and (not named or not set(documents).isdisjoint(f.documents))
    )


def paper_state(
    name: str, language: str, stops: tuple[Finding, ...], issued: Issued | None, holds: bool, composed: bool = True,
    withdrawn: int | None = None,
) -> PaperState:  # fmt: skip
    """How far one paper is. `issued` is the revision in force, `holds` whether it is exactly the text of today, `composed` whether there
    is such a text at all: a paper on record that the site no longer has is superseded. `withdrawn` is the revision taken out of force, where
    none is in force since.
    """
    if withdrawn is not None:
        return PaperState(name, language, "withdrawn", why="withdrawn", revision=withdrawn)
    revision = issued.revision if issued is not None else None
    if not composed:
        return PaperState(name, language, "superseded", why="replaced", revision=revision)
    if holds:
        return PaperState(name, language, "issued", revision=revision)
    if stops:
        names = tuple(dict.fromkeys(f.name for f in stops))
        return PaperState(name, language, "draft", why="findings", names=names, revision=revision)
    return PaperState(name, language, "for-approval", why="differs" if issued is not None else "not-issued", revision=revision)


def without_revision(in_force: Callable[[str], int | None]) -> tuple[str, ...]:
    """The papers without which nobody climbs in any bay, of which no revision is in force; `in_force` gives that of a paper."""
    return tuple(name for name in CLIMBED_BY if in_force(name) is None)


def hangs_nowhere(site: Site, happened: Happened, bay: str) -> bool:
    """Whether the log knows no place where a paper that is about this bay, or about the whole site, hangs."""
    return all(happened.hangs(place.id) is None for place in site.posting if place.bay in (None, bay))


def waits_for(site: Site, happened: Happened, records: Records, bay: str, language: str) -> Waits | None:
    """What a bay that nothing closes still waits for before anybody climbs there by its papers: a revision in force, or a place where one hangs."""

    def in_force(paper: str) -> int | None:
        issued = records.in_force(paper, language)
        return issued.revision if issued is not None else None

    if without_revision(in_force):
        return "revision"
    return "place" if hangs_nowhere(site, happened, bay) else None
