"""Many sites: what is built and what is left, that one site's fault is its own, and that no way of building gives other bytes."""

import csv
import io
import json
import os
import shutil
import signal
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import date

import pytest
from distributed import LocalCluster
from support import AS_OF, SITES, demo, with_changes

import docgen.portfolio.build as build_module
from docgen.cli import main
from docgen.errors import UsageError
from docgen.portfolio.build import HALF, STATES, Job, build, fresh
from docgen.portfolio.register import as_csv, climb
from docgen.portfolio.run import processes, results
from docgen.portfolio.sites import spots
from docgen.portfolio.whatif import change_of, changed
from docgen.read import read_text

PORTFOLIO = """portfolio: 1
models:
  - {id: srd-a, kind: srd, name: Device A, arrest_distance: {value: 30 in, how: manual}}
  - {id: srd-b, kind: srd, name: Device B, arrest_distance: {value: 30 in, how: manual}}
defaults:
  document: {review_interval: 12 months}
clients:
  - {id: mill, name: Quern & Sons, defaults: {document: {number: QS-7}}}
  - {id: salt, name: Halite Works, defaults: {document: {number: HW-3}}}
"""
SITE = """profile: 2
portfolio: {{file: ../../portfolio.yaml, client: {client}}}
site: {{id: {site}, name: {name}, jurisdiction: US-KS, sector: general-industry}}
document: {{effective: 2026-11-01}}
bays: [{{id: B1, name: Bay of {name}}}]
equipment: [{{id: D-1, kind: srd, model: {model}, serial: {serial}}}]
"""
SITES_OF = (
    ("mill", "north", "Northgrist", "srd-a", "NG-11"),
    ("mill", "south", "Southgrist", "srd-b", "SG-22"),
    ("salt", "brine", "Brinepan", "srd-a", "BP-33"),
)


@pytest.fixture
def many(tmp_path):
    """Three sites of two clients."""
    (tmp_path / "portfolio.yaml").write_text(PORTFOLIO, encoding="utf-8")
    for client, site, name, model, serial in SITES_OF:
        (tmp_path / client / site).mkdir(parents=True)
        text = SITE.format(client=client, site=site, name=name, model=model, serial=serial)
        (tmp_path / client / site / "profile.yaml").write_text(text, encoding="utf-8")
    return tmp_path


def run(capsys, folder, *more, action="render", day="2026-11-01"):
    papers = ("--types", "md", "--documents", "contractor-notice,worksheet") if action == "render" else ()
    code = main(["portfolio", action, str(folder), "--as-of", day, "--workers", "1", "--format", "json", "--why", *papers, *more])
    out, err = capsys.readouterr()
    return code, json.loads(out) if out else None, dict(line.split(": ", 1) for line in err.splitlines() if ": " in line)


