"""A card to start from: everything a library card says, to be changed line by line."""

from solidsim.materials.card_files import card_text

HEADER = """\
# {title}: a card of your own, laid over the library card "{base}".
# Put it beside your case as NAME.toml and name it there. Take away the "#" before what you change;
# each value states its unit, its source and a grade: measured, handbook or estimated.
base = "{base}"
title = "{title}"

"""


def card_template(base: str, title: str = "My own material") -> str:
    """Text of a card that extends a library card, whose lines stand in it as comments.

    Raises
    ------
    MaterialError
        If there is no card of this name.
    """
    lines = card_text(base).splitlines()
    shown = [f"# {line}" if line else "" for line in lines if not line.startswith("#")]
    return HEADER.format(base=base, title=title) + "\n".join(shown).strip() + "\n"
