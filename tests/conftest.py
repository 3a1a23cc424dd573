"""Marks for the whole suite, and sites that are approved and issued once for all modules.

Every test is `fast` but for those that SLOW names; `pytest -m fast` is for while one works, the whole for before one hands over.
What takes minutes lies in tests/long and runs only when that folder is named; the head of each file there says when it last ran.
"""

from __future__ import annotations

import os
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from control_site import FIRST, LATER, approve_all, exchange, issue, new_site
from hypothesis import settings

from docgen.pipeline import check_site
from docgen.revisions import compare_site

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # commands that tests start would compile every module again, half a second each
LONG = Path(__file__).resolve().parent / "long"
ALL = frozenset({"*"})

# File -> tests that open the office suite, kill processes, start programs, write whole demos or try many cases.
SLOW: dict[str, frozenset[str]] = {
    "test_alarm_numbers.py": ALL,
    "test_always_written.py": ALL,
    "test_approvals.py": ALL,
    "test_arguments.py": frozenset({"test_a_page_is_taken_by_its_content", "test_every_kind_begins_as_its_ending_says", "test_a_link_is_no_page"}),
    "test_between_papers.py": ALL,
    "test_browser.py": ALL,
    "test_brief_checks.py": frozenset({"test_an_old_approval_lapses_in_the_records"}),
    "test_calc_independent.py": ALL,
    "test_calc_properties.py": ALL,
    "test_check.py": frozenset({"test_thousands_of_wrong_references_stay_bounded", "test_a_hundred_problems_are_enough"}),
    "test_cli.py": frozenset(
        {"test_full_demo_stays_clean", "test_hand_edits_are_kept", "test_render_writes_every_file", "test_two_renders_are_the_same_bytes",
         "test_a_partial_render_forgets_nothing", "test_unwritable_folder"}
    ),
    "test_composition.py": ALL,
    "test_contradictions.py": ALL,
    "test_consequences.py": ALL,
    "test_control.py": ALL,
    "test_corners.py": frozenset({"test_random_sites", "test_a_wider_tolerance_improves_nothing"}),
    "test_crash.py": ALL,
    "test_data.py": frozenset(
        {"test_a_second_key_is_an_error", "test_an_unknown_key_is_an_error", "test_a_wrong_type_is_an_error",
         "test_the_loader_judges_as_the_known_validator", "test_a_damaged_file_stops_the_check_with_one_message"}
    ),
    "test_dependencies.py": ALL,
    "test_documents.py": frozenset(
        {"test_marks_of_markdown_print_literally", "test_signs_of_names_in_a_list_print_literally", "test_hostile_name_prints_literally",
         "test_digest_moves_with_what_a_document_says", "test_ids_are_stable_and_not_positional", "test_every_demo_composes",
         "test_limits_without_and_with_tools", "test_who_holds_the_vehicle_still"}
    ),
    "test_docx_base.py": ALL,
    "test_entering.py": ALL,
    "test_elements.py": frozenset({"test_deleting_a_section_unmeets_what_rests_on_it", "test_no_need_is_idle", "test_texts_are_printed_as_text"}),
    "test_extend.py": ALL,
    "test_extension.py": ALL,
    "test_figures.py": ALL,
    "test_fixed_sentences.py": ALL,
    "test_docx_pages.py": frozenset({"test_a_docx_has_the_pages_of_its_pdf"}),
    "test_findings.py": frozenset({"test_clean_demo_is_clean"}),
    "test_handling.py": ALL,
    "test_hundredth_day.py": ALL,
    "test_happened.py": ALL,
    "test_jurisdictions.py": ALL,
    "test_lapses.py": ALL,
    "test_look.py": frozenset(
        {
            "test_a_report_on_a_base_file", "test_approvals_stand_when_a_look_comes", "test_each_type_shows_the_look",
            "test_pages_are_as_many_with_a_look", "test_signals_are_never_recoloured", "test_the_files_of_a_look_are_in_the_build",
        }
    ),
    "test_mutations.py": frozenset({"test_planted_fault"}),
    "test_odd_files.py": ALL,
    "test_outputs.py": ALL,
    "test_paper_code.py": frozenset({"test_what_hangs_bears_a_code_and_nothing_else_does", "test_a_general_reader_reads_every_page"}),
    "test_pdf_for_all.py": ALL,
    "test_pins.py": frozenset({"test_texts", "test_digests"}),
    "test_preview.py": frozenset({"test_a_browser_sees_it", "test_only_what_changed_is_written_again"}),
    "test_private.py": ALL,
    "test_read.py": frozenset({"test_any_text_gives_a_source", "test_hostile_text_ends_in_a_problem"}),
    "test_reached.py": ALL,
    "test_records.py": ALL,
    "test_races.py": ALL,
    "test_redline.py": ALL,
    "test_sealed.py": ALL,
    "test_second_stage.py": ALL,
    "test_sheets.py": frozenset({"test_the_log_takes_a_workbook_too", "test_inspections_that_are_filled_in_become_entries", "test_a_profile_is_built_anew_out_of_its_tables"}),
    "test_site_page.py": ALL,
    "test_states.py": ALL,
    "test_story.py": ALL,
    "test_struck.py": frozenset({"test_the_arc_in_small_steps", "test_nothing_gets_better"}),
    "test_templates.py": frozenset({"test_a_gap_of_a_language_is_seen"}),
    "test_texts.py": frozenset({"test_names_print_once_and_right", "test_a_list_of_names_is_not_escaped_twice", "test_markdown_is_inert_elsewhere"}),
    "test_trace.py": ALL,
    "test_weights_told.py": ALL,
    "test_withdraw.py": ALL,
    "test_write.py": frozenset(
        {"test_stamp_stands_on_every_page", "test_two_runs_give_the_same_bytes", "test_office_numbers_are_ours", "test_header_rows_repeat",
         "test_poster_is_one_page", "test_poster_takes_the_largest_type_that_fits", "test_the_same_words_in_all_types",
         "test_docx_passes_the_open_xml_rules", "test_pdf_syntax_and_marks", "test_pdf_structure_matches_the_source"}
    ),
}  # fmt: skip