def files(folder):
    """Name -> bytes of what lies in the output, the states apart."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and STATES not in p.parts
    }


def edit(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_sites_are_found_by_name(many):
    """At most four deep, in the order of their names; not in what a command wrote, behind a dot, through a link or inside a site."""
    for name in ("papers/x", ".kept/x", "mill/north/inner", "a/b/c/d/e"):
        (many / name).mkdir(parents=True)
        (many / name / "profile.yaml").write_text("profile: 2\n", encoding="utf-8")
    (many / "zlink").symlink_to(many / "mill")
    assert [s.name for s in spots(many)] == ["mill/north", "mill/south", "salt/brine"]


def test_what_moved_is_built_and_named(many, capsys):
    """Nothing moved: nothing is built. A profile, a model, a client, the defaults, a log: exactly the sites that use it, and why.

    The page of each site names the line of the interval that it takes over, and so feels it where that line is another.
    """
    _, told, _ = run(capsys, many)
    assert (told["built"], len(told["sites"])) == (3, 3)
    before = files(many / "papers")
    every = ("mill/north", "mill/south", "salt/brine")
    assert run(capsys, many)[1]["built"] == 0
    for path, old, new, why in (
        ("portfolio.yaml", "name: Device B", "name: Device C", {"mill/south": "model srd-b"}),
        ("portfolio.yaml", "QS-7", "QS-8", {"mill/north": "client", "mill/south": "client"}),
        (
            "portfolio.yaml",
            "12 months",
            "6 months",
            {"mill/north": "defaults", "mill/south": "defaults", "salt/brine": "defaults"},
        ),
        ("salt/brine/profile.yaml", "Bay of", "Dock of", {"salt/brine": "profile"}),
        ("portfolio.yaml", "clients:\n", "clients:\n  - {id: new, name: Nobody yet}\n", {}),
        ("portfolio.yaml", "  - {id: srd-a", "  - {id: srd-new, kind: srd}\n  - {id: srd-a", dict.fromkeys(every, "portfolio")),
    ):
        edit(many / path, old, new)
        assert run(capsys, many)[2] == why, path
    assert "portfolio.yaml:7" in (many / "papers/mill/north/index.html").read_text(encoding="utf-8")
    (many / "mill/north/log.yaml").write_text("log: 1\nentries: []\n", encoding="utf-8")
    assert run(capsys, many)[2] == {"mill/north": "log"}
    (many / "papers/salt/brine/contractor-notice.md").unlink()
    assert run(capsys, many)[2] == {"salt/brine": "what was written is gone"}
    assert before.keys() == files(many / "papers").keys()


def test_a_mistake_in_the_library_is_felt_by_all_and_gone_with_its_mend(many, capsys):
    """Also where it stands at a model that no site has: what a part alone may say, and one id twice."""
    for old, new, told in (
        ("models:\n", "models:\n  - {id: srd-new, kind: srd, serial: X-1}\n", "models[0].serial"),
        ("id: srd-b", "id: SRD-A", "is the id of two models"),
        ("id: salt", "id: mill", "is the id of two clients"),
    ):
        assert run(capsys, many)[1]["sites"][2]["problems"] == []
        edit(many / "portfolio.yaml", old, new)
        if "id: salt" in old:
            edit(many / "salt/brine/profile.yaml", "client: salt", "client: mill")
        rows = run(capsys, many)[1]["sites"]
        assert all(told in row["problems"][0] for row in rows), told
        edit(many / "portfolio.yaml", new, old)


def test_a_problem_that_was_taken_over_points_to_its_line_of_now(many, capsys):
    """A comment above it moves the line; the register and a register built anew say the same."""
    edit(many / "portfolio.yaml", "12 months", "12")
    for line in (6, 8):
        problems = [p for row in run(capsys, many, action="register")[1]["sites"] for p in row["problems"]]
        assert len(problems) == 3
        assert all(f"portfolio.yaml:{line}:31: " in problem for problem in problems)
        edit(many / "portfolio.yaml", "models:\n", "# what is shared\n\nmodels:\n")


def test_a_default_that_a_site_does_not_take_over_builds_nothing(many, capsys):
    """Where the client or the profile says something else; the next run looks no further, and a default that is taken over is felt."""
    edit(many / "portfolio.yaml", "{number: QS-7}", "{number: QS-7, review_interval: 3 months}")
    run(capsys, many)
    edit(many / "portfolio.yaml", "12 months", "24 months")
    _, told, why = run(capsys, many)
    assert (told["built"], why) == (1, {"salt/brine": "defaults"})
    job = Job(spots(many)[0], date(2026, 11, 1), "en", (many / "papers").resolve(), ("md",), ("contractor-notice", "worksheet"))
    assert fresh(job) is not None
    edit(many / "portfolio.yaml", "3 months", "4 months")
    assert run(capsys, many)[2] == {"mill/north": "client", "mill/south": "client"}


LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 10"><rect width="{wide}" height="10" fill="#123456"/></svg>'


def test_a_logo_beside_the_portfolio_is_felt_by_the_sites_that_print_it(many, capsys):
    """The client's logo, but for a site with one of its own; a missing one is told with the folder where it is looked for, and felt when it comes."""
    edit(many / "portfolio.yaml", "{number: QS-7}", "{number: QS-7, look: {logo: look/mill.svg}}")
    edit(many / "mill/south/profile.yaml", "{effective: 2026-11-01}", "{effective: 2026-11-01, look: {logo: own.svg}}")
    (many / "mill/south/own.svg").write_text(LOGO.format(wide=10), encoding="utf-8")
    told = run(capsys, many)[1]["sites"]
    assert "portfolio.yaml:8:" in told[0]["problems"][0]
    assert "there is no file 'look/mill.svg' in the folder of the portfolio" in told[0]["problems"][0]
    assert told[1]["problems"] == told[2]["problems"] == []
    (many / "look").mkdir()
    for wide in (20, 30):
        (many / "look/mill.svg").write_text(LOGO.format(wide=wide), encoding="utf-8")
        assert run(capsys, many)[2] == {"mill/north": "look"}
    (many / "mill/south/own.svg").write_text(LOGO.format(wide=12), encoding="utf-8")
    assert run(capsys, many)[2] == {"mill/south": "files"}


def test_a_photograph_that_comes_is_felt_wherever_it_lies(many, capsys):
    """In a folder that is passed by, behind a dot, or through a link; a check sees it there."""
    run(capsys, many)
    for name in ("papers/label.jpg", ".camera/label.jpg", "linked/label.jpg"):
        edit(many / "mill/north/profile.yaml", "serial: NG-11", f"label_photo: {name}, serial: NG-11")
        assert run(capsys, many)[2] == {"mill/north": "profile"}
        if name.startswith("linked"):
            (many / "elsewhere").mkdir()
            (many / "mill/north/linked").symlink_to(many / "elsewhere")
        photo = many / "mill/north" / name
        photo.parent.mkdir(exist_ok=True)
        photo.write_bytes(b"x")
        assert run(capsys, many)[2] == {"mill/north": "photographs"}
        edit(many / "mill/north/profile.yaml", f"label_photo: {name}, ", "")
        run(capsys, many)


