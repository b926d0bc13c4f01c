"""Names of leads, each once in a recording."""

from __future__ import annotations

from couchside.errors import CorruptFile
from couchside.recording import Lead


def name_each_once(file_name: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Number names that say nothing and stand several times: ``ECG, ECG`` to ``ECG 1, ECG 2``.

    Parameters
    ----------
    file_name : str
        For the message.
    names : tuple of str
        As the file names its leads, in canonical spelling.

    Returns
    -------
    tuple of str
        As many names, all different.

    Raises
    ------
    CorruptFile
        If a lead that the trade knows stands more than once, so that it is not clear which is it.
    """
    doubled = sorted({name for name in names if names.count(name) > 1})
    known = [name for name in doubled if name in set(Lead)]
    numbered = tuple(
        f"{name} {names[: position + 1].count(name)}" if name in doubled else name
        for position, name in enumerate(names)
    )
    if known or len(set(numbered)) < len(numbered):
        raise CorruptFile(
            f"{file_name} names lead {', '.join(known or doubled)} more than once, and each lead "
            "stands once in a recording; correct the names",
            field="lead names",
        )
    return numbered
