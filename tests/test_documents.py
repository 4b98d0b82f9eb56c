"""What is written is true: commands parse, links lead somewhere, cases run and come out as said."""

import re
import shlex
from dataclasses import replace
from pathlib import Path

import click
import pytest

from solidsim.case import read_case, read_case_text
from solidsim.cli import main
from solidsim.cli.group import COMMANDS
from solidsim.judgment import judge
from solidsim.model import build_model
from solidsim.simulation import simulate
from solidsim.studies.confirming import with_cell
from solidsim.studies.planning import planned_values
from solidsim.studies.study_file import read_study

HOME = Path(__file__).parents[1]
README = (HOME / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (HOME / "DEVELOPERS.md").read_text(encoding="utf-8")
CI = (HOME / ".ci" / "run").read_text(encoding="utf-8")
FOLDERS = sorted(path for path in (HOME / "cases").iterdir() if path.is_dir())
CASES = sorted(
    path for path in (HOME / "cases").glob("*/*.toml") if not path.name.endswith("record.toml")
)
STUDIES = sorted((HOME / "cases").glob("*/studies/*.toml"))
COARSER = 3.0
IMBALANCE = 1e-6
UNBALANCED = 1e-9  # of the metal's volume


def shell_lines(text):
    """Lines of the shell blocks of a document."""
    blocks = re.findall(r"```sh\n(.*?)```", text, flags=re.DOTALL)
    return "".join(blocks).splitlines()


def named(paths):
    return [path.relative_to(HOME).as_posix() for path in paths]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_a_mention(name):
    command = main.get_command(click.Context(main), name)
    assert command.help
    assert command.short_help.endswith(".")
    assert all(option.help for option in command.params if isinstance(option, click.Option))
    assert f"solidsim {name}" in README


@pytest.mark.parametrize("line", [line for line in shell_lines(README) if "solidsim " in line])
def test_commands_of_the_readme_are_understood(line):
    words = shlex.split(line.split("&&")[-1].split("#")[0])
    assert words[0].endswith("solidsim")
    name, command, rest = main.resolve_command(click.Context(main), words[1:])
    assert command.make_context(name, rest)


def test_command_1_installs_and_pours_the_demo():
    first = shell_lines(README)[0]
    assert first == (
        "python3 -m venv .venv && .venv/bin/pip install . && "
        ".venv/bin/solidsim pour cases/sheave_bracket/case.toml --movie"
    )


def test_command_2_is_what_continuous_integration_runs():
    commands = [line for line in CI.splitlines() if line and not line.startswith(("#", "set "))]
    assert commands == [shell_lines(README)[1]]
    assert commands[0].startswith("python3 -m venv .venv && ")
    assert "pytest" in commands[0]


@pytest.mark.parametrize(
    "document", [HOME / "README.md", HOME / "DEVELOPERS.md", *(f / "README.md" for f in FOLDERS)]
)
def test_links_lead_somewhere(document):
    text = document.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        if not target.startswith("http"):
            assert (document.parent / target).exists(), target


def test_files_of_the_tables_exist():
    files = re.findall(r"`(tests/[\w/.]+)`", README + DEVELOPERS)
    assert files
    assert all((HOME / file).exists() for file in files)


def test_every_folder_of_the_house_is_on_the_map():
    names = [path.name for path in (HOME / "solidsim").iterdir() if not path.name.startswith("_")]
    assert all(re.search(rf"\b{re.escape(name)}", DEVELOPERS) for name in names)


def test_no_document_tells_of_a_machine():
    for text in (README, DEVELOPERS, CI, *(path.read_text(encoding="utf-8") for path in CASES)):
        assert not re.search(r"/home/|/root/|/tmp/|[A-Z]:\\\\", text)


@pytest.mark.parametrize("folder", FOLDERS, ids=named(FOLDERS))
def test_every_case_is_explained(folder):
    text = (folder / "README.md").read_text(encoding="utf-8")
    assert (folder / "case.toml").is_file()
    names = {path.name for path in CASES if path.parent == folder}
    assert names == set(promised_verdicts(text))


def promised_verdicts(text):
    """Worst verdict of each case of a folder, from the table in its README."""
    return dict(
        re.findall(r"^\| `([\w.]+\.toml)` \| (fails|close|holds|note) \|", text, re.MULTILINE)
    )


@pytest.mark.parametrize("path", CASES, ids=named(CASES))
def test_case_has_nothing_to_mend(path):
    assert build_model(read_case(path)).warnings == ()


@pytest.mark.parametrize("path", CASES, ids=named(CASES))
def test_case_comes_out_as_said(path):
    """On coarse cells and only until all is solid; the worst verdict must be the promised one."""
    case = read_case(path)
    cooling = case.description.cooling.model_copy(update={"stop": "solid"})
    case = replace(case, description=case.description.model_copy(update={"cooling": cooling}))
    cell = COARSER * build_model(case).section.metal_cell
    run = simulate(build_model(with_cell(case, cell)))
    assert run.stop_reason == "all metal is solid"
    assert run.account.imbalance <= IMBALANCE
    promised = promised_verdicts((path.parent / "README.md").read_text(encoding="utf-8"))
    findings = judge(run)
    assert findings[0].verdict == promised[path.name]
    assert all(one.value < UNBALANCED for one in findings if one.name == "volume-account")


@pytest.mark.parametrize("path", STUDIES, ids=named(STUDIES))
def test_studies_are_whole_and_explained(path):
    assert f"studies/{path.name}" in (path.parents[1] / "README.md").read_text(encoding="utf-8")
    study = read_study(path)
    for values in planned_values(study)[:2]:
        read_case_text(study.text_of(values))


def test_the_study_in_the_readme_is_whole(tmp_path):
    """It names parts of the bracket, so that is the case it stands for."""
    text = re.search(r"```toml\n(title.*?)```", README, flags=re.DOTALL)[1]
    case = (HOME / "cases" / "sheave_bracket" / "case.toml").read_text(encoding="utf-8")
    (tmp_path / "case.toml").write_text(case, encoding="utf-8")
    (tmp_path / "study.toml").write_text(text, encoding="utf-8")
    study = read_study(tmp_path / "study.toml")
    assert len(planned_values(study)) == 50