@pytest.mark.parametrize(
    ("name", "of"),
    [
        ("templates/look/base.docx", "templates"),
        ("templates/look/fonts/LiberationSans-Bold.ttf", "templates"),
        ("templates/words/en.yaml", "templates"),
        ("docgen/places.yaml", "program"),
        ("docgen/control/consequences.yaml", "program"),
        ("docgen/units.py", "program"),
        ("docgen/trade/practice.yaml", "trade"),
        ("schemas/words.schema.json", "schemas"),
    ],
)
def test_every_file_that_papers_are_made_from_is_in_a_digest(name, of, tmp_path):
    """Another byte in a copy of the program, and that digest alone is another."""
    for part in ("docgen", "templates", "schemas"):
        shutil.copytree(SITES.parent / part, tmp_path / part, ignore=shutil.ignore_patterns("__pycache__"))
    told = "import json; from docgen.portfolio.sites import program; print(json.dumps(dict(program())))"

    def digests():
        done = subprocess.run(
            [sys.executable, "-c", told],
            cwd=tmp_path,
            env=os.environ | {"PYTHONPATH": str(tmp_path)},
            capture_output=True,
            check=True,
        )
        return json.loads(done.stdout)

    before = digests()
    with (tmp_path / name).open("ab") as file:
        file.write(b"\n")
    after = digests()
    assert [key for key in after if after[key] != before[key]] == [of]


def test_built_in_steps_or_at_once_the_bytes_are_the_same(many, capsys):
    """After changes and on another day the output is that of a first build; papers with a digest are not written again for a day."""
    run(capsys, many)
    edit(many / "portfolio.yaml", "QS-7", "QS-8")
    run(capsys, many)
    notice = many / "papers/mill/north/contractor-notice.md"
    kept = notice.stat().st_mtime_ns
    run(capsys, many, day="2026-11-05")
    assert notice.stat().st_mtime_ns == kept
    run(capsys, many, "--into", str(many / "anew"), day="2026-11-05")
    assert files(many / "papers") == files(many / "anew")
    with ThreadPoolExecutor(3) as executor:
        jobs = [
            Job(s, date(2026, 11, 5), "en", many / "threads", ("md",), ("contractor-notice", "worksheet"))
            for s in spots(many)
            if "/" in s.name and not s.name.startswith(("anew", "threads"))
        ]
        assert all(b.row["fault"] is None for _, b in results(executor, build, jobs, 3))
    mine = {k: v for k, v in files(many / "anew").items() if not k.startswith("register.")}
    assert files(many / "threads") == mine


def test_processes_give_the_same_bytes(many, capsys):
    """Two processes of this machine write what one does."""
    run(capsys, many)
    main(["portfolio", "render", str(many), "--as-of", "2026-11-01", "--workers", "2", "--into", str(many / "two"), "--types", "md",
          "--documents", "contractor-notice,worksheet"])  # fmt: skip
    assert files(many / "papers") == files(many / "two")


def test_workers_of_a_cluster_write_the_same_bytes(many, capsys):
    """A scheduler with two worker processes on this machine; one of them is killed once the first file is there, and all is whole."""
    run(capsys, many)
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1", silence_logs=50
    ) as cluster:
        into = many / "far"

        def strike():
            while not any(into.rglob("*.md")):
                pass
            os.kill(next(iter(cluster.workers.values())).pid, signal.SIGKILL)

        striker = threading.Thread(target=strike, daemon=True)
        striker.start()
        main(["portfolio", "render", str(many), "--as-of", "2026-11-01", "--scheduler", cluster.scheduler_address, "--into", str(into), "--types", "md",
              "--documents", "contractor-notice,worksheet"])  # fmt: skip
        striker.join()
    assert files(into) == files(many / "papers")
    assert main(["portfolio", "render", str(many), "--scheduler", "nonsense"]) == 2
    assert "nothing answers at nonsense" in capsys.readouterr().err


