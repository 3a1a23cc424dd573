"""The legal file: what counsel reads of law, roles, findings and records, and nothing that only a programmer could read."""

import re
from functools import cache

import pytest
from support import compared, demo, legal_file, log_of, logged, with_changes

from docgen.papers import outline
from docgen.text.screens import found_in

FULL = ("harrow-ridge", "pellan-creek")


def bodies_of(site):
    """Document -> its English body."""
    return {name: by["en"] for name, by in compared(site)[1].items()}


@cache
def text_of(site):
    """The legal file of a demo."""
    return legal_file(demo(site), compared(site)[1]).markdown


def section(site, title, after):
    """A section of the legal file, up to the next one."""
    text = text_of(site)
    return text[text.index(f"## {title}") : text.index(f"## {after}")]


@pytest.mark.parametrize("site", FULL)
def test_the_clause_register_tells_words_and_law_and_no_field(site):
    """Each clause of a posted paper that prints something stands there with its first words; no path of the profile does."""
    register = section(site, "Clause register", "Findings")
    assert not re.search(r"\\\[|\w\[\w|law:|practice:|\b[a-z]+_[a-z_]+\b", register)
    assert "docgen register" in register
    rows = [row for row in register.splitlines() if row.startswith("| ") and not row.startswith(("| :--", "| Clause"))]
    assert all(len(row.strip("| ").split(" | ")) == 3 for row in rows)
    assert re.search(r"\| Notice \| [^|]*You can fall and die here", register)
    assert all(row.strip("| ").split(" | ")[2:] not in ([], ["–"], [""]) for row in rows)
    assert "{: .blank }" not in register
    assert "Who and where" not in register  # a caption that no page shows is no word of a clause
    assert re.search(
        r"^\| Notice 4\.2 \| [^|]* \| Fixed sentence: common practice, no published source\. \|$", register, re.MULTILINE
    )
    assert re.search(
        r"^\| Notice 4\.1 \|.*Profile: bays \(phone, watcher\); emergency \(public, radio, second\)\.", register, re.MULTILINE
    )
    assert re.search(r"^\| Notice 1\.\d \| Only .* up .*Results of the engineering record\. \|$", register, re.MULTILINE)
    first = next(c for c in bodies_of(site)["contractor-notice"].clauses if c.id.endswith(".fall-keep"))
    assert any(" ".join(first.text.split()[:4]) in row for row in rows)


def test_the_register_names_the_law_of_a_clause():
    """The limit on the bay sign rests on the paragraph that the law data gives, and the reader finds it beside its words."""
    register = section("harrow-ridge", "Clause register", "Findings").replace("\u00a0", " ")
    assert re.search(
        r"^\| Bay sign \| [^|]*Under 310 lb with clothing, harness, tools\. \| 29 CFR 1910\.140\(d\)\(1\)\(v\)\. Profile: limits \(lower, upper\)\. \|$",
        register,
        re.MULTILINE,
    )


@pytest.mark.parametrize("site", FULL)
def test_the_roles_of_employers_are_what_an_authority_may_assert(site):
    """The file admits no role: it tells which ones an authority may assert."""
    read = section(site, "What was read", "What the law says")
    assert "These are roles that an authority may assert of the parties" in read
    assert "parties have these roles" not in read


@pytest.mark.parametrize(
    ("site", "said"),
    [
        (
            "harrow-ridge",
            "The text itself names creating, exposing, correcting and controlling (OSHA Instruction CPL 2-0.124, section X.A; policy)",
        ),
        ("pellan-creek", "No text of this place that names such roles is on record here; the words are the site's own."),
    ],
)
def test_no_citation_stands_for_a_role_that_its_text_does_not_name(site, said):
    """P40: host is no role of the instruction, and a place whose law was found to name none has no citation for any."""
    before, found, roles = section(site, "What was read", "What the law says").replace("\u00a0", " ").partition(said)
    assert found
    assert "host" in roles.partition(".")[2] or site == "pellan-creek"
    assert roles.startswith("; any other word below is the site's own.") or site == "pellan-creek"
    assert "CPL" not in before.rpartition("These are roles")[2]


