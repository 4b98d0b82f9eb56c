"""One model from the pour to its findings, kept in a results file."""

from dataclasses import dataclass, replace
from pathlib import Path

from solidsim.compiling import compile_kernels
from solidsim.criteria.finding import Finding
from solidsim.facts import alloy_facts, judging_rules
from solidsim.judgment import judge
from solidsim.model import Model
from solidsim.results.run import Run
from solidsim.results.writing import start_run, write_run
from solidsim.simulation import Progress, simulate


@dataclass(frozen=True)
class Poured:
    """A run, what it means, and the file that holds both."""

    run: Run
    findings: tuple[Finding, ...]
    path: Path


def pour_to_file(
    model: Model, path: str | Path, progress: Progress | None = None, *, growing: bool = True
) -> Poured:
    """Compute a model, judge the run and keep both at a path.

    A file that stands there is replaced only by a whole run; a ``growing`` one that was stopped
    stays beside it as a part file, any other is written at the end, all at once.

    Raises
    ------
    SolverError
        If a watcher stops the run.
    ResultsError
        If the file cannot be written.
    """
    compile_kernels(model)
    if not growing:
        run = simulate(model, progress=progress)
        findings = judge(run)
        told = _with_findings(run, findings)
        return Poured(told, findings, write_run(path, told))
    with start_run(
        path,
        title=model.title,
        units=model.units,
        section=model.section,
        alloy=alloy_facts(model),
        judging=judging_rules(model),
        provenance=model.provenance,
        flowing=model.pour.fill == "flowing",
    ) as writer:
        run = simulate(model, store=writer, progress=progress)
        findings = judge(run)
        file = writer.finish(run, findings)
    return Poured(_with_findings(run, findings), findings, file)


def _with_findings(run: Run, findings: tuple[Finding, ...]) -> Run:
    return replace(run, findings=tuple(finding.as_dict() for finding in findings))