def test_one_fault_stops_no_other(many, capsys, monkeypatch):
    """A profile with problems, a broken log and a fault inside docgen are lines of their own; the others are built."""
    edit(many / "mill/north/profile.yaml", "US-KS", "US-XX")
    (many / "mill/south/log.yaml").write_text("log: [", encoding="utf-8")
    code, told, _ = run(capsys, many)
    rows = {r["name"]: r for r in told["sites"]}
    assert code == 1
    assert "mill/north/profile.yaml:3" in rows["mill/north"]["problems"][0]
    assert "log.yaml:1" in rows["mill/south"]["problems"][0]
    assert (many / "papers/salt/brine/contractor-notice.md").is_file()
    monkeypatch.setattr("docgen.portfolio.build.check_site", lambda *_: 1 / 0)
    edit(many / "salt/brine/profile.yaml", "Bay of", "Dock of")
    code, told, _ = run(capsys, many)
    assert code == 2
    assert "ZeroDivisionError" in told["sites"][2]["fault"]
    assert "internal fault" in told["sites"][2]["fault"]


def test_two_sites_of_one_id_in_one_place(many, capsys):
    """The second is told, and the papers of the first stay."""
    shutil.copytree(many / "mill/north", many / "mill/zwin")
    code, told, _ = run(capsys, many)
    faults = {r["name"]: r["fault"] for r in told["sites"] if r["fault"]}
    assert code == 2
    assert faults == {
        "mill/zwin": "two sites of this folder have the id 'north', and their papers would lie in one place; mill/north is the other one"
    }
    shutil.rmtree(many / "mill/north")
    assert run(capsys, many)[0] == 1  # the name is free again


def test_no_word_of_one_client_reaches_another(many, capsys):
    """Names, numbers, serial numbers and ids that only one client's files hold stand in no paper of the other."""
    main(["portfolio", "render", str(many), "--as-of", "2026-11-01", "--workers", "1", "--types", "md,html"])
    capsys.readouterr()
    own = {
        "mill": ("Quern", "QS-7", "Northgrist", "Southgrist", "NG-11", "SG-22", "Device B"),
        "salt": ("Halite", "HW-3", "Brinepan", "BP-33"),
    }
    for client, others in (("mill", own["salt"]), ("salt", own["mill"])):
        texts = {n: d.decode("utf-8", "replace") for n, d in files(many / "papers" / client).items()}
        assert texts
        assert [(n, w) for n, t in texts.items() for w in others if w in t] == []
        assert any(w in t for t in texts.values() for w in own[client])


def test_killed_builds_end_in_the_same_bytes(many, capsys):
    """Processes that are killed while they build leave whole files, and a plain run after them gives what an undisturbed one does."""
    command = [sys.executable, "-m", "docgen", "portfolio", "render", str(many), "--as-of", "2026-11-01", "--workers", "1", "--types", "md",
               "--documents", "contractor-notice,worksheet", "--into", str(many / "cut")]  # fmt: skip
    for most in (1, 4, 9):
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
        while process.poll() is None and sum(1 for _ in (many / "cut").rglob("*")) < most:
            pass
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    run(capsys, many, "--into", str(many / "cut"))
    run(capsys, many)
    assert files(many / "cut") == files(many / "papers")


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="processes are looked for in /proc")
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL])
def test_no_process_outlives_a_command_that_is_killed(many, how):
    """The command alone is killed while its two processes work; both end by themselves."""
    command = [
        sys.executable,
        "-m",
        "docgen",
        "portfolio",
        "render",
        str(many),
        "--as-of",
        "2026-11-01",
        "--workers",
        "2",
        "--types",
        "md",
    ]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    while not any((many / "papers").rglob("*.md")):
        assert process.poll() is None
    process.send_signal(how)
    process.communicate(timeout=30)  # the processes hold its output open for as long as they live


