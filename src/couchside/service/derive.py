"""From kept bytes to a recording and what the code of today says of it."""

from __future__ import annotations

from collections.abc import Iterable

from couchside.formats import read_parcel
from couchside.formats.hints import ReadHints
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.service.policies import ChosenPolicy
from couchside.service.readings import Reading
from couchside.store.begun import BegunArrival
from couchside.store.tables import ParcelRow
from couchside.store.vault import Vault


def derive(parcel: Parcel, hints: ReadHints, chosen: ChosenPolicy) -> Reading:
    """Read and check a parcel; raises FormatError or InvalidInput where it cannot be done."""
    recording = read_parcel(parcel, hints)
    return Reading(recording=recording, assessment=chosen.judge(recording))


def fetch_parcel(vault: Vault, kept: ParcelRow | BegunArrival) -> Parcel:
    """A parcel as it arrived, from the vault; raises NotFound or StoreError for missing bytes."""
    return Parcel(files=tuple(_fetch(vault, ((file.name, file.sha256) for file in kept.files))))


def get_hints(kept: ParcelRow | BegunArrival) -> ReadHints:
    """What the person who brought the parcel added."""
    return ReadHints(
        rate_hz=kept.hinted_rate_hz, microvolts_per_unit=kept.hinted_microvolts_per_unit
    )


def _fetch(vault: Vault, files: Iterable[tuple[str, str]]) -> Iterable[ArrivedFile]:
    for name, sha256 in files:
        yield ArrivedFile(name=name, content=vault.get(sha256))
