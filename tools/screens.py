"""Which pages `docs/screens.md` shows, and the sentence beside each.

`tools.screenshots` takes the pictures and writes the page; a test holds the list to the pages that
there are, and the pictures to the list.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

ROOT = Path(__file__).parents[1]
SCREENS_PAGE = ROOT / "docs" / "screens.md"
PICTURES = ROOT / "docs" / "pictures" / "screens"
WIDTHS = {360: "phone", 768: "tablet", 1280: "desktop"}
MOST_BYTES = 6_000_000
"""All pictures together: they are kept with the code."""


class Who(StrEnum):
    """Who is signed in, by sign-in name."""

    NOBODY = ""
    RECORDER = "robin"
    LEAD = "odile"
    ADMINISTRATOR = "percy"


class Scheme(StrEnum):
    """In which colours the page is drawn."""

    LIGHT = "light"
    DARK = "dark"
    MORE_CONTRAST = "more contrast"
    FORCED = "forced colours"


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """A page as a picture shows it.

    Parameters
    ----------
    name : str
        Of the picture, before its width.
    path : str
        The address in the demo.
    says : str
        A sentence for the reader of the documents.
    who : Who
        Who looks at it.
    part : str
        A selector of the part that is shown; empty for the page from its top.
    press : tuple of str
        What is pressed before, by selectors.
    is_first_view : bool
        Whether the picture ends where the screen does.
    scheme : Scheme
        In which colours.
    needs_to_tell : bool
        Whether a value that is to be told has arrived.
    is_demo : bool
        Whether the server is that of `couchside demo`.
    """

    name: str
    path: str
    says: str
    who: Who = Who.RECORDER
    part: str = ""
    press: tuple[str, ...] = ()
    is_first_view: bool = False
    scheme: Scheme = Scheme.LIGHT
    needs_to_tell: bool = False
    is_demo: bool = False


FAULTY, WITH_EARLIER, SECOND, EXCHANGED, PULSE = (f"/recordings/{n}" for n in (6, 4, 14, 8, 20))
"""On the demo's round: mains interference at V3; somebody with an earlier recording; a second
attempt; two arm cables exchanged; a recorder's own pulse."""