def test_two_builders_in_one_folder(many, capsys):
    """Two commands that write into one folder at once leave what one leaves: whole files, one state a site, nothing half written."""
    command = [sys.executable, "-m", "docgen", "portfolio", "render", str(many), "--as-of", "2026-11-01", "--workers", "1", "--types", "md",
               "--documents", "contractor-notice,worksheet", "--into", str(many / "both")]  # fmt: skip
    both = [subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    assert [(process.communicate()[1], process.returncode) for process in both] == [("", 1)] * 2
    run(capsys, many)
    assert files(many / "both") == files(many / "papers")
    assert run(capsys, many, "--into", str(many / "both"))[1]["built"] == 0
    assert not [p for p in (many / "both").rglob("*") if HALF.fullmatch(p.name)]


def test_a_site_is_built_by_one_at_a_time(many, monkeypatch):
    """Who comes while another builds it waits, and then finds it built: it is gone through once."""
    met, begun, through = threading.Barrier(2), [], build_module.check_site

    def checked(*asked):
        begun.append(asked)
        with suppress(threading.BrokenBarrierError):  # nobody else comes
            met.wait(timeout=2)
        return through(*asked)

    monkeypatch.setattr(build_module, "check_site", checked)
    job = Job(spots(many)[0], AS_OF, "en", many / "papers", ("md",), ("worksheet",))
    with ThreadPoolExecutor(2) as executor:
        built = list(executor.map(build, (job, job)))
    assert len(begun) == 1
    assert sorted(b.moved for b in built) == [(), ("never built",)]


def test_processes_are_exchanged_after_some_sites(monkeypatch):
    """So that what one keeps in memory is given back."""
    monkeypatch.setattr("docgen.portfolio.run.MOST_SITES", 2)
    with processes(1) as executor:
        assert len({executor.submit(os.getpid).result() for _ in range(6)}) == 3


@pytest.mark.parametrize(
    ("states", "told"),
    [
        ((), "unknown"),
        (("open", "open"), "open"),
        (("open", "closed-by-finding"), "partly"),
        (("waiting", "open"), "partly"),
        (("waiting", "waiting"), "waiting"),
        (("closed-today", "waiting"), "waiting"),
        (("closed-today", "closed-by-decision"), "closed"),
    ],
)
def test_whether_anybody_may_climb_today(states, told):
    """Open is said of a site only where each of its bays is."""
    assert climb({"bays": [{"state": state} for state in states]}) == told


def test_the_register_in_three_forms(many, capsys):
    """A line a site with its state; the table has no formula; the page has a row a site, its bays with why, and a link to its page."""
    edit(many / "mill/north/profile.yaml", "name: Northgrist", 'name: "=Northgrist <b>"')
    run(capsys, many)
    assert run(capsys, many, action="register")[1]["built"] == 0  # the lines are those of the papers
    rows = json.loads((many / "papers/register.json").read_text(encoding="utf-8"))["sites"]
    assert [(r["name"], r["client"], climb(r)) for r in rows] == [
        ("mill/north", "mill", "closed"),
        ("mill/south", "mill", "closed"),
        ("salt/brine", "salt", "closed"),
    ]
    table = list(csv.DictReader(io.StringIO((many / "papers/register.csv").read_text(encoding="utf-8"))))
    assert [t["models"] for t in table] == ["srd-a", "srd-b", "srd-a"]
    page = (many / "papers/register.html").read_text(encoding="utf-8")
    assert "=Northgrist &lt;b&gt;" in page
    assert "<b>" not in page
    assert page.count("<tr data-") == 3
    assert 'href="mill/north/index.html"' in page
    assert as_csv([rows[0] | {"models": ["=1+1"]}]).splitlines()[1].count("'=1+1") == 1


def test_a_register_alone_says_what_the_page_of_a_site_says(tmp_path, capsys):
    """Also what only shows when its papers are held against each other: here they print the emergency number of another place than the profile."""
    shutil.copytree(SITES / "thornmere", tmp_path / "one/thornmere")
    edit(tmp_path / "one/thornmere/profile.yaml", "jurisdiction: GB", "jurisdiction: US-KS")
    for into, more in (("alone", ("register",)), ("papers", ("render", "--types", "md"))):
        main(
            [
                "portfolio",
                more[0],
                str(tmp_path),
                "--as-of",
                "2026-11-01",
                "--workers",
                "1",
                "--into",
                str(tmp_path / into),
                *more[1:],
            ]
        )
    capsys.readouterr()
    alone, whole = (json.loads((tmp_path / into / "register.json").read_text(encoding="utf-8")) for into in ("alone", "papers"))
    assert alone == whole
    assert "documents-contradict" in alone["sites"][0]["must_fix"]


def test_a_line_of_an_issued_site_says_what_check_says(site, tmp_path, capsys):
    """Bays that wait, what is overdue, papers by their states; and which approvals lapse once its text is another, as whatif foretold."""
    shutil.copytree(site, tmp_path / "many/one")
    states, lapsed = [], []

    def line(day):
        main(["portfolio", "register", str(tmp_path / "many"), "--as-of", day, "--workers", "1", "--into", str(tmp_path / "out")])
        capsys.readouterr()
        return json.loads((tmp_path / "out/register.json").read_text(encoding="utf-8"))["sites"][0]

    for day in ("2026-11-01", "2028-01-01"):
        row = line(day)
        main(["check", str(tmp_path / "many/one"), "--as-of", day, "--format", "json"])
        told = json.loads(capsys.readouterr().out)
        assert [(b["id"], b["state"]) for b in row["bays"]] == [(b["id"], b["state"]) for b in told["bays"]]
        main(["portfolio", "due", str(tmp_path / "many"), "--as-of", day, "--workers", "1", "--format", "json"])
        assert row["overdue"] == sum(due["state"] != "coming" for due in json.loads(capsys.readouterr().out)["due"])
        states += [{b["state"] for b in row["bays"]}, row["overdue"] > 0]
        lapsed += row["lapsed"]
    assert (states, lapsed) == ([{"waiting"}, False, {"closed-today"}, True], [])
    question = ("--set", "bays[B1].name=Other bay", "--as-of", "2026-11-01", "--workers", "1", "--format", "json")
    main(["portfolio", "whatif", str(tmp_path / "many"), *question])
    foretold = {f"{one['paper']}: {one['part']}" for one in json.loads(capsys.readouterr().out)["sites"][0]["lapse"]}
    edit(tmp_path / "many/one/profile.yaml", "name: Truck bay", "name: Other bay")
    assert foretold
    assert set(line("2026-11-01")["lapsed"]) == foretold


def test_a_register_alone_is_built_once(many, capsys):
    """Without papers each line is worked out once; a later register rests on it."""
    assert run(capsys, many, action="register")[1]["built"] == 3
    assert sorted(files(many / "papers")) == ["register.csv", "register.html", "register.json"]  # and no paper of any site
    assert run(capsys, many, action="register")[1]["built"] == 0
    assert run(capsys, many)[1]["built"] == 3


def test_a_damaged_state_counts_as_none(many):
    """What cannot be read, or is of another form, leads to a new build and to no fault."""
    job = Job(spots(many)[0], AS_OF, "en", many / "papers", ("md",), ("worksheet",))
    assert build(job).moved == ("never built",)
    assert fresh(job) is not None
    (state,) = (many / "papers" / STATES).glob("*.papers.json")
    for text in (
        "",
        "[]",
        "{}",
        '{"format": 3, "name": "mill/north", "used": []}',
        state.read_text(encoding="utf-8").replace('"names": [', '"names": ["more", '),
        state.read_text(encoding="utf-8").replace('"format": 3', '"format": 2'),
    ):
        state.write_text(text, encoding="utf-8")
        assert fresh(job) is None
        assert build(job).row["fault"] is None


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("check", "no-such"), "no-such: no such folder; give one with sites below it"),
        (("check", "."), "no folder below it holds a profile.yaml"),
        (("chek", "."), "there is no action 'chek'; did you mean 'check'?"),
        (("check", ".", "--workers", "0"), "--workers takes a number from 1 to 1024; got 0"),
        (("render", ".", "--documents", "plan"), "there is no document 'plan'"),
    ],
)
def test_wrong_uses_are_told(words, told, tmp_path, monkeypatch, capsys):
    """One line that says what would be right; exit 2."""
    monkeypatch.chdir(tmp_path)
    try:
        code = main(["portfolio", *words])
    except SystemExit as stop:
        code = stop.code
    assert code == 2
    assert told in " ".join(capsys.readouterr().err.split())


