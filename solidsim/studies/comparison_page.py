"""A comparison as one HTML page that needs no other file."""

import base64
from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path

from solidsim.errors import ResultsError
from solidsim.studies.comparing import Comparison

STYLE = """
body { font: 15px/1.45 sans-serif; max-width: 70em; margin: 2em auto; padding: 0 1em }
table { border-collapse: collapse; margin: 1em 0 }
th, td { border-bottom: 1px solid #bbb; padding: .3em .8em; text-align: left; vertical-align: top }
td.best { font-weight: bold; border-bottom: 3px solid #1a1a1a }
img, video { max-width: 100% }
"""
CAUTION = (
    "An engineering estimate from 2-D sections. Molten metal maims and moisture under it explodes: "
    "local codes and a competent founder decide."
)
KINDS = {".png": "image/png", ".mp4": "video/mp4", ".webp": "image/webp", ".gif": "image/gif"}


def write_page(comparison: Comparison, path: str | Path, *, pictures: Sequence[Path] = ()) -> Path:
    """Write the comparison with its pictures and films inside.

    Raises
    ------
    ResultsError
        If the page cannot be written.
    """
    path, names = Path(path), comparison.names
    titles = [[name, run.title] for name, run in zip(names, comparison.runs, strict=True)]
    lines = [
        [line.name, *(("✓ " if n in line.winners else "") + text
                      for n, text in enumerate(line.texts))]
        for line in comparison.lines
    ]  # fmt: skip
    best = [{n + 1 for n in line.winners} for line in comparison.lines]
    apart = [[key, *texts] for key, texts in comparison.differences]
    blocks = [
        "<h1>Layouts side by side</h1>",
        _table(["layout", "title"], titles),
        f"<p><strong>{escape(comparison.judgment)}</strong></p>",
        *(_embedded(picture) for picture in pictures),
        "<h2>Line by line</h2><p>✓ best of the line; of several findings of one name the worst</p>",
        _table(["", *names], lines, best),
        "<h2>What differs in the cases</h2>",
        _table(["value", *names], apart),
        f"<p>{escape(CAUTION)}</p>",
    ]
    head = f'<!DOCTYPE html><html lang="en"><meta charset="utf-8"><style>{STYLE}</style>'
    title = f"<title>{escape(' | '.join(run.title for run in comparison.runs))}</title>"
    try:
        path.write_text("\n".join([head, title, *blocks, "</html>\n"]), encoding="utf-8")
    except OSError as error:
        raise ResultsError(f"cannot write {path.name}: {error}") from error
    return path


def _table(
    head: Sequence[str], rows: Iterable[Sequence[str]], best: Sequence[set[int]] = ()
) -> str:
    lines = ["<table><tr>" + "".join(f"<th>{escape(word)}</th>" for word in head) + "</tr>"]
    for number, row in enumerate(rows):
        marked = best[number] if best else set()
        cells = (
            f'<td class="best">{escape(cell)}</td>' if n in marked else f"<td>{escape(cell)}</td>"
            for n, cell in enumerate(row)
        )
        lines.append("<tr>" + "".join(cells) + "</tr>")
    return "\n".join([*lines, "</table>"])


def _embedded(picture: Path) -> str:
    kind = KINDS[picture.suffix]
    data = f"data:{kind};base64,{base64.b64encode(picture.read_bytes()).decode()}"
    if kind.startswith("video"):
        return f'<video controls loop src="{data}"></video>'
    return f'<img alt="{escape(picture.stem)}" src="{data}">'
