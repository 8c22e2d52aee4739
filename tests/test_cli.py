"""The command line: exit codes, what goes to which stream, and nothing written where nothing may be."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

import equipsel.solve
from equipsel.cli import app
from equipsel.files import FILE_NAMES
from equipsel.kit import Finding, Kit, Severity, Status, Unit
from equipsel.solve import AuditFailed, Limits

ROOT = Path(__file__).parent.parent
WORKSHOP = str(ROOT / "scenarios" / "workshop")
RUN = "import sys; from equipsel.cli import main; sys.argv[0] = 'equipsel'; main()"
GOOD = Kit(status=Status.OPTIMAL, currency="EUR", cost=9.5, lower_bound=9.5, gap=0, seconds=0.1, lines=(), units=(), connections=())

Solver = Callable[..., Kit]


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words))


def start(*words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-c", RUN, *words], capture_output=True, cwd=ROOT, timeout=120, check=False, env={**os.environ, **environment}
    )


@pytest.fixture
def solved(monkeypatch: pytest.MonkeyPatch) -> Callable[[Kit | BaseException], list[Limits]]:
    """Let the solver give this kit, or raise this; the limits it was given are collected."""

    def solve_with(answer: Kit | BaseException) -> list[Limits]:
        given: list[Limits] = []

        def solver(_scenario: object, _catalog: object, limits: Limits) -> Kit:
            given.append(limits)
            if isinstance(answer, BaseException):
                raise answer
            return answer

        monkeypatch.setattr(equipsel.solve, "cheapest_kit", solver)
        return given

    return solve_with


def test_a_kit_without_out_loads_no_workbook_writer() -> None:
    code = "import sys\nfrom equipsel.cli import app\nfrom typer.testing import CliRunner\n"
    code += f"CliRunner().invoke(app, ['kit', {WORKSHOP!r}])\n"
    code += "print('pulp' in sys.modules, 'xlsxwriter' in sys.modules)\n"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, cwd=ROOT, timeout=60, check=True)
    assert done.stdout.split() == [b"True", b"False"]


def test_help_loads_neither_the_solver_nor_pandas_nor_the_tables() -> None:
    code = "import sys\nfrom equipsel.cli import app\nfrom typer.testing import CliRunner\n"
    code += "print(CliRunner().invoke(app, ['--help']).exit_code)\n"
    code += "print([name for name in ('pulp', 'highspy', 'pandas', 'openpyxl', 'equipsel.files') if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, cwd=ROOT, timeout=60, check=True)
    assert done.stdout.decode().splitlines() == ["0", "[]"]


def test_wrong_tables_load_no_solver() -> None:
    done = start("kit", "nowhere")
    assert done.returncode == 2
    code = "import sys, equipsel.commands.kit, equipsel.commands.check, equipsel.commands.tables\n"
    code += "print([name for name in ('pulp', 'pandas') if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, cwd=ROOT, timeout=60, check=True)
    assert done.stdout.decode().strip() == "[]"


@pytest.mark.parametrize(("status", "code"), [(Status.OPTIMAL, 0), (Status.FEASIBLE, 0), (Status.INFEASIBLE, 3), (Status.STOPPED, 4)])
def test_the_status_decides_the_exit_code(solved: Any, status: Status, code: int) -> None:
    solved(GOOD.model_copy(update={"status": status, "reasons": ("place hut: no port carries class 8",)}))
    assert run("kit", WORKSHOP).exit_code == code


def test_the_options_reach_the_solver(solved: Any) -> None:
    given = solved(GOOD)
    run("kit", WORKSHOP, "--gap", "0.015", "--time-limit", "2.5")
    run("kit", WORKSHOP)
    assert [(one.gap, one.time_limit_s) for one in given] == [(Decimal("0.015"), 2.5), (None, None)]


def test_why_is_told_in_the_console_and_in_json_and_only_where_it_is_asked_for(tmp_path: Path) -> None:
    (tmp_path / "scenario.toml").write_text(f'catalog = "{ROOT}/catalogs/small"\n')
    (tmp_path / "devices.csv").write_text("device,watts,place,run_m\ncam,5,hall,30\n")
    short, long, data = (run("kit", str(tmp_path), *more) for more in ((), ("--why",), ("--why", "--json")))
    assert [done.exit_code for done in (short, long, data)] == [0, 0, 0]
    assert "Why each line is there" not in short.stdout
    assert "the cheapest kit costs" in " ".join(long.stdout.split())
    assert json.loads(data.stdout)["why"]["complete"]


def test_why_is_for_one_site(tmp_path: Path) -> None:
    done = run("kit", str(tmp_path), "--all", "--why")
    assert done.exit_code == 2
    assert "--why" in done.stderr


def test_json_stands_alone_on_standard_output(solved: Any, tmp_path: Path) -> None:
    solved(GOOD)
    done = run("kit", WORKSHOP, "--json", "--out", str(tmp_path / "out"))
    assert json.loads(done.stdout)["status"] == "optimal"
    assert done.stdout.endswith("}\n")
    assert done.stderr.startswith("Written to ")


def test_infeasible_json_holds_the_reasons_and_nothing_is_written(solved: Any, tmp_path: Path) -> None:
    solved(Kit(status=Status.INFEASIBLE, reasons=("device cam: no way",)))
    done = run("kit", WORKSHOP, "--json", "--out", str(tmp_path / "out"))
    assert json.loads(done.stdout)["reasons"] == ["device cam: no way"]
    assert (done.exit_code, list(tmp_path.iterdir())) == (3, [])


def test_infeasible_prints_the_reasons(solved: Any) -> None:
    solved(Kit(status=Status.INFEASIBLE, reasons=("device cam: no way",)))
    done = run("kit", WORKSHOP)
    assert "No kit satisfies every rule" in done.stdout
    assert "- device cam: no way" in done.stdout


def test_wrong_tables_end_with_code_2_every_problem_on_standard_error_and_nothing_written(solved: Any, tmp_path: Path) -> None:
    given = solved(GOOD)
    (tmp_path / "scenario.toml").write_text(f'catalog = "{ROOT}/catalogs/generic"\n[rules]\nyears = -1\n')
    (tmp_path / "devices.csv").write_text("device,watts,place,run_m\ncam,much,hall,9\n")
    done = run("kit", str(tmp_path), "--out", str(tmp_path / "out"))
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.splitlines() == [
        "scenario.toml, rules.years: '-1' is not a number of at least 0; write one that is",
        "devices.csv row 2, watts: 'much' is not a number of at least 0; write a number",
    ]
    assert (given, (tmp_path / "out").exists()) == ([], False)


def test_a_folder_that_cannot_be_written_is_told_before_the_search(solved: Any, tmp_path: Path) -> None:
    given = solved(GOOD)
    (tmp_path / "out").write_text("a file")
    done = run("kit", WORKSHOP, "--out", str(tmp_path / "out"))
    assert (done.exit_code, given) == (2, [])
    assert "is a file, not a folder" in done.stderr


@pytest.mark.parametrize(
    "words",
    [
        ("kit",),
        ("kit", WORKSHOP, "--gap", "1"),
        ("kit", WORKSHOP, "--gap", "NaN"),
        ("kit", WORKSHOP, "--gap", "x"),
        ("kit", WORKSHOP, "--time-limit", "0"),
        ("kit", WORKSHOP, "--time-limit", "inf"),
        ("kit", WORKSHOP, "--what"),
        ("check", WORKSHOP),
        ("check", WORKSHOP, "nowhere.json"),
        ("kit", WORKSHOP, "--catalog", "nowhere"),
        ("paint",),
    ],
)
def test_a_wrong_command_ends_with_code_2(words: tuple[str, ...]) -> None:
    done = run(*words)
    assert done.exit_code == 2
    assert done.stderr
    assert done.stdout == ""


def test_a_kit_that_fails_its_re_check_is_a_bug_and_is_not_given(solved: Any, tmp_path: Path) -> None:
    broken = Finding(rule="budget", severity=Severity.ERROR, where="hall-1", message="reserves too much")
    solved(AuditFailed(GOOD, [broken]))
    done = run("kit", WORKSHOP, "--out", str(tmp_path / "out"))
    assert done.exit_code == 1
    assert "bug in equipsel" in done.stderr
    assert "reserves too much" in done.stderr
    assert (done.stdout, list(tmp_path.iterdir())) == ("", [])


def test_ctrl_c_without_a_kit_ends_with_the_shell_s_code(solved: Any) -> None:
    solved(KeyboardInterrupt())
    done = run("kit", WORKSHOP)
    assert (done.exit_code, done.stderr.strip()) == (130, "stopped")


def test_from_tables_to_files_and_back_through_check(tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = run("kit", WORKSHOP, "--out", str(out))
    assert done.exit_code == 0
    assert "The cheapest kit: proven." in done.stdout
    assert sorted(path.name for path in out.iterdir()) == sorted(FILE_NAMES)
    checked = run("check", WORKSHOP, str(out / "kit.json"))
    assert (checked.exit_code, checked.stdout.splitlines()[0]) == (0, "No rule broken.")
    kit = json.loads((out / "kit.json").read_text())
    kit["connections"].pop()
    (out / "kit.json").write_text(json.dumps(kit))
    assert run("check", WORKSHOP, str(out / "kit.json")).exit_code == 5
    errors = [one for one in json.loads(run("check", WORKSHOP, str(out / "kit.json"), "--json").stdout) if one["severity"] == "error"]
    assert errors


def test_check_tells_the_problems_of_tables_and_kit_together(tmp_path: Path) -> None:
    (tmp_path / "kit.json").write_text("{")
    done = run("check", str(tmp_path / "none"), str(tmp_path / "kit.json"))
    assert done.exit_code == 2
    assert [line.split(":")[0] for line in done.stderr.splitlines()] == [str(tmp_path / "none"), "kit.json"]


def test_tables_shows_every_column_of_every_table() -> None:
    text, listed = run("tables").stdout, json.loads(run("tables", "--json").stdout)
    assert {row["table"] for row in listed} >= {
        "scenario",
        "rules",
        "switches",
        "ports",
        "devices",
        "places",
        "runs",
        "owned",
        "growth",
        "extras",
    }
    assert all(f"  {row['name']} " in text for row in listed)
    assert {"table": "switches", "name": "efficiency", "unit": "", "required": False, "default": "0.9"}.items() <= next(
        row for row in listed if (row["table"], row["name"]) == ("switches", "efficiency")
    ).items()
    assert max(map(len, text.splitlines())) <= 120


def test_version() -> None:
    done = run("--version")
    assert done.exit_code == 0
    assert done.stdout.startswith("equipsel")


def test_voltage_drop_is_a_command() -> None:
    assert run("voltage-drop", "--watts", "5", "--run-m", "10").exit_code == 0


def test_what_is_unforeseen_is_called_a_bug_and_shows_its_traceback_only_when_asked() -> None:
    bug = "import equipsel.solve\ndef broken(*_): raise ZeroDivisionError('no such thing')\nequipsel.solve.cheapest_kit = broken\n" + RUN
    for asked, shown in (("0", False), ("1", True)):
        done = subprocess.run(
            [sys.executable, "-c", bug, "kit", WORKSHOP],
            capture_output=True,
            cwd=ROOT,
            timeout=60,
            check=False,
            env={**os.environ, "EQUIPSEL_TRACEBACK": asked},
        )
        assert done.returncode == 1
        assert (b"Traceback" in done.stderr, b"This is a bug in equipsel: ZeroDivisionError: no such thing" in done.stderr) == (
            shown,
            not shown,
        )


def test_a_reader_that_goes_away_is_no_error() -> None:
    with subprocess.Popen([sys.executable, "-c", RUN, "tables"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(timeout=60) == 0


def test_a_terminal_without_utf_8_gets_escapes(tmp_path: Path) -> None:
    (tmp_path / "scenario.toml").write_text(f'title = "Caf\u00e9"\ncatalog = "{ROOT}/catalogs/generic"\n', encoding="utf-8")
    (tmp_path / "devices.csv").write_text("device,watts,place,run_m\nk\u00e1mera,5,h\u00e1la,9\n", encoding="utf-8")
    done = start("kit", str(tmp_path), PYTHONIOENCODING="ascii")
    assert (done.returncode, b"Caf\\xe9" in done.stdout) == (0, True)
    done = start("kit", str(tmp_path), "--json", PYTHONIOENCODING="ascii")
    assert json.loads(done.stdout.decode("utf-8"))["connections"][0]["device"] == "k\u00e1mera"
    (tmp_path / "devices.csv").write_text("device,watts,place,run_m\nk\u00e1mera,\u00e9,h\u00e1la,9\n", encoding="utf-8")
    done = start("kit", str(tmp_path), PYTHONIOENCODING="ascii")
    assert (done.returncode, b"'\\xe9' is not a number" in done.stderr) == (2, True)


def test_a_kit_with_an_unnamed_unit_load_still_prints(solved: Any) -> None:
    solved(GOOD.model_copy(update={"units": (Unit(unit="hall-1", model="plain", place="hall"),)}))
    assert "hall-1" in run("kit", WORKSHOP).stdout


def test_a_certificate_is_told_written_and_checked(tmp_path: Path) -> None:
    done = run("kit", WORKSHOP, "--certify", "--out", str(tmp_path / "kit"))
    assert done.exit_code == 0
    line = next(line for line in done.stdout.splitlines() if line.startswith("Certified in exact fractions: no kit costs less than "))
    assert "it is the solver's word" in line
    written = tmp_path / "kit" / "kit.json"
    good = json.loads(written.read_text())
    assert 0.9 * good["cost"] < good["certificate"]["bound"] <= good["lower_bound"]
    assert "Certified in exact fractions" in (tmp_path / "kit" / "report.html").read_text()
    checked = run("check", WORKSHOP, str(written))
    assert (checked.exit_code, "reckoned again in exact fractions" in checked.stdout) == (0, True)
    good["certificate"]["bound"] += 50
    written.write_text(json.dumps(good))
    checked = run("check", WORKSHOP, str(written))
    assert (checked.exit_code, "its weights show" in " ".join(checked.stdout.split())) == (5, True)


def test_a_certificate_is_for_one_site() -> None:
    done = run("kit", WORKSHOP, "--all", "--certify")
    assert (done.exit_code, "leave out --all" in done.output) == (2, True)


@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&- >&- 2>&-"])
def test_a_stream_that_was_closed_is_no_bug(closed: str, tmp_path: Path) -> None:
    words = ["sh", "-c", f'exec "$@" {closed}', "sh", sys.executable, "-c", RUN, "kit", WORKSHOP, "--out", str(tmp_path / "kit")]
    done = subprocess.run(words, capture_output=True, cwd=ROOT, timeout=60, check=False)
    assert done.returncode == 0
    assert b"bug" not in done.stderr
    assert (b"The cheapest kit" in done.stdout) is (" >&-" not in f" {closed}")
    assert (tmp_path / "kit" / "kit.json").is_file()


def test_nor_for_the_processes_it_starts() -> None:
    words = ["sh", "-c", 'exec "$@" >&-', "sh", sys.executable, "-m", "equipsel.cli", "compare", WORKSHOP, "--workers", "2"]
    done = subprocess.run(words, capture_output=True, cwd=ROOT, timeout=120, check=False)
    assert (done.returncode, b"bug" in done.stderr) == (0, False)


def test_a_full_disk_behind_the_output_is_said_and_is_no_bug() -> None:
    with open("/dev/full", "wb") as full:
        code = [sys.executable, "-c", RUN, "tables"]
        done = subprocess.run(code, stdout=full, stderr=subprocess.PIPE, cwd=ROOT, timeout=60, check=False)
    assert done.returncode == 1
    assert b"no space is left" in done.stderr
    assert b"bug" not in done.stderr


def test_an_empty_folder_name_is_refused(solved: Any) -> None:
    solved(GOOD)
    done = run("kit", WORKSHOP, "--out", "")
    assert done.exit_code == 2
    assert "give the folder a name" in done.output


@pytest.mark.parametrize(("words", "head"), [((), "Run m"), (("--units", "imperial"), "Run ft")])
def test_the_report_shows_lengths_as_asked_for(words: tuple[str, ...], head: str, solved: Any, tmp_path: Path) -> None:
    solved(GOOD)
    done = run("kit", WORKSHOP, "--out", str(tmp_path / "out"), *words)
    assert done.exit_code == 0
    assert head in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")


def test_unknown_units_are_a_usage_error(tmp_path: Path) -> None:
    done = run("kit", WORKSHOP, "--units", "cubits", "--out", str(tmp_path / "out"))
    assert done.exit_code == 2
    assert "metric" in done.stderr
    assert not (tmp_path / "out").exists()