def test_flatten_prints_a_profile_that_stands_alone(many, capsys):
    """With all that was taken over, and where from; a demo is printed as it is."""
    assert main(["portfolio", "flatten", str(many / "salt/brine")]) == 0
    text = capsys.readouterr().out
    assert "number: HW-3  # of the client" in text
    assert "review_interval: 12 months  # of the portfolio" in text
    assert "arrest_distance: {value: 30 in, how: manual}  # of model srd-a" in text
    assert "portfolio:" not in text
    (many / "alone").mkdir()
    (many / "alone/profile.yaml").write_text(text, encoding="utf-8")
    assert main(["portfolio", "flatten", str(many / "alone")]) == 0
    assert capsys.readouterr().out == text
    assert main(["portfolio", "flatten", str(SITES / "harrow-ridge")]) == 0
    assert capsys.readouterr().out == (SITES / "harrow-ridge/profile.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "steps", "value"),
    [
        ("equipment[D-1].arrest_distance=54 in", ("equipment", "[D-1]", "arrest_distance"), "54 in"),
        ("equipment[kind=srd].arrest_distance = 54 in", ("equipment", "[kind=srd]", "arrest_distance"), "54 in"),
        ("vehicles[*].deck={value: 12 ft, how: measured}", ("vehicles", "[*]", "deck"), {"value": "12 ft", "how": "measured"}),
        ("tasks[load].permission=prohibited", ("tasks", "[load]", "permission"), "prohibited"),
        ("rescue.methods[M2].steps[attach].time=2 min", ("rescue", "methods", "[M2]", "steps", "[attach]", "time"), "2 min"),
        ("contractors.refusal_right=true", ("contractors", "refusal_right"), True),
    ],
)
def test_what_is_asked_for_is_read(text, steps, value):
    """A path step by step, with brackets that name entries of lists, and a value as the profile would have it."""
    change = change_of(text)
    assert (change.steps, change.value) == (steps, value)


@pytest.mark.parametrize(
    "text", ["", "deck", "=5 ft", "a..b=5 ft", "a.=5 ft", "a[b=5 ft", "a[]=5 ft", "vehicles[*].deck=[1", "x=yes"]
)
def test_what_is_no_question_is_told(text):
    """One message with what was typed."""
    with pytest.raises(UsageError) as seen:
        change_of(text)
    assert f"'{text}'" in str(seen.value)


