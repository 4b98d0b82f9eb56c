"""`solidsim materials`: what the library knows of metals, sands and chills, and from where."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from solidsim.cli.output import json_option, table, write_json

if TYPE_CHECKING:
    from solidsim.quantities import Units


@click.command(short_help="List the materials, or show one with its sources.")
@click.argument("name", required=False)
@click.option("--picture", type=click.Path(path_type=Path), help="Draw its curves to this PNG.")
@click.option(
    "--units",
    type=click.Choice(["metric", "inch"]),
    default="metric",
    show_default=True,
    help="Units of the picture.",
)
@json_option
def materials(name: str | None, picture: Path | None, units: "Units", as_json: bool) -> None:
    """List the materials of the library, or show one with the source of every value."""
    from solidsim.materials import library_material, library_names

    shown = [library_material(known) for known in ([name] if name else library_names())]
    if picture and name:
        from solidsim.pictures.materials import draw_material

        draw_material(shown[0], picture, units)
    elif picture:
        raise click.UsageError("--picture needs the NAME of a material")
    if as_json:
        keys = ("name", "title", "kind", "properties")
        write_json({"materials": [{key: getattr(one, key) for key in keys} for one in shown]})
        return
    if name is None:
        click.echo(table([("name", "kind", "title"), *((m.name, m.kind, m.title) for m in shown)]))
        return
    notes = shown[0].card.get("notes", "").strip()
    click.echo(f"{shown[0].title}\n\n" + (f"{notes}\n\n" if notes else ""), nl=False)
    for own in shown[0].properties:
        click.echo(f"{own.key}: {own.text}")
        click.echo(f"    range {own.range_text or 'not known'}; {own.grade}; {own.source}")
