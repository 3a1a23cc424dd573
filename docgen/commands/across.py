"""Of portfolio: where a model, an answer of law or a sentence is used, and what a draft of templates or of law would move."""

from __future__ import annotations

import argparse
import csv
import io
import json
import sys
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Any

from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, as_of
from docgen.commands.running import answers, found_sites
from docgen.errors import UsageError

if TYPE_CHECKING:
    from docgen.portfolio.uses import Kind

__all__ = ["draft", "uses"]

Answer = dict[str, Any]
FIELDS = ("site", "asked", "part", "kind", "bays", "paper", "language", "clause", "key", "state", "citation", "sentence")
SIGNS = ("=", "+", "-", "@", "\t")


def uses(options: argparse.Namespace) -> int:
    """Tell which sites use what is asked for. UsageError for a model or a key that nothing is called by."""
    from docgen.portfolio.uses import EMPTY, Ask, folded, uses_of

    asked: dict[Kind, list[str]] = {"model": options.model, "code": options.code, "sentence": options.sentence}
    given = [kind for kind, values in asked.items() if values]
    if len(given) != 1:
        raise UsageError("uses asks for one kind of thing: --model ID, --code CITATION-OR-KEY or --sentence WORDS")
    kind = given[0]
    wanted = tuple(dict.fromkeys(" ".join(value.split()) for value in asked[kind]))
    if empty := next((value for value in wanted if not any(sign.isalnum() for sign in folded(value))), None):
        raise UsageError(f"--{kind} '{empty}': there is no word in it to look for")
    if "" in wanted:
        raise UsageError(f"--{kind} is empty; say what to look for")
    day = as_of(options)
    came = answers(options, uses_of, [Ask(spot, day, LANGUAGE, kind, wanted) for spot in found_sites(options)], EMPTY)
    faults = [a for a in came if a["fault"]]
    for answer in faults:
        print(f"{answer['name']}: {answer['fault']}", file=sys.stderr)
    _known(kind, wanted, came, day)
    if options.format == "json":
        sites = [{"name": a["name"], "fault": a["fault"], "uses": a["uses"]} for a in came]
        told = {"schema_version": 1, "as_of": day.isoformat(), "kind": kind, "asked": list(wanted), "sites": sites}
        print(json.dumps(told, indent=2, ensure_ascii=False))
    elif options.format == "csv":
        sys.stdout.write(_table(came))
    else:
        print("\n".join(_told(kind, wanted, came)))
    return FOUND if faults else CLEAN


def _known(kind: Kind, wanted: tuple[str, ...], came: list[Answer], day: date) -> None:
    """UsageError for a model that no library has, and for what is no question and no citation of the law, with what is nearest."""
    from docgen.check import nearest

    used = {use["asked"] for answer in came for use in answer["uses"]}
    for name in (name for name in wanted if name not in used and kind != "sentence"):
        if kind == "model":
            known = sorted({model for answer in came for model in answer["known"]})
            if name.casefold() in {model.casefold() for model in known}:
                continue
            told = f"no library of these sites has a model '{name}'"
        else:
            known = _law(name, day)
            if not known:
                continue
            told = f"no question of the law is called '{name}', and no text of it is cited so"
        near = nearest(name, known) if kind == "model" else _nearest(name, known)
        listed = f"; there are: {', '.join(known[:12])}" if kind == "model" and known else ""
        more = listed if kind == "model" else "; docgen explain codes --review lists them"
        raise UsageError(told + (f"; did you mean '{near}'?" if near else more))


def _law(name: str, day: date) -> list[str]:
    """Every question and every citation of the law of any place; nothing where one of them is meant."""
    from docgen.codes import questions
    from docgen.codes.survey import due_for_reading
    from docgen.portfolio.uses import squeezed, stands_in

    if name in questions():
        return []
    cited = dict.fromkeys(due.citation for due in due_for_reading(day) if due.citation)
    plain = squeezed(name)
    return [] if any(stands_in(plain, squeezed(one)) for one in cited) else [*questions(), *cited]


def _nearest(name: str, known: list[str]) -> str | None:
    from difflib import get_close_matches

    from docgen.portfolio.uses import squeezed

    plain = {squeezed(one): one for one in known}
    near = get_close_matches(squeezed(name), list(plain), n=1, cutoff=0.6)
    return plain[near[0]] if near else None


def _told(kind: Kind, wanted: tuple[str, ...], came: list[Answer]) -> Iterator[str]:
    for name in wanted:
        here = [(a["name"], [use for use in a["uses"] if use["asked"] == name]) for a in came]
        here = [(site, found) for site, found in here if found]
        called = f"'{name}'" if kind == "sentence" else name
        if not here:
            yield f"{called}: no site uses it"
            continue
        what = "part" if kind == "model" else "place"
        yield f"{called}: {_count(len(here), 'site')}, {_count(sum(len(found) for _, found in here), what)}"
        for site, found in here:
            yield f"  {site}"
            yield from (f"    {_use(kind, use)}" for use in found)
    faults = sum(bool(a["fault"]) for a in came)
    wrong = f", {faults} that cannot be read" if faults else ""
    yield f"{_count(len(came), 'site')} asked{wrong}; {sum(bool(a['uses']) for a in came)} with a use; nothing was written"


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _use(kind: Kind, use: Answer) -> str:
    if kind == "model":
        bays = ", ".join(f"{bay['id']} {bay['name']}" if bay["name"] != bay["id"] else bay["id"] for bay in use["bays"])
        return f"{use['part']} ({use['kind']}): {bays or 'in the system of no bay'}"
    place = f"{use['paper']} ({use['language']}), {use['clause'] or 'outside its clauses'}"
    if kind == "sentence":
        return f"{place}: {use['sentence']}"
    if use["key"] is None:
        return f"{place}: {use['sentence']}"
    nothing = {"silent": "the law is silent", "not-looked": "nobody has looked into the law"}
    return f"{place}: {use['key']}, {use['citation'] or nothing[use['state']]}"