def test_a_paper_is_called_as_the_law_of_the_place_calls_it():
    """The register of texts has the title that stands on the paper itself and in the plan."""
    for site, title in (
        ("harrow-ridge", "Certification of hazard assessment"),
        ("pellan-creek", "Record of fall-hazard assessment"),
    ):
        register = section(site, "Review, approval and issue", "Posting and translations")
        assert re.findall(r"^\| ((?:Record|Certification) of [^|]*) \|", register, re.MULTILINE) == [title]


def test_what_is_from_memory_and_what_was_read_later_is_said():
    """No sentence says that everything was read while citations of the file are from memory or were read after its day."""
    read = section("harrow-ridge", "What was read", "What the law says")
    assert "has been read or searched, except these, which are from memory: OSHA bulletin SHIB 03-24-2004" in read
    assert 'A reading marked "later" was made after 2026-11-01' in read
    assert "it does not say which texts were used" in read
    file = text_of("harrow-ridge")
    days = [(found[1], found[0]) for found in re.finditer(r"(?:; |\| )(2026-1[12]-\d\d)(?:, later)? \|", file)]
    assert len({day for day, _ in days if day > "2026-11-01"}) > 1
    assert not [row for day, row in days if (day > "2026-11-01") != ("later" in row)]


@pytest.mark.parametrize(
    ("site", "names"), [("harrow-ridge", ("R. Oduya", "D. Sorensen")), ("pellan-creek", ("H. Okafor", "N. Kowal"))]
)
def test_the_reviews_name_whom_the_plan_names(site, names):
    """A role that a paper needs and that somebody holds stands there with the holder, as on the signature page of the plan."""
    reviews = section(site, "Review, approval and issue", "Posting")
    assert "{: .blank }" not in reviews
    assert all(name in reviews for name in names)


def test_each_paper_of_a_bay_bears_the_name_of_the_bay():
    """Two bay signs are two papers, told apart by their bays."""
    records = section("harrow-ridge", "Review, approval and issue", "Posting")
    for paper in ("Bay sign", "Rescue card", "Climb card"):
        assert f"| {paper}, Truck bay |" in records
        assert f"| {paper}, Rail spur |" in records


@pytest.mark.parametrize("site", FULL)
def test_every_finding_has_an_owner(site):
    """A finding that nobody was named for is for the owner of the plan; no owner is a blank."""
    findings = section(site, "Findings and how handled", "Review, approval")
    assert "{: .blank }" not in findings


@pytest.mark.parametrize("site", FULL)
def test_how_a_text_was_read_stands_in_the_legal_file_alone(site):
    """The plan cites; that a text was read in a report, or without the number of its paragraph, is for counsel."""
    for body in bodies_of(site).values():
        for clause in body.clauses:
            assert "as reported" not in clause.text, clause.id
            assert "number to be verified" not in clause.text, clause.id
    if site == "pellan-creek":
        assert "the number of the paragraph is recalled" in text_of(site)


@pytest.mark.parametrize("site", FULL)
def test_how_long_records_are_kept_stands_with_its_basis_and_place(site):
    """Counsel finds each kind of record with its time, what that rests on and where it is held, and where breaches are written down."""
    records = section(site, "Review, approval and issue", "Posting")
    for row in demo(site).site.document.retention:
        assert f"| {row.record} | {row.keep} | {row.basis} | {row.place} |" in records
    assert "is written down here: step 1, shift log; step 2, breach log; step 3, breach log." in records


def test_what_nobody_says_of_records_is_told_as_not_stated():
    """A time without a basis says so; without any row there is a blank."""
    one = with_changes(demo("harrow-ridge"), {"document.retention": [{"record": "Drills"}]})
    assert "| Drills | not stated | not stated | not stated |" in legal_file(one).markdown
    none = legal_file(with_changes(demo("harrow-ridge"), {"document.retention": None})).markdown
    assert "Nothing says how long the records are kept: **each kind of record" in none