SCREENS = (
    Screen(
        name="round",
        path="/round",
        says="**The round**: the newest arrival readable across the room, then everybody of the "
        "day and what has come of each.",
    ),
    Screen(
        name="before",
        path="/orders/17",
        says="**Before recording**: two identifiers, what to know from earlier recordings, and "
        "where the electrodes go.",
    ),
    Screen(
        name="guide",
        path="/guide/standard",
        says="**The placement guide**: own drawings, the cables in the chosen code, each site as "
        "a hand finds it.",
    ),
    Screen(
        name="verdict",
        path=FAULTY,
        says="**The verdict**: the word, the electrode, the remedy; the decision below it.",
        is_first_view=True,
    ),
    Screen(
        name="findings",
        path=FAULTY,
        says="**What was noticed**: the lead as recorded, the electrode's part, and the lead "
        "without it, to scale.",
        part="section[aria-labelledby=findings]",
    ),
    Screen(
        name="attempts",
        path=SECOND,
        says="**Against the attempt before**: what the second attempt made better, both to scale.",
        part=".progress",
    ),
    Screen(
        name="tracing",
        path=WITH_EARLIER,
        says="**The tracing**, here with boundaries and how sure they are.",
        part=".tracing-section",
        press=("[name=overlay][value=boundaries]",),
    ),
    Screen(
        name="comparison",
        path=WITH_EARLIER,
        says="**Against an earlier recording**: both beats of each lead, measures then and now.",
        part=".comparison",
    ),
    Screen(
        name="measures",
        path=FAULTY,
        says="**Measures** with half-widths and limits; attempts, file, and what to take along.",
        part=".page > .columns",
    ),
    Screen(
        name="put-right",
        path=EXCHANGED,
        says="**Cables exchanged**: a preview put right, marked as derived and stored nowhere.",
        part=".put-right",
        press=("#put-right",),
    ),
    Screen(
        name="strip",
        path=f"{WITH_EARLIER}/strip",
        says="**A strip**: chosen leads without a gap, with the rhythm in numbers.",
    ),
    Screen(
        name="tell-now",
        path="/tell-now",
        says="**Tell now**: what local protocol wants told stands on top of every page.",
        needs_to_tell=True,
    ),
    Screen(
        name="telling",
        path="/tell-now/1",
        says="**Who was told**: closing a value keeps who was told, when, and whether it was read "
        "back.",
        needs_to_tell=True,
    ),
    Screen(
        name="patient",
        path="/patients?number=Q-1001",
        says="**A person**: every recording, beats and measures over time, any two compared.",
    ),
    Screen(
        name="pair",
        path="/patients/comparison?number=Q-1001&one=1&other=4",
        says="**Two recordings of a person**, the later held against the earlier.",
    ),
    Screen(
        name="round-end",
        path="/round/end",
        says="**The end of the round**: nothing is left without an answer.",
    ),
    Screen(
        name="print",
        path="/print",
        says="**Print**: one PDF of those chosen, with the pages of the department.",
    ),
    Screen(
        name="add-a-person",
        path="/orders/new",
        says="**Add a person** to the round by hand.",
    ),
    Screen(
        name="upload",
        path="/upload",
        says="**Upload**: files are kept byte for byte before they are read.",
    ),
    Screen(
        name="recorders",
        path="/readiness",
        says="**Recorders**: which machine is fit for the next patient.",
    ),
    Screen(
        name="recorder",
        path="/recorders/2",
        says="**One recorder**: its pulses, clock, electrodes, faults and checks.",
        who=Who.LEAD,
    ),
    Screen(
        name="recorder-check",
        path="/recorders/2/check?part=start",
        says="**The start-of-day check**, with what is known beside each item.",
    ),
    Screen(
        name="pulse",
        path=f"{PULSE}/calibration",
        says="**A recorder's own pulse**: height, length and rise in each lead.",
    ),
    Screen(
        name="settings",
        path="/settings",
        says="**Settings**: cables, paper, language, lock, and the pages that are printed.",
        who=Who.LEAD,
    ),
    Screen(
        name="people",
        path="/people",
        says="**People**: who may sign in, and as what.",
        who=Who.ADMINISTRATOR,
    ),
    Screen(
        name="account",
        path="/account",
        says="**One's own password and PIN.**",
        who=Who.ADMINISTRATOR,
    ),
    Screen(name="sign-in", path="/sign-in", says="**Signing in.**", who=Who.NOBODY),
    Screen(
        name="cast",
        path="/sign-in",
        says="**In the demo** a visitor may be anybody of the invented clinic.",
        who=Who.NOBODY,
        is_demo=True,
    ),
    Screen(
        name="link",
        path="/link/{code}",
        says="**Behind a one-time link** one chooses a password.",
        who=Who.NOBODY,
    ),
    Screen(
        name="locked",
        path="/locked",
        says="**Locked**: the PIN or the password leads back to where one was.",
        press=(".visitor summary", "#lock-now"),
        is_first_view=True,
    ),
    Screen(
        name="help",
        path="/help",
        says="**Help**: the answers, the shapes, the keys, the cautions.",
    ),
    Screen(
        name="verdict-dark",
        path=FAULTY,
        says="The verdict **in the dark scheme**.",
        is_first_view=True,
        scheme=Scheme.DARK,
    ),
    Screen(
        name="round-more-contrast",
        path="/round",
        says="The round **with more contrast**, as the system asks for it.",
        is_first_view=True,
        scheme=Scheme.MORE_CONTRAST,
    ),
    Screen(
        name="verdict-forced",
        path=FAULTY,
        says="The verdict **in colours that the system forces**: edges, shapes and words hold.",
        is_first_view=True,
        scheme=Scheme.FORCED,
    ),
)


def list_pictures(screen: Screen) -> dict[str, str]:
    """The file of each width, by what has that width."""
    return {words: f"{screen.name}-{width}.png" for width, words in WIDTHS.items()}


def make_screens_page() -> str:
    """The whole of `docs/screens.md`."""
    return "\n".join([_HEAD, *(line for screen in SCREENS for line in _show(screen))])


def _show(screen: Screen) -> Iterator[str]:
    pictures = list_pictures(screen)
    plain = screen.says.replace("**", "").rstrip(".")
    yield f"{screen.says} `{screen.path}`\n"
    yield f"| {' | '.join(pictures)} |"
    yield f"|{'---|' * len(pictures)}"
    cells = (f"![{plain}, {words}](pictures/screens/{file})" for words, file in pictures.items())
    yield f"| {' | '.join(cells)} |\n"


_HEAD = """# Every page

Made by `make docs`; do not edit. Each page at the width of a phone (360 pixels), a tablet (768) and
a desktop (1280). Everybody and everything on them is invented and simulated. What the pages do is
told in [pages.md](pages.md).
"""