def _table(came: list[Answer]) -> str:
    """A line a use (RFC 4180); what a sheet would take for a formula is made text."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(FIELDS)
    for answer in came:
        for use in answer["uses"]:
            row = {"site": answer["name"], **use, "bays": "; ".join(bay["id"] for bay in use.get("bays", ()))}
            cells = [str(row.get(name) or "") for name in FIELDS]
            table.writerow([f"'{cell}" if cell.startswith(SIGNS) else cell for cell in cells])
    return out.getvalue()


# what a draft would move


def draft(options: argparse.Namespace) -> int:
    """Tell what templates or sets of law would move if they stood in the place of ours. UsageError for a mistake in them."""
    from docgen.portfolio.draft import EMPTY, Ask, draft_of, drafted, moves

    if options.templates is None and options.codes is None:
        raise UsageError("draft needs what stands before ours: --templates FOLDER, --codes FOLDER or both")
    given = drafted(*(None if path is None else path.resolve() for path in (options.templates, options.codes)))
    day = as_of(options)
    came = answers(options, draft_of, [Ask(spot, day, LANGUAGE, given) for spot in found_sites(options)], EMPTY)
    if wrong := [a for a in came if a["wrong"]]:
        where = wrong[0]["name"] if len(wrong) == 1 else f"{len(wrong)} sites, {wrong[0]['name']} first"
        raise UsageError(f"{wrong[0]['wrong']} (at {where})")
    for answer in came:
        if answer["fault"]:
            print(f"{answer['name']}: {answer['fault']}", file=sys.stderr)
    found = moves(came)
    if options.format == "json":
        keys = ("name", "fault", "clauses", "beside", "appear", "vanish", "lapse")
        told = {
            "schema_version": 1, "as_of": day.isoformat(), "templates": given.templates and str(given.templates), "codes": given.codes and str(given.codes),
            "summary": _sums(came), "moves": found, "sites": [{key: a[key] for key in keys} for a in came],
        }  # fmt: skip
        print(json.dumps(told, indent=2, ensure_ascii=False))
    else:
        print("\n".join([*_drafted(came)] if options.quiet else [*_drafted(came), *_moves(found), *_sites(came, found)]))
    must = any(f["severity"] == "must-fix" for a in came for f in a["appear"])
    return FOUND if must or any(a["fault"] for a in came) else CLEAN


PARTS_OF = ("clauses", "beside", "appear", "vanish", "lapse")


def _sums(came: list[Answer]) -> dict[str, int]:
    clauses = [c for a in came for c in a["clauses"]]
    return {
        "sites": len(came), "moved": sum(any(a[key] for key in PARTS_OF) for a in came), "clauses": sum(c["how"] != "rests" for c in clauses),
        "rests": sum(c["how"] == "rests" for c in clauses), "faults": sum(bool(a["fault"]) for a in came),
        **{key: sum(len(a[key]) for a in came) for key in ("beside", "appear", "vanish", "lapse")},
    }  # fmt: skip


def _drafted(came: list[Answer]) -> Iterator[str]:
    """The counts of all sites together."""
    sums = _sums(came)
    wrong = f", {sums['faults']} that cannot be read" if sums["faults"] else ""
    yield f"{_count(sums['sites'], 'site')} asked{wrong}; {sums['moved']} would move; nothing was written"
    yield (
        f"{_count(sums['clauses'], 'clause')} in other words, {sums['rests']} with the same words that rest on something else, {_count(sums['beside'], 'paper')} outside clauses; "
        f"{_count(sums['appear'], 'finding')} would appear, {sums['vanish']} vanish; {_count(sums['lapse'], 'approval')} would lapse"
    )


def _moves(found: list[Answer]) -> Iterator[str]:
    """Each move once, with the sites that it is at."""
    for move in found:
        sites = dict.fromkeys(at["site"] for at in move["at"])
        what = {"beside": "outside its clauses"}.get(move["how"], f"a clause is {move['how']}")
        yield f"\n[{move['number']}] {move['paper']} ({move['language']}), {what}, at {_count(len(sites), 'site')}: {', '.join(sites)}"
        yield from _words(move["said"])


def _sites(came: list[Answer], found: list[Answer]) -> Iterator[str]:
    """Site by site what would move there."""
    for answer in came:
        if any(answer[key] for key in PARTS_OF):
            yield f"\n{answer['name']}"
            yield from _at_site(answer, found)


def _words(said: list[dict[str, str | None]]) -> Iterator[str]:
    if not said:
        yield "  the words are the same; only their form is another"
    for one in said:
        if one["before"] is not None:
            yield f"  before: {one['before']}"
        if one["after"] is not None:
            yield f"  after:  {one['after']}"


def _at_site(answer: Answer, found: list[Answer]) -> Iterator[str]:
    for move in found:
        for at in (at for at in move["at"] if at["site"] == answer["name"]):
            place = f"clause {at['clause']} {move['how']}" if at["clause"] else f"{at['paper']} outside its clauses"
            yield f"  {place} [{move['number']}]"
    if rests := [c["clause"] for c in answer["clauses"] if c["how"] == "rests"]:
        yield f"  the same words would rest on something else: {', '.join(rests)}"
    for head in ("appear", "vanish"):
        yield from (f"  would {head}: {f['finding']} ({f['severity']}) at {f['at']}" for f in answer[head])
    yield from (f"  approval would lapse: {a['approval']}, {a['paper']}: {a['part']}, {a['by']}" for a in answer["lapse"])