def test_a_firm_stands_with_its_contract_and_what_is_on_file():
    """Contract, clause, when it was seen, and certificates with their last day stand in the legal file and on no paper of the site."""
    steps = (
        {"add": {"kind": "contract-seen", "on": "2026-10-02", "by": "K. Lund", "firm": "Prairie Combine Service (invented)", "sentence": "Posted rules bind"}},
        {"add": {"kind": "certificate", "on": "2026-09-26", "by": "K. Lund", "what": "Liability cover", "of": "Prairie Combine Service (invented)", "until": "2026-10-31"}},
        {"add": {"kind": "certificate", "on": "2026-09-27", "by": "K. Lund", "what": "Lift card", "of": "Somebody else", "until": "2027-10-31"}},
    )  # fmt: skip
    told = legal_file(with_changes(demo("pellan-creek"), {}, log=logged(log_of("pellan-creek"), steps))).markdown
    (row,) = (line for line in told.splitlines() if line.startswith("| Prairie Combine"))
    assert "| C-2026-07 | Clause 6: the rules posted at the gate are a condition of entry |" in row
    assert "2026-10-02, K. Lund: Posted rules bind" in row
    assert row.endswith("| Liability cover, until 2026-10-31 (past) |")
    assert "Firms and contracts" not in text_of("harrow-ridge")
    for body in bodies_of("pellan-creek").values():
        assert all("C-2026-07" not in clause.text and "insur" not in clause.text.lower() for clause in body.clauses)


def plain(text):
    """A text without marks, its spaces one and alike."""
    return " ".join(re.sub(r"\\(?=[^\w\s])", "", re.sub(r"[*|\"]", " ", text.replace("\u00a0", " "))).replace(" :", ":").split())


@pytest.mark.parametrize("site", FULL)
def test_counsel_reads_where_each_word_screened_stands(site):
    """Every minute on a paper of the site is quoted with its place and every quotation stands in the papers; kinds that stand nowhere are named as such."""
    told = plain(section(site, "Words screened", "Review, approval"))
    texts = [
        plain(c.text)
        for name, body in bodies_of(site).items()
        if outline(name.partition(".")[0]).circle != "working"
        for c in body.clauses
    ]
    minutes = {found for text in texts for found in re.findall(r"\S+ \d+ min\b", text)}
    assert len(minutes) > 6
    assert [found for found in minutes if found not in told] == []
    quoted = re.findall(r'"([^"]+)"', section(site, "Words screened", "Review, approval").replace("\u00a0", " "))
    assert len(quoted) > 12
    whole = re.sub(r"\W+", " ", " ".join(texts))
    assert [one for one in quoted if re.sub(r"\W+", " ", one) not in whole] == []
    assert (
        "Found nowhere words that promise a result; rights signed away, risk or blame shifted; words that claim an authority"
        in told
    )
    assert re.search(r"Consequences for the site's own crew Plan \d+\.\d+; Notice \d+\.\d+", told)
    assert "Words without a measure Plan" in told
    assert re.search(r"Training outline section 6: [^;]*a second line, for 5 min", told)
    assert "forms and letters that bear a digest" in told


def test_a_promise_in_the_words_of_the_site_is_told_to_counsel_with_its_clause():
    """A word that promises leaves the list of what stands nowhere and is quoted with its clause; a permissive verb counts only at the gate."""
    changed = with_changes(
        demo("harrow-ridge"),
        {"contractors.hazards": "Our crew ensures your footing.", "document.copies": ["Control room, which should be open"]},
    )
    text = legal_file(changed).markdown
    told = plain(text[text.index("## Words screened") : text.index("## Review, approval")])
    assert re.search(r"Words that promise a result .*Notice: +ensures", told)
    assert "Found nowhere rights" in told
    assert "verbs that leave a rule open (on notice and gate card)" in told
    assert found_in("which should be open", "permissive", "en")


def test_the_number_of_a_law_of_any_place_is_told_to_counsel():
    """A number of a law at the gate leaves the list of what stands nowhere, also where the law is not federal."""
    changed = with_changes(demo("pellan-creek"), {"contractors.hazards": "Open edges, section 139 of the OHS Code."})
    text = legal_file(changed).markdown
    told = plain(text[text.index("## Words screened") : text.index("## Review, approval")])
    assert re.search(r"Numbers of laws \(on notice and gate card\) .*Notice: section 139 of the OHS Code", told)


def test_what_the_site_does_about_its_own_crew_is_told_nowhere_where_nothing_is():
    """Without rules of work for the own crew no clause speaks of them."""
    text = legal_file(
        with_changes(demo("harrow-ridge"), {"contractors.own_crew": None, "contractors.applies_to_own_crew": None})
    ).markdown
    told = plain(text[text.index("## Words screened") : text.index("## Review, approval")])
    assert "Consequences for" not in told
    assert re.search(r"Found nowhere .*; consequences for the site's own crew", told)
