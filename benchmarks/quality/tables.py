"""Tables as they are printed, and as they stand in docs/validation.md."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from benchmarks import validation_page

PICTURES = validation_page.VALIDATION.parent / "pictures"
HEAD = "### "


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing that goes with a table: its name under docs/pictures, its words, its PNG."""

    name: str
    words: str
    png: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A heading, a sentence on what was done, column names and rows of text."""

    title: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    picture: Picture | None = None

    def as_text(self) -> str:
        """Markdown, which also reads well on a terminal."""
        lines = [f"### {self.title}", "", self.about, "", _row(self.columns)]
        lines.append(_row(tuple("---" for _ in self.columns)))
        lines += [_row(row) for row in self.rows]
        if self.picture is not None:
            lines += ["", f"![{self.picture.words}](pictures/{self.picture.name})"]
        return "\n".join(lines) + "\n"


def rate(count: int, total: int) -> str:
    """A share with its 95 % Wilson interval, such as ``"12/155 = 7.7 % (4.5–13.0)"``."""
    if total == 0:
        return "0 of 0"
    low, high = find_bounds(count, total)
    return f"{count}/{total} = {100 * count / total:.1f} % ({100 * low:.1f}–{100 * high:.1f})"


def write_section(name: str, tables: list[Table]) -> None:
    """Put the tables between a section's two marks in docs/validation.md, and leave the rest alone.

    A table takes the place of the one of its title; one of a new title comes last. Pictures go
    beside it, under docs/pictures.
    """
    for picture in (table.picture for table in tables):
        if picture is not None:
            (PICTURES / picture.name).write_bytes(picture.png)
    marks = (f"<!-- accuracy:{name} -->", f"<!-- end accuracy:{name} -->")
    body = "\n".join(put_in_place(validation_page.read_section(*marks), tables))
    validation_page.write_section(*marks, f"\n{body}")


def put_in_place(section: str, tables: list[Table]) -> list[str]:
    """The section's tables as text, those given in place of older ones of their titles."""
    parts = [f"{HEAD}{part.strip()}\n" for part in section.split(HEAD)[1:]]
    texts = {part.splitlines()[0].removeprefix(HEAD): part for part in parts}
    return list((texts | {table.title: table.as_text() for table in tables}).values())


def find_bounds(count: int, total: int) -> tuple[float, float]:
    """The 95 % Wilson interval of a share, within 0 to 1."""
    z = 1.96
    share = count / total
    centre = (share + z * z / (2 * total)) / (1 + z * z / total)
    half = z / (1 + z * z / total) * sqrt(share * (1 - share) / total + (z / (2 * total)) ** 2)
    return max(0.0, centre - half), min(1.0, centre + half)


def _row(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(cells) + " |"
