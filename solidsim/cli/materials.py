"""`solidsim materials`: what the library knows of metals, sands and chills, and from where."""

import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solidsim.cli.output import json_option, table, tell, write_json

if TYPE_CHECKING:
    from solidsim.materials import Material
    from solidsim.quantities import Units

LINE, WIDEST = 100, 44  # letters of a line, and of a cell in a table
CARD_SUFFIX = ".toml"


@click.command(short_help="List the materials, show one with its sources, compare two.")
@click.argument("names", nargs=-1, metavar="[NAME [OTHER]]")
@click.option("--picture", type=click.Path(path_type=Path), help="Draw the curves to this PNG.")
@click.option(
    "--write",
    "card",
    type=click.Path(path_type=Path),
    help="Write a commented card of your own to this TOML file, to start from.",
)
@click.option("--force", is_flag=True, help="With --write: replace the file if there is one.")
@click.option(
    "--units",
    type=click.Choice(["metric", "inch"]),
    default="metric",
    show_default=True,
    help="Units of the picture and of what follows from the cards.",
)
@json_option
def materials(
    names: tuple[str, ...],
    picture: Path | None,
    card: Path | None,
    force: bool,
    units: "Units",
    as_json: bool,
) -> None:
    """List the materials of the library, show one with the source of every value, or compare two.

    NAME is a card of the library or a card file of your own that ends in .toml; a faulty one is
    refused with the line of each fault.
    """
    from solidsim.materials import library_names

    if len(names) > 2:
        raise click.UsageError("one NAME to show, two to compare")
    if (picture or card) and not names:
        raise click.UsageError("--picture and --write need the NAME of a material")
    if card and len(names) > 1:
        raise click.UsageError("--write starts from one NAME")
    shown = [_material(name) for name in names or library_names()]
    if card:
        _write_card(names[0], card, force)
    if picture:
        from solidsim.pictures.materials import draw_materials

        draw_materials(shown, picture, units)
    if as_json:
        write_json({"materials": [_document(one) for one in shown]})
    elif not names:
        click.echo(table([("name", "kind", "title"), *((m.name, m.kind, m.title) for m in shown)]))
    elif not card:
        _show(shown[0], units) if len(shown) == 1 else _compare(shown, units)


def _material(name: str) -> "Material":
    from solidsim.materials import card_material, library_material

    if name.endswith(CARD_SUFFIX):
        return card_material(Path(name))
    return library_material(name)


def _write_card(name: str, path: Path, force: bool) -> None:
    from solidsim.materials import card_template

    if name.endswith(CARD_SUFFIX):
        raise click.UsageError("--write starts from a card of the library")
    if path.suffix != CARD_SUFFIX:
        raise click.UsageError(f"a card is a {CARD_SUFFIX} file, named as the case will call it")
    if path.exists() and not force:
        raise click.UsageError(f"{path} is there already; --force replaces it")
    path.write_text(card_template(name), encoding="utf-8")
    tell(f'wrote {path}; beside a case, write "{path.stem}" there to use it')


def _document(material: "Material") -> dict[str, Any]:
    from solidsim.materials import material_facts

    keys = ("name", "title", "kind", "properties")
    facts = [{"name": f.words, "value": f.value, "kind": f.kind} for f in material_facts(material)]
    return {**{key: getattr(material, key) for key in keys}, "facts": facts}


def _show(material: "Material", units: "Units") -> None:
    """Write what a card says, each value with range, grade and the number of its source."""
    from solidsim.materials import material_facts
    from solidsim.quantities import write_quantity

    click.echo(f"{material.title}\n")
    if notes := material.card.get("notes", "").strip():
        click.echo(f"{notes}\n")
    sources = list(dict.fromkeys(own.source for own in material.properties))
    rows: list[Sequence[str]] = [("value", "", "range", "grade", "standing", "source")]
    for own in material.properties:
        number = f"[{sources.index(own.source) + 1}]"
        text, *more = textwrap.wrap(own.text, WIDEST) or [""]
        rows.append((own.key, text, own.range_text or "not known", own.grade, own.standing, number))
        rows += [("", line, "", "", "", "") for line in more]
    click.echo(table(rows))
    click.echo("\nWhat follows:")
    facts = material_facts(material)
    click.echo(table([(f.words, write_quantity(f.value, f.kind, units)) for f in facts]))
    click.echo("\nSources:")
    for place, source in enumerate(sources, start=1):
        mark = f"[{place}] "
        click.echo(textwrap.fill(source, LINE, initial_indent=mark, subsequent_indent="    "))


def _compare(shown: Sequence["Material"], units: "Units") -> None:
    """Write two materials side by side: what follows from their cards, then what the cards say."""
    from solidsim.materials import material_facts
    from solidsim.quantities import write_quantity

    facts = [
        {f.words: write_quantity(f.value, f.kind, units) for f in material_facts(material)}
        for material in shown
    ]
    cards = [{own.key: _with_range(own) for own in material.properties} for material in shown]
    rows: list[Sequence[str]] = [("", *(material.title for material in shown))]
    for columns in (facts, cards):
        for key in dict.fromkeys(key for column in columns for key in column):
            cells = [textwrap.wrap(column.get(key, "-"), WIDEST) for column in columns]
            for line in range(max(map(len, cells))):
                words = (cell[line] if line < len(cell) else "" for cell in cells)
                rows.append((key if line == 0 else "", *words))
        rows.append(("",) * (1 + len(shown)))
    click.echo(table(rows[:-1]))


def _with_range(own: Any) -> str:
    return f"{own.text} ({own.range_text})" if own.range_text else str(own.text)