# The suite tries the same cases each time; a long run tries ten times as many, and others unless a test asks for the same.
settings.register_profile("suite", max_examples=100, derandomize=True, deadline=None, database=None)
settings.register_profile("long", max_examples=1000, deadline=None, database=None)

# Tests with a table for each finding: the first row of each is fast, the others are slow. File, test -> parameter that names the table.
FIRST_OF_EACH = {("test_findings.py", "test_finding"): "name"}


def _long(config: pytest.Config) -> bool:
    """Whether the long experiments are asked for by name."""
    given = [Path(argument.partition("::")[0]).resolve() for argument in config.args]
    return any(LONG in (path, *path.parents) for path in given)


def pytest_configure(config: pytest.Config) -> None:
    """How many cases a property is tried with."""
    settings.load_profile("long" if _long(config) else "suite")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """The long experiments are left out unless they are asked for."""
    return True if collection_path == LONG and not _long(config) else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test of the suite and each example in a docstring."""
    tables: set[tuple[str, object]] = set()
    for item in items:
        file, name = item.path.name, getattr(item, "originalname", None) or item.name
        named = SLOW.get(file, frozenset()) if LONG not in item.path.parents else ALL
        slow = named == ALL or name in named
        if (file, name) in FIRST_OF_EACH:
            given = (name, item.callspec.params[FIRST_OF_EACH[file, name]])
            slow = slow or given in tables
            tables.add(given)
        item.add_marker("slow" if slow else "fast")


def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> None:
    """What a file keeps for its own tests goes when it ends: all kept compositions together are gigabytes."""
    module = item.getparent(pytest.Module)
    if module is None or (nextitem is not None and nextitem.path == item.path):
        return
    for kept in vars(module.obj).values():
        if hasattr(kept, "cache_clear") and kept.__module__ == module.obj.__name__:
            kept.cache_clear()


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    """The records of the tests bear days of 2026 and 2027, and none of them is ahead, whenever the tests run."""
    monkeypatch.setattr("docgen.commands.outcome.today", lambda: date(2028, 1, 1))


@pytest.fixture(scope="session")
def approved(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The full demo with every approval that it needs; to be copied, not changed."""
    site = new_site(tmp_path_factory.mktemp("approved"))
    approve_all(site, FIRST)
    return site


@pytest.fixture(scope="session")
def issued(approved: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """That site with revision 1 in force, its papers as Markdown; to be copied, not changed. Who looks at another type issues it anew."""
    site = Path(shutil.copytree(approved, tmp_path_factory.mktemp("issued") / "site"))
    revision, against = issue(site, FIRST, types=("md",), by="L. Brandt")
    assert not against
    assert revision is not None
    assert revision.revision == 1
    return site


@pytest.fixture
def site(issued: Path, tmp_path: Path) -> Path:
    """A copy of the issued site, to be changed."""
    return Path(shutil.copytree(issued, tmp_path / "site"))


@pytest.fixture(scope="session")
def story(issued: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Revision 1, a device exchanged, the lapsed approvals given again, revision 2."""
    site = Path(shutil.copytree(issued, tmp_path_factory.mktemp("story") / "site"))
    exchange(site)
    before = compare_site(check_site(site, LATER))
    refused = issue(site, LATER, types=("md",))
    lapsed = {(s.approval.document, s.approval.role) for s, _ in before.approvals if not s.stands}
    approve_all(site, LATER, only=tuple(lapsed))
    second, against = issue(site, LATER, types=("md",), reason="Device D-1 replaced")
    return {"site": site, "changes": before, "refused": refused, "second": second, "against": against}