def test_a_value_is_put_where_the_path_leads():
    """Each entry that a bracket names; a figure keeps its evidence; where nothing fits nothing is put."""
    source = read_text(
        "equipment:\n  - {id: D-1, kind: srd, reach: {value: 3 ft, how: measured}}\n  - {id: R-1, kind: rail, reach: 4 ft}\n"
    )
    for text, wanted, count in (
        ("equipment[d-1].reach=5 ft", [{"value": "5 ft", "how": "measured"}, "4 ft"], 1),
        ("equipment[kind=rail].reach=5 ft", [{"value": "3 ft", "how": "measured"}, "5 ft"], 1),
        ("equipment[*].reach={value: 6 ft}", [{"value": "6 ft"}, {"value": "6 ft"}], 2),
        ("equipment[X].reach=5 ft", [{"value": "3 ft", "how": "measured"}, "4 ft"], 0),
        ("vehicles[*].reach=5 ft", [{"value": "3 ft", "how": "measured"}, "4 ft"], 0),
    ):
        after, counts = changed(source, (change_of(text),))
        assert [e["reach"] for e in after.data["equipment"]] == wanted, text
        assert counts == [count]
    assert source.data["equipment"][1]["reach"] == "4 ft"


def test_what_would_follow_touches_no_file(tmp_path, capsys):
    """Cases that flip, findings, papers and people of a demo with a longer device, as a check of the changed profile finds them."""
    shutil.copytree(SITES / "harrow-ridge", tmp_path / "a/site")
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    question = "equipment[kind=srd].arrest_distance=54 in"
    main(
        [
            "portfolio",
            "whatif",
            str(tmp_path / "a"),
            "--set",
            question,
            "--as-of",
            "2026-11-01",
            "--workers",
            "1",
            "--format",
            "json",
        ]
    )
    answer = json.loads(capsys.readouterr().out)["sites"][0]
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before
    whole = demo("harrow-ridge")
    devices = [part["id"] for part in whole.source.data["equipment"] if part["kind"] == "srd"]
    there = with_changes(whole, {f"equipment[{key}].arrest_distance.value": "54 in" for key in devices})
    was, now = ({(f.name, f.path) for f in each.assessed.findings if f.name != "paper-too-long"} for each in (whole, there))
    told = {(f["finding"], f["at"]) for f in answer["appear"] if f["finding"] != "paper-too-long"}
    assert told == now - was
    flips = {
        c.id: (c.verdict, d.verdict)
        for c in whole.assessed.cases
        for d in there.assessed.cases
        if c.id == d.id and c.verdict != d.verdict
    }
    assert flips
    assert {c["case"]: (c["before"], c["after"]) for c in answer["cases"]} == flips
    assert answer["bays"] == [
        {"bay": name, "before": "waiting", "after": "closed-by-finding"} for name in ("Truck bay", "Rail spur")
    ]
    assert any(line.startswith("Users of the rail") for line in answer["tell"])
    assert "engineering-record (en)" in answer["papers"]


def test_a_figure_that_would_be_unknown(tmp_path, capsys):
    """As if the profile said so, or nothing: its evidence goes with it, and what rests on it is not computed."""
    shutil.copytree(SITES / "harrow-ridge", tmp_path / "a/site")
    told = set()
    for value in ("unknown", ""):
        question = ("--set", f"equipment[kind=srd].arrest_distance={value}", "--workers", "1", "--as-of", "2026-11-01")
        assert main(["portfolio", "whatif", str(tmp_path), *question, "--format", "json"]) == 1
        told.add(json.dumps(json.loads(capsys.readouterr().out)["sites"]))
    (answer,) = json.loads(told.pop())
    assert (told, answer["problems"]) == (set(), [])
    assert {case["after"] for case in answer["cases"]} == {"not-computed"}


def test_a_paper_kept_apart_that_is_gone_is_written_again(many, capsys):
    """The legal file lies in a folder of its own; what a killed process left half there is taken away."""
    papers = ("--types", "md", "--documents", "contractor-notice,legal-file")
    run(capsys, many, *papers)
    legal = many / "papers/mill/north.counsel/legal-file.md"
    legal.unlink()
    half = legal.with_name(".legal-file.md.0123456789abcdef")
    half.write_bytes(b"x")
    assert run(capsys, many, *papers)[2] == {"mill/north": "what was written is gone"}
    assert legal.is_file()
    assert not half.exists()


