"""The kind of table that a case file is made of."""

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """A table of the case file: frozen, and closed to keys that nobody knows."""

    model_config = ConfigDict(frozen=True, extra="forbid")
