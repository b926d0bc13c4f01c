"""`couchside simulate`: a scenario as a recording, with the truth about it beside it."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

from couchside.cli.output_files import check_target, write_whole
from couchside.errors import InvalidInput
from couchside.formats import read, write_csv, write_dicom, write_wfdb
from couchside.recording import Recording
from couchside.simulate import (
    RecordedNoise,
    Scenario,
    get_scenario,
    named_scenarios,
    scenario_from_toml,
    scenario_to_toml,
    simulate,
    truth_to_plain,
)

_SUFFIXES = (".hea", ".dcm", ".csv")


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulateWish:
    """What is wanted of a scenario."""

    out: Path | None
    seed: int | None
    shows_toml: bool
    noises: tuple[str, ...] = ()


def list_scenarios() -> str:
    """The library, a line each."""
    scenarios = named_scenarios()
    width = max(len(name) for name in scenarios)
    return "\n".join(f"{name:{width}}  {each.title}" for name, each in scenarios.items())


def run_simulate(wanted: str, wish: SimulateWish) -> str:
    """Make what is wanted of a scenario.

    Parameters
    ----------
    wanted : str
        A name of the library, or the path of a ``.toml``.
    wish : SimulateWish
        Where to, which seed, which recorded noises as ``NAME=FILE``, or the scenario as text.

    Returns
    -------
    str
        What to print: the scenario as TOML, or which files were written.
    """
    scenario = _find(wanted)
    if wish.seed is not None:
        scenario = replace(scenario, seed=wish.seed)
    if wish.shows_toml:
        return scenario_to_toml(scenario).rstrip("\n")
    if wish.out is None:
        raise InvalidInput("say with --out where the recording shall go, as .hea, .dcm or .csv")
    check_target(wish.out, suffixes=_SUFFIXES)
    simulation = simulate(scenario, dict(map(_read_noise, wish.noises)))
    truth = json.dumps(truth_to_plain(simulation), indent=1, ensure_ascii=False) + "\n"
    written = {
        **_files(simulation.recording, wish.out),
        wish.out.with_suffix(".truth.json"): truth.encode(),
    }
    for path, content in written.items():
        write_whole(path, content)
    return "\n".join(str(path) for path in written)


def _read_noise(wanted: str) -> tuple[str, RecordedNoise]:
    """A noise by the name under which scenarios call for it: the first channel of its file."""
    name, separator, path = wanted.partition("=")
    if not (name and separator and path):
        raise InvalidInput(f"--noise {wanted}: give a name and a file, such as em=nstdb/em.hea")
    recorded = read(Path(path))
    return name, RecordedNoise(microvolts=recorded.microvolts[0], rate_hz=recorded.rate_hz)


def _find(wanted: str) -> Scenario:
    path = Path(wanted)
    if path.suffix.lower() != ".toml":
        return get_scenario(wanted)
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise InvalidInput(
            f"the scenario {wanted} could not be read ({error.strerror}); name a .toml file, or a "
            "scenario of --list"
        ) from error
    except UnicodeDecodeError as error:
        raise InvalidInput(f"the scenario {wanted} is not UTF-8 text; save it as UTF-8") from error
    return scenario_from_toml(text)


def _files(recording: Recording, out: Path) -> dict[Path, bytes]:
    suffix = out.suffix.lower()
    if suffix == ".dcm":
        return {out: write_dicom(recording)}
    if suffix == ".csv":
        return {out: write_csv(recording)}
    parcel = write_wfdb(recording, out.stem)
    return {out.with_name(file.name): file.content for file in parcel.files}