def test_a_question_that_fits_nowhere(many, capsys):
    """A path that no site has is told; a value that the schema refuses is a line of its site."""
    assert main(["portfolio", "whatif", str(many), "--set", "bays[B9].name=X", "--workers", "1"]) == 2
    assert "nothing at these sites is at 'bays[B9].name'" in capsys.readouterr().err
    assert main(["portfolio", "whatif", str(many), "--set", "document.paper=a44", "--workers", "1"]) == 1
    assert capsys.readouterr().out.count("document.paper:") == 3
    assert main(["portfolio", "whatif", str(many), "--workers", "1"]) == 2
    assert main(["portfolio", "check", str(many), "--set", "a=b"]) == 2


def test_what_falls_due_is_that_of_the_command_for_it(tmp_path, capsys):
    """Two demos and a broken one, by processes or not: the list of docgen due, and the broken site told."""
    for name in ("harrow-ridge", "pellan-creek"):
        shutil.copytree(SITES / name, tmp_path / "c" / name)
    words = ("--within", "120d", "--as-of", "2026-11-01", "--format", "csv")
    assert main(["due", str(tmp_path), *words]) == 0
    table = capsys.readouterr().out
    for workers in ("1", "2"):
        assert main(["portfolio", "due", str(tmp_path), *words, "--workers", workers]) == 0
        assert capsys.readouterr().out == table
    edit(tmp_path / "c/harrow-ridge/profile.yaml", "US-NE", "US-XX")
    assert main(["portfolio", "due", str(tmp_path), *words, "--workers", "1"]) == 1
    out, err = capsys.readouterr()
    assert "pellan-creek" in out
    assert "profile.yaml:" in err
    assert main(["portfolio", "check", str(tmp_path), "--format", "csv"]) == 2


def test_what_falls_due_at_two_sites_of_one_id_is_told_apart(many, capsys):
    """Two clients have a site `north` each: no row of one stands under the name of the other, in any form."""
    shutil.copytree(many / "mill/north", many / "salt/north")
    edit(many / "salt/north/profile.yaml", "client: mill", "client: salt")
    edit(many / "salt/north/profile.yaml", "name: Northgrist", "name: Saltnorth")

    def told(kind):
        main(["portfolio", "due", str(many), "--as-of", "2026-11-01", "--workers", "1", "--format", kind])
        return capsys.readouterr().out

    data = json.loads(told("json"))
    assert data["sites"] == {"mill/north": "Northgrist", "south": "Southgrist", "brine": "Brinepan", "salt/north": "Saltnorth"}
    rows = list(csv.DictReader(io.StringIO(told("csv"))))
    assert {r["which"] for r in rows if r["site"] == "mill/north"} == {"QS-7", "site"}
    assert {r["which"] for r in rows if r["site"] == "salt/north"} == {"HW-3", "site"}
    blocks = told("text").split("\n\n")
    assert ["HW-3" in blocks[n + 1] for n, head in enumerate(blocks) if head.endswith(("Northgrist", "Saltnorth"))] == [
        False,
        True,
    ]
    uids = [line for line in told("ics").splitlines() if line.startswith("UID")]
    assert len(set(uids)) == len(uids) == len(rows)


def test_a_damaged_record_is_told_as_a_sentence_by_every_question(many, capsys):
    """By the sentence of its refusal, not by its name."""
    (many / "mill/north/approvals").mkdir()
    (many / "mill/north/approvals/A-0001.json").write_text("[", encoding="utf-8")
    said = set()
    for words in (
        ("check",),
        ("due",),
        ("whatif", "--set", "site.name=X"),
        ("uses", "--model", "srd-a"),
        ("draft", "--templates", str(many / "draft")),
    ):
        if words[0] == "draft":
            section = next((SITES.parent / "templates/contractor-notice/en").glob("*.md"))
            (many / "draft/contractor-notice/en").mkdir(parents=True)
            (many / "draft/contractor-notice/en" / section.name).write_text(
                section.read_text(encoding="utf-8") + "\n", encoding="utf-8"
            )
        main(["portfolio", words[0], str(many), "--as-of", "2026-11-01", "--workers", "1", *words[1:]])
        said.add(next(line for line in "".join(capsys.readouterr()).splitlines() if line.startswith("mill/north: ")))
    assert len(said) == 1
    assert "(file: " not in said.pop()


def test_a_paper_that_somebody_edited_is_kept_and_told(many, capsys):
    """Also where its text is as it was: the file of another hand is set aside, and the note is a sentence."""
    run(capsys, many)
    notice = many / "papers/mill/north/contractor-notice.md"
    ours = notice.read_bytes()
    notice.write_bytes(ours + b"by hand\n")
    edit(many / "mill/north/profile.yaml", "serial: NG-11", "serial: NG-12")
    said = run(capsys, many)[2]
    assert notice.read_bytes() == ours
    assert (notice.parent / "contractor-notice.edited.md").read_bytes() == ours + b"by hand\n"
    assert "contractor-notice" in said["mill/north"]
    assert "kept-edited" not in said["mill/north"]
